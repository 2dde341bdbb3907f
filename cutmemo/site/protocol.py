"""What a page and the server of the site say to each other: frames of sound, messages, bounds.

Nothing from a page is taken further than this module unless it has the form that stands here.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import msgspec

from cutmemo.audio.chunk import RATE
from cutmemo.errors import CutmemoError

VERSION = 1
"""Raised whenever an old page could misunderstand a new server, or the other way."""
SUBPROTOCOL = f"cutmemo.{VERSION}"
FRAME_SECONDS = 0.08
"""How much sound a page puts into one frame."""
MAX_FRAME_BYTES = 16_384
"""Of sound in one frame, half a second: what a page with another frame length may send."""
MAX_TEXT_BYTES = 32_768
"""Of one message in JSON."""
WINDOW = 250
"""So many frames a page sends beyond the last one the server told it has heard: 20 s."""
MAX_STREAMS, MAX_ACTS = 64, 500
"""Of which a page may speak in one greeting."""
PING_SECONDS, SILENT_SECONDS = 10, 30
"""How often a page says that it is there, and after how long without a word it is let go."""

_HEADER = struct.Struct("<BBHQId")
HEADER_BYTES = _HEADER.size
"""24: version u8, flags u8, reserved u16, stream u64, number u32, clock f64, little-endian."""
FIRST, LAST, HELD, MUTED, AT_SAW = 1, 2, 4, 8, 16
"""Flags of a frame: it begins an utterance or a stream; it ends one; push-to-talk; silence in place
of what this device itself was saying; only orders are taken, since the page of the saw is up.
"""


class BadMessage(CutmemoError, ValueError):
    """What came from a page has not the form that it must have."""

    code = "bad-message"

    def __init__(self, why: str) -> None:
        """Record *why*, for the log."""
        self.why = why
        super().__init__(why)


class OtherVersion(BadMessage):
    """The page is older or newer than the server: it has to load anew."""

    code = "other-version"


@dataclass(frozen=True, slots=True)
class Frame:
    """A short piece of sound, with its place in the stream."""

    stream: int
    number: int
    """From 0, without a hole."""
    clock: float
    """When its first sample was heard, by the clock of the device: milliseconds since 1970."""
    pcm: bytes
    """16-bit little-endian mono at 16 kHz; may be empty in the last frame."""
    flags: int = 0

    @property
    def seconds(self) -> float:
        """Return how long it lasts."""
        return len(self.pcm) / (2 * RATE)


def frame_of(data: bytes) -> Frame:
    """Return the frame in *data*. Raises :class:`BadMessage`, :class:`OtherVersion`."""
    if not data or len(data) < HEADER_BYTES:
        raise BadMessage("a frame is shorter than its header")
    version, flags, reserved, stream, number, clock = _HEADER.unpack_from(data)
    if version != VERSION:
        raise OtherVersion(f"a frame of version {version}")
    pcm = data[HEADER_BYTES:]
    if len(pcm) > MAX_FRAME_BYTES:
        raise BadMessage("a frame is too long")
    if len(pcm) % 2 or flags > 31 or reserved or not 0 <= clock < 1e14:
        raise BadMessage("a frame has no such form")
    if not pcm and not flags & LAST:
        raise BadMessage("an empty frame ends nothing")
    return Frame(stream, number, clock, pcm, flags)


def frame_bytes(frame: Frame) -> bytes:
    """Return *frame* as it travels."""
    header = _HEADER.pack(VERSION, frame.flags, 0, frame.stream, frame.number, frame.clock)
    return header + frame.pcm


def stream_name(stream: int) -> str:
    """Return the number of a stream as messages name it: JSON has no whole numbers so large."""
    return f"{stream:016x}"


StreamName = Annotated[str, msgspec.Meta(pattern="^[0-9a-f]{16}$")]
ActId = Annotated[str, msgspec.Meta(pattern="^[0-9a-f]{32}$")]
Short = Annotated[str, msgspec.Meta(max_length=200)]
Number = Annotated[int, msgspec.Meta(ge=-1, le=2**32 - 1)]
Clock = Annotated[float, msgspec.Meta(ge=0, lt=1e14)]
Where = Literal["work", "saw", "boards"]
Ear = Literal["off", "held", "free", "hidden"]
"""How a device hears: not at all; while a thumb holds the button; hands-free; no longer, since the
page was hidden or the device locked.
"""
Do = Literal[
    "say",
    "answer",
    "no",
    "clear",
    "clear all",
    "undo",
    "redo",
    "strike",
    "put back",
    "hold",
    "release",
    "skip",
    "trouble",
    "order",
]


class _Message(msgspec.Struct, frozen=True, forbid_unknown_fields=True, tag_field="t"):
    """One message of a page."""


class StreamAt(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A stream of which the page still keeps frames, and the number of the first it keeps."""

    id: StreamName
    next: Number


