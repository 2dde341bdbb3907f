"""Every way in which bytes of others come in, and what must hold whatever they are.

Used with the same few hundred inputs in each run of the tests (``tests/unit/test_fuzz.py``), and by hand
for as long as one likes with inputs that look for new branches (``tests/bench/fuzz.py``).
"""

from __future__ import annotations

import contextlib
import io
import random
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

from desk import Desk

from cutmemo import cli
from cutmemo.asr import Hypothesis, Recognition
from cutmemo.audio.recording import recording
from cutmemo.cli.config import read_config
from cutmemo.errors import CutmemoError
from cutmemo.memo import Projection, open_store
from cutmemo.memo.events import CallRefused
from cutmemo.site.protocol import Act, Frame, frame_bytes, frame_of, message_of
from cutmemo.site.taking import Device, take_act
from cutmemo.wording import explain_error

CALLS = (
    "4 @ 14-5/8 2x6 header for W3",
    "no, make that 15-1/4",
    "61 plumb 7/12 long point, square",
    "six two and a quarter",
    "8' 2-3/16\" 2x8 joist",
    "common rafter run 12' pitch 7/12 ridge 1-1/2 overhang 16",
    "wall 12' high 97-1/8 2x4 at 16, door 3' 6'8",
    "stairs rise 108 run 120",
    "half of row 2 plus a kerf",
    "change row three to one hundred and one-quarter",
    "seven 2x4 16 footers",
    "2400 mm",
)
SPOKEN = (
    "one oh one and a half",
    "four at fourteen and five eighths two by six header",
    "no wait make it three",
    "scratch that",
    "common rafter run twelve foot pitch seven twelve",
    "the second",
    "fifty and a half|sixty and a half",
    "hold row three",
)
SETTINGS = (
    "kerf 1/8",
    "longest 20'",
    "fineness 32",
    "display mm",
    "pairs inches",
    "shade sun",
    "trim 0",
)
RACK = (
    "add|10|2x4|16'|--price|4.50",
    'add|2|2x6|96-1/2|--bad|40 to 52"',
    "change|1|--count|3",
    "off|1",
)
CSV = ("section,length,count,price,bad\n2x4,16',10,4.50,\n2x6,96-1/2,2,,40 to 52\n",)
CONFIG = ('memo = "porch"\nstation = "ladder"\nwho = "ann"\n',)
MESSAGES = (
    '{"t":"hello","v":1,"clock":1.5e12,"page":"1","streams":[],"acts":[],"at":"work","ear":"off"}',
    *(
        f'{{"t":"act","id":"{number:032x}","at":1.5e12,"place":"work","do":{do}}}'
        for number, do in enumerate(
            (
                '"say","text":"36-1/2 2x6 header"',
                '"undo"',
                '"clear","row":"1","seen":"2"',
                '"order","order":"longest"',
                '"trouble","reason":"short","was_cut":true',
            )
        )
    ),
    '{"t":"ping","clock":1.5e12}',
)
NOON = datetime(2026, 3, 2, 12, tzinfo=UTC)
MOST_ENTRIES = 400
"""A memo of that many entries is put away and a new one begun."""


class Entries:
    """A memo, and the entries that are tried on it one after the other."""

    def __init__(self, folder: Path) -> None:
        """Begin a memo in *folder*."""
        self.folder = folder
        self._count = 0
        self._inputs = folder / "input"
        self._open()

    def _open(self) -> None:
        self._stack = contextlib.ExitStack()
        self._count += 1
        self.file = self.folder / f"{self._count}.cutmemo"
        self.desk = Desk(self._stack.enter_context(open_store(self.file)), "ladder", "ann")
        for said in CALLS[:5]:
            self.desk.call(said)
        self.desk.add_boards(None, Fraction(192), 3)

    def close(self) -> None:
        """Close the memo, when what it holds has been read once more."""
        self.check()
        self._stack.close()

    def tried(self, name: str, data: bytes) -> str:
        """Give *data* to the entry *name*; return what was refused, else nothing.

        Raises :class:`AssertionError`, or whatever the program lets through, where a law is broken.
        """
        if len(self.desk.log) > MOST_ENTRIES:
            self.close()
            self._open()
        before = [event.id for event in self.desk.log]
        try:
            ENTRIES[name](self, data)
        except CutmemoError as error:
            self.desk.follow()
            new = self.desk.log[len(before) :]
            assert all(isinstance(event.payload, CallRefused) for event in new), "half was done"
            said = explain_error(error)
            assert said.strip()
            assert len(said) < 2_000, "the error echoes what came in"
            return said
        return ""

    def check(self) -> None:
        """Check that every list of the memo can be made, and that reading it anew gives the same."""
        self._inputs.with_suffix(".toml").unlink(missing_ok=True)  # the settings of the program
        self.desk.follow()
        assert Projection(self.desk.store.events()).state == self.desk.state
        assert self.desk.handoff()
        assert self.desk.totals()
        for verb in (["list"], ["sums"], ["day"], ["rack"], ["export"]):
            code, err = self.run([*verb, "--json"] if verb != ["export"] else verb)
            assert code == 0, (verb, err)

    def run(self, arguments: list[str]) -> tuple[int, str]:
        """Run the command line on this memo; return its exit code and what it said."""
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = cli.main([*arguments, "--memo", str(self.file)])
            except SystemExit as misuse:  # argparse
                code = int(misuse.code or 0)
        return code, err.getvalue()

    def written(self, data: bytes, suffix: str) -> Path:
        """Return a file with *data*."""
        path = self._inputs.with_suffix(suffix)
        path.write_bytes(data)
        return path

    def commanded(self, arguments: list[str]) -> None:
        """Run the command line; an exit code of misuse or refusal adds nothing."""
        before = len(self.desk.log)
        code, err = self.run(arguments)
        self.desk.follow()
        assert code in (0, 1, 2), code
        assert "Traceback" not in err
        if code != 0:
            assert len(self.desk.log) == before, "half was done"
            assert err.strip()


