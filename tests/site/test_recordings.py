"""The recordings of the demo, through the protocol and the real model, give the rows of `cutmemo hear`."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()
pytest.importorskip("vosk", reason="NOT TESTED: hearing, vosk is not installed")

from site_phone import pcm_of, silence  # noqa: E402 - only where the parts are
from site_served import served  # noqa: E402

from cutmemo.asr import Recognition  # noqa: E402
from cutmemo.audio.recording import recording  # noqa: E402
from cutmemo.bundle import bundled  # noqa: E402
from cutmemo.errors import CutmemoError  # noqa: E402
from cutmemo.memo import open_store  # noqa: E402
from cutmemo.memo.commands import Hear  # noqa: E402
from cutmemo.service import Memo, Station  # noqa: E402
from cutmemo.site.run import Model  # noqa: E402
from cutmemo.wording import describe  # noqa: E402

APART = timedelta(seconds=30)
RECORDINGS = sorted(bundled("demo").glob("*.wav"))


@pytest.fixture(scope="module")
def model() -> Model:
    return Model(None)


def rows_of(memo: Memo) -> list[tuple[str, str]]:
    settings = memo.state.settings
    return [(describe(row.cut, settings), row.state) for row in memo.state.rows.values()]


BEGIN = datetime.now(UTC) - len(RECORDINGS) * APART - APART


@pytest.fixture(scope="module")
def expected(model: Model, tmp_path_factory: pytest.TempPathFactory) -> list[tuple[str, str]]:
    """What `cutmemo hear` makes of the recordings."""
    with open_store(tmp_path_factory.mktemp("heard") / "heard.cutmemo") as store:
        memo = Memo(store)
        for number, sound in enumerate(RECORDINGS):
            at = BEGIN + number * APART
            station = Station(memo, "ladder phone", "ladder phone", clock=lambda at=at: at)
            for heard in model.make().hear(recording(sound)):
                if isinstance(heard, Recognition):
                    try:
                        station.execute(Hear(heard))
                    except CutmemoError:
                        continue
        return rows_of(memo)


@pytest.mark.parametrize("held", [True, False], ids=["push-to-talk", "hands-free"])
async def test_the_rows_are_those_of_hear(
    tmp_path: Path, model: Model, expected: list[tuple[str, str]], held: bool
) -> None:
    async with served(tmp_path, model.make) as site:
        phone = site.phone()
        for number, sound in enumerate(RECORDINGS):
            clock: Any = (BEGIN + number * APART).timestamp() * 1000
            phone.record(phone.stream(), pcm_of(sound) + silence(0.3), clock, held=held)
        await phone.run()
        found = rows_of(site.server.hub.memo)
    assert found == expected
    assert len(expected) >= 8