class Hello(_Message, frozen=True, tag="hello"):
    """The first message of a connection."""

    v: int
    clock: Clock
    """The clock of the device now."""
    page: Short = ""
    """The version of the page's files."""
    streams: Annotated[tuple[StreamAt, ...], msgspec.Meta(max_length=MAX_STREAMS)] = ()
    acts: Annotated[tuple[ActId, ...], msgspec.Meta(max_length=MAX_ACTS)] = ()
    """Acts that were not answered yet."""
    at: Where = "work"
    ear: Ear = "off"
    by_id: bool = False
    """Whether the page knows a row of a view that it has already by its id alone."""


class Act(_Message, frozen=True, tag="act"):
    """Something done on the page; sent again under the same id it is done once."""

    id: ActId
    do: Do
    at: Clock
    """When, by the clock of the device."""
    row: Short | None = None
    """The row it is about; left out where that is for the memo to know."""
    seen: Short | None = None
    """The row's ``seen`` as the page showed it: what was changed by somebody since is refused."""
    text: Annotated[str, msgspec.Meta(max_length=2_000)] = ""
    """The words that were typed, for ``say``."""
    choice: Annotated[int, msgspec.Meta(ge=0, le=9)] = 0
    """Which reading, from 1, for ``answer``."""
    reason: Literal["", "short", "long", "wrong angle", "bad stock"] = ""
    """What is wrong with the piece, for ``trouble``."""
    was_cut: bool | None = None
    """For ``trouble``: the piece just cut (true) or the one in hand (false)."""
    order: Literal["", "called", "longest", "saw"] = ""
    """For ``order``; left out for the next one."""
    place: Where = "work"
    shown: Short | None = None
    """The row that stands large: a typed answer that names no row goes to it."""


class End(_Message, frozen=True, tag="end"):
    """No frame of this stream comes behind number *upto*: the page that heard it is gone."""

    stream: StreamName
    upto: Number


class Look(_Message, frozen=True, tag="look"):
    """Which page is up, and how the device hears."""

    at: Where
    ear: Ear = "off"


class Ping(_Message, frozen=True, tag="ping"):
    """The page is there."""

    clock: Clock


Message = Hello | Act | End | Look | Ping
_decoder: msgspec.json.Decoder[Message] = msgspec.json.Decoder(Message)


def message_of(text: str) -> Message:
    """Return the message in *text*. Raises :class:`BadMessage`, :class:`OtherVersion`."""
    if len(text) > MAX_TEXT_BYTES:
        raise BadMessage("a message is too long")
    try:
        message = _decoder.decode(text)
    except (msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        _check_version(text)  # a greeting of another version may have another form
        raise BadMessage(str(error)[:200]) from error
    if isinstance(message, Hello) and message.v != VERSION:
        raise OtherVersion(f"a page of version {message.v}")
    return message


class _Greeting(msgspec.Struct):
    """What a greeting of any version has."""

    t: Literal["hello"]
    v: int


def _check_version(text: str) -> None:
    """Raise :class:`OtherVersion` where *text* is a greeting of another version."""
    try:
        greeting = msgspec.json.decode(text, type=_Greeting)
    except (msgspec.MsgspecError, RecursionError, UnicodeError):
        return
    if greeting.v != VERSION:
        raise OtherVersion(f"a page of version {greeting.v}")


def message_text(kind: str, /, **facts: Any) -> str:
    """Return a message to a page. *kind* is its ``t``."""
    return msgspec.json.encode({"t": kind, **facts}).decode()