def _text(data: bytes) -> str:
    return data.decode("utf-8", "surrogateescape")


def _say(entries: Entries, data: bytes) -> None:
    entries.desk.call(_text(data))


def _hear(entries: Entries, data: bytes) -> None:
    first, _, second = data.decode("utf-8", "replace").partition("|")
    texts = [first, second] if second else [first]
    entries.desk.hear(
        Recognition(tuple(Hypothesis(text, -2.0 * n) for n, text in enumerate(texts)))
    )


def _order(entries: Entries, data: bytes) -> None:
    entries.desk.at_saw = True
    try:
        _hear(entries, data)
    finally:
        entries.desk.at_saw = False


def _setting(entries: Entries, data: bytes) -> None:
    name, _, value = _text(data).partition(" ")
    entries.desk.set_setting(name, value)


def _rack(entries: Entries, data: bytes) -> None:
    entries.commanded(["rack", *_text(data).split("|")])


def _csv(entries: Entries, data: bytes) -> None:
    entries.commanded(["rack", "load", str(entries.written(data, ".csv"))])


def _import(entries: Entries, data: bytes) -> None:
    entries.commanded(["import", str(entries.written(data, ".jsonl"))])


def _wav(entries: Entries, data: bytes) -> None:
    for chunk in recording(entries.written(data, ".wav")):
        assert len(chunk.pcm) % 2 == 0


def _config(entries: Entries, data: bytes) -> None:
    entries.written(data, ".toml")
    read_config()


def _frame(entries: Entries, data: bytes) -> None:
    frame = frame_of(data)
    assert frame_of(frame_bytes(frame)) == frame


def _message(entries: Entries, data: bytes) -> None:
    message = message_of(_text(data))
    if not isinstance(message, Act):
        return
    before = len(entries.desk.log)
    told = take_act(entries.desk.memo, Device("1", "ladder phone", "ann"), message, NOON)
    again = take_act(entries.desk.memo, Device("1", "ladder phone", "ann"), message, NOON)
    assert again["kind"] == told["kind"]
    assert told["kind"] == "row" or len(entries.desk.log) == before or told["kind"] == "asks"


ENTRIES: dict[str, Callable[[Entries, bytes], None]] = {
    "say": _say,
    "hear": _hear,
    "order": _order,
    "setting": _setting,
    "rack": _rack,
    "csv": _csv,
    "import": _import,
    "wav": _wav,
    "config": _config,
    "frame": _frame,
    "message": _message,
}


def seeds(name: str, folder: Path) -> list[bytes]:
    """Return sound inputs of the entry *name*, to begin with; *folder* may be written to."""
    texts = {
        "say": CALLS,
        "hear": SPOKEN,
        "order": ("cut", "what's next", "how many left", "cut short", "skip it", "cut three"),
        "setting": SETTINGS,
        "rack": RACK,
        "csv": CSV,
        "config": CONFIG,
        "message": MESSAGES,
    }
    if name == "frame":
        return [
            frame_bytes(Frame(7, n, 1.5e12, bytes(8), flags)) for n, flags in enumerate((1, 4, 6))
        ]
    if name in texts:
        return [text.encode() for text in texts[name]]
    if name == "import":
        with contextlib.closing(Entries(folder)) as entries:
            out = io.StringIO()
            with contextlib.redirect_stdout(out):
                cli.main(["export", "--memo", str(entries.file)])
        return [out.getvalue().encode(), *(line.encode() for line in out.getvalue().splitlines())]
    return [wav(1), wav(2)]


def wav(channels: int) -> bytes:
    """Return a short recording."""
    import wave

    file = io.BytesIO()
    with wave.open(file, "wb") as sound:
        sound.setnchannels(channels)
        sound.setsampwidth(2)
        sound.setframerate(8_000)
        sound.writeframes(bytes(range(256)) * 4)
    return file.getvalue()


PIECES = (
    b"0", b"9" * 40, b"-", b"/", b"/0", b"'", b'"', b" @ ", b",", b";", b"no ", b" and ", b" minus ", b" less ",
    b"1e309", b"NaN", b"\x00", b"\x1b[2J", b"\xff", b"\xed\xa0\x80", "\u202e".encode(), "\u00bd".encode(),
    b"[" * 200, b"{", b"}", b"\n", b"\\", b"%s", b"row 1", b" half of ", b"2x4", b"12", b"7/12",
)  # fmt: skip
"""What changes put in: signs with a meaning somewhere, and ones that no text should hold."""


def changed(chance: random.Random, good: list[bytes]) -> Iterator[bytes]:
    """Yield inputs without end: sound ones with a few places changed, cut, doubled or spliced."""
    while True:
        data = bytearray(chance.choice(good))
        for _ in range(chance.choice((0, 1, 1, 2, 3, 8))):
            at = chance.randint(0, len(data))
            match chance.randrange(6):
                case 0:
                    data[at:at] = chance.choice(PIECES)
                case 1:
                    del data[at : at + chance.randint(1, 8)]
                case 2 if at < len(data):
                    data[at] ^= 1 << chance.randrange(8)
                case 3:
                    data[at : at + chance.randint(0, 3)] = chance.choice(PIECES)
                case 4:
                    data[at:at] = data[at : at + chance.randint(1, 40)]
                case _:
                    other = chance.choice(good)
                    data[at:] = other[chance.randint(0, len(other)) :]
        yield bytes(data)
