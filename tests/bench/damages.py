"""Damages a memo in many ways and counts what came of it: python tests/bench/damages.py [SEED]

Prints, for 300 flipped bits, 120 cuts at a random length and 60 pages of nothing, how many memos
opened unharmed, opened with a mark, and were refused; how many rows differed with no word on
standard error; how many runs ended in a fault of the program; and how many entries a rescue, with
a copy made half a day before and without any, gave back.
"""

from __future__ import annotations

import contextlib
import io
import random
import shutil
import sys
import tempfile
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from unit.test_damage import DAMAGES, a_day, entries, ran, rows_shown

from cutmemo.errors import BadMemo
from cutmemo.memo import copies
from cutmemo.memo.rescue import rescue

TIMES = {"flipped bit": 300, "cut off": 120, "page zeroed": 60}
VERBS = (("day",), ("list",), ("export",), ("handoff",), ("say", "91-1/2"), ("undo",))


def run(path: Path, *words: str) -> tuple[int, str, str]:
    """Return the code of one run, and what it printed."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = ran(path, *words)
    return code, out.getvalue(), err.getvalue()


def main(seed: int) -> None:
    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        day, half = Path(folder) / "day" / "porch.cutmemo", Path(folder) / "half.cutmemo"
        day.parent.mkdir()
        a_day(half, 20)
        shutil.copy(half, day)
        a_day(day, 20)
        raw, known = day.read_bytes(), {each["id"] for each in entries(day)}
        sound = rows_shown(run(day, "sheet", "--as", "json")[1])
        for damage, times in TIMES.items():
            found: Counter[str] = Counter()
            saved: dict[str, list[float]] = {"with a copy": [], "without": []}
            for number in range(times):
                path = Path(folder) / f"{damage} {number}" / "porch.cutmemo"
                path.parent.mkdir()
                path.write_bytes(DAMAGES[damage](raw, chance))
                for how, each in saved.items():
                    if how == "with a copy":
                        copies.folder_of(path).mkdir()
                        shutil.copy(half, copies.folder_of(path) / "20260504T120000Z.cutmemo")
                    new = path.with_name(f"{how}.cutmemo")
                    try:
                        rescue(path, new)
                        each.append(len({one["id"] for one in entries(new)} & known) / len(known))
                    except BadMemo:
                        each.append(0.0)
                    if how == "with a copy":
                        shutil.rmtree(copies.folder_of(path))
                code, out, err = run(path, "sheet", "--as", "json")
                same = code == 0 and rows_shown(out) == sound
                how = "refused" if code else "unharmed" if same and not err else "marked"
                found["IN SILENCE" if how == "marked" and not err else how] += 1
                told = [err, *(run(path, *verb)[2] for verb in VERBS)]
                found["FAULTS"] += any("in cutmemo itself" in each for each in told)
            print(f"{damage:12} {times:4}", dict(found))
            for how, each in saved.items():
                whole = sum(share == 1 for share in each)
                print(
                    f"    rescued {how:12} everything {whole}, nothing {each.count(0.0)},"
                    f" on average {sum(each) / len(each):.1%} of the entries"
                )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1)
