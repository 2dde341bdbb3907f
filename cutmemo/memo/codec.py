"""Events to bytes and back: by kind and version, checked on every read, unknown ones kept as they
are.
"""

from __future__ import annotations

import functools
import hashlib
import json
import re
from collections.abc import Iterable
from datetime import datetime
from fractions import Fraction
from json.encoder import encode_basestring
from typing import Any

import msgspec

from cutmemo.domain.cut import Rise
from cutmemo.domain.signs import code_point, hidden_sign, visible_values
from cutmemo.errors import BadImport
from cutmemo.memo.events import BY_KIND, Event, Payload, Unreadable
from cutmemo.memo.upcast import FIRST_FORMAT, from_first_format

_FRACTION = re.compile("-?[0-9]{1,40}(?:/[1-9][0-9]{0,39})?")
"""A mark behind several slanted cuts, with a kerf of millimetres, has some twenty figures."""
MAX_LINE = 4_000_000
"""Signs in one line of an import: more is no event."""
MAX_NAME = 1_000
"""Signs in the name of an entry, a person, a station or a kind."""
_ENVELOPE = ("id", "at", "station", "who", "kind", "version", "payload")


def to_wire(value: Any) -> Any:
    """Return an exact number as JSON holds it; msgspec's ``enc_hook``."""
    if isinstance(value, Rise) and value.denominator == 1:
        return value.numerator
    if isinstance(value, Fraction):
        return str(value)
    raise NotImplementedError(type(value))


def from_wire(kind: type, value: Any) -> Any:
    """Return the exact number that :func:`to_wire` wrote, and no other; msgspec's ``dec_hook``.

    Raises :class:`ValueError`.
    """
    if kind is Rise and type(value) is int:
        return Rise(value)
    if kind in (Rise, Fraction):
        if not isinstance(value, str):
            raise ValueError(f"no exact number: {str(value)[:40]!r}")
        exact = _fraction(value)
        if kind is Fraction:
            return exact
        if exact.denominator == 1:
            raise ValueError(f"a whole rise is a number: {value[:40]!r}")
        return Rise(exact)
    raise NotImplementedError(kind)


@functools.lru_cache(maxsize=65_536)  # a day says the same few lengths and sizes again and again
def _fraction(text: str) -> Fraction:
    if not _FRACTION.fullmatch(text):
        raise ValueError(f"no exact number: {text[:40]!r}")
    return Fraction(text)


_ENCODER = msgspec.json.Encoder(enc_hook=to_wire, order="deterministic")


@functools.cache
def _decoder(payload: type[Payload]) -> msgspec.json.Decoder[Payload]:
    return msgspec.json.Decoder(payload, dec_hook=from_wire)


def encode(payload: Payload) -> str:
    """Return *payload* as one line of JSON; equal payloads give equal text."""
    return _ENCODER.encode(payload).decode()


def written(payload: Payload) -> str:
    """Return *payload* as one line of JSON that was read again and says the same.

    Raises :class:`ValueError` where it cannot be read again: to write it would be to lose it.
    """
    raw = encode(payload)
    again = decode(payload.KIND, payload.VERSION, raw)
    if isinstance(again, Unreadable):
        raise ValueError(again.why)
    if encode(again) != raw:
        raise ValueError("it says something else when it is read again")
    return raw


def decode(kind: str, version: int, raw: str) -> Payload | Unreadable:
    """Return what *raw* says, in the newest version of its kind, its hidden signs written out.

    Never raises: what cannot be read comes back as :class:`Unreadable`.
    """
    known = BY_KIND.get(kind)
    if known is None or version > known.VERSION:
        return Unreadable(newer=True, why=f"{kind}, version {version}")
    try:
        if "\\u" in raw or not raw.isprintable():
            raw = json.dumps(visible_values(json.loads(raw)), ensure_ascii=False)
        if version == FIRST_FORMAT:
            return from_first_format(kind, json.loads(raw))
        return _decoder(known).decode(raw)
    except KeyError as error:
        return Unreadable(newer=False, why=f"{str(error.args[0])[:100]} is missing")
    except (msgspec.MsgspecError, ValueError, TypeError, AttributeError) as error:
        return Unreadable(newer=False, why=str(error)[:200])
    except (ArithmeticError, RecursionError) as error:
        return Unreadable(newer=False, why=type(error).__name__)


def digest(event: Event) -> str:
    """Return the BLAKE2b hash of all that *event* says, as 32 hexadecimal figures."""
    parts = (event.id, event.at, event.station, event.who, event.kind, str(event.version))
    causes = (event.replica, str(event.number), *event.after)
    # What json.dumps makes of this list, in a third of the time.
    text = f"[{', '.join(map(encode_basestring, (*parts, event.raw, *causes)))}]"
    return hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=16).hexdigest()


def to_line(event: Event) -> str:
    """Return *event* as a line of JSON: its payload byte for byte as it was written.

    A damaged one gets no hash, so that nobody takes it for sound.
    """
    if event.damaged:
        plain = json.dumps({name: getattr(event, name) for name in _ENVELOPE[:-1]})
        return f'{plain[:-1]}, "hash": "", "payload": {json.dumps(event.raw)}}}'
    head = {name: getattr(event, name) for name in _ENVELOPE[:-1]}
    causes = {"replica": event.replica, "number": event.number, "after": list(event.after)}
    plain = json.dumps({**head, **causes, "hash": digest(event)}, ensure_ascii=False)
    return f'{plain[:-1]}, "payload": {event.raw}}}'


def from_line(line: str, hashed: bool = True) -> Event:
    """Return the event of one line. Raises :class:`ValueError` where it is none, or damaged.

    *hashed* asks for its hash, which events of the first format have none of.
    """
    if len(line) > MAX_LINE:
        raise ValueError("it is too long")
    plain = json.loads(line)
    if not isinstance(plain, dict):
        raise ValueError("not an event")
    missing = [name for name in _ENVELOPE if name not in plain]
    if missing:
        raise ValueError(f"{missing[0]} is missing")
    _check_envelope(plain)
    raw = _raw_payload(line)
    kind, version = plain["kind"], plain["version"]
    event = Event(
        plain["id"],
        plain["at"],
        plain["station"],
        plain["who"],
        kind,
        version,
        decode(kind, version, raw),
        raw,
        plain.get("replica", ""),
        plain.get("number", 0),
        tuple(plain.get("after", ())),
    )
    if "hash" in plain and plain["hash"] != digest(event):
        raise ValueError("its hash does not fit: it was damaged or edited")
    if isinstance(event.payload, Unreadable) and not event.payload.newer:
        raise ValueError(event.payload.why)
    if not isinstance(event.payload, Unreadable) and version != FIRST_FORMAT:
        _refuse_extra(json.loads(raw), json.loads(encode(event.payload)))
    if event.id in event.after or getattr(event.payload, "event", None) == event.id:
        raise ValueError("it names itself")
    if "hash" not in plain and version != FIRST_FORMAT and hashed:
        raise ValueError("its hash is missing: it was edited")
    return event


def _check_envelope(plain: dict[str, Any]) -> None:
    """Raise :class:`ValueError` where a field beside the payload has the wrong type."""
    after = plain.get("after", [])
    if not isinstance(after, list):
        raise ValueError("a field has the wrong type")
    texts = [plain[name] for name in ("id", "at", "station", "who", "kind")]
    texts += [plain.get("replica", ""), *after]
    if not all(isinstance(text, str) for text in texts):
        raise ValueError("a field has the wrong type")
    if any(len(text) > MAX_NAME for text in texts):
        raise ValueError("a name is too long")
    if not all(plain[name] for name in ("id", "station", "who", "kind")):
        raise ValueError("a field is empty")
    for name in ("version", "number"):
        number = plain.get(name, 0)
        if isinstance(number, bool) or not isinstance(number, int) or not 0 <= number < 2**53:
            raise ValueError(f"{name} cannot be {number!r}")
    if not isinstance(plain["payload"], dict):
        raise ValueError("a field has the wrong type")
    for text in texts:
        sign = hidden_sign(text, name=True)
        if sign is not None:
            raise ValueError(f"a sign in it cannot be seen, {code_point(sign)}")
    datetime.fromisoformat(plain["at"])


class _Line(msgspec.Struct):
    """The payload of a line, its bytes as they are."""

    payload: msgspec.Raw


def _raw_payload(line: str) -> str:
    """Return the text of the payload of *line*, unchanged."""
    return bytes(msgspec.json.decode(line.encode("utf-8"), type=_Line).payload).decode()


def _refuse_extra(given: Any, kept: Any) -> None:
    """Raise :class:`ValueError` where *given* has a field that is not *kept*: it would be lost."""
    if isinstance(given, dict) and isinstance(kept, dict):
        for name, value in given.items():
            if name in kept:
                _refuse_extra(value, kept[name])
            elif value not in (None, "", False, [], {}):
                raise ValueError(f"“{name[:40]}” is not known")
    elif isinstance(given, list) and isinstance(kept, list):
        for one, other in zip(given, kept, strict=False):
            _refuse_extra(one, other)


def events_of(lines: Iterable[str]) -> list[tuple[int, Event]]:
    """Return the number of each line (from 1) and its event, empty lines left out.

    Raises :class:`BadImport` for the first line that is no event.
    """
    found = []
    for number, line in enumerate(lines, start=1):
        if line.strip():
            try:
                found.append((number, from_line(line)))
            except (ValueError, TypeError, RecursionError, msgspec.MsgspecError) as error:
                why = str(error) if not isinstance(error, RecursionError) else "it is too deep"
                raise BadImport(number, why[:200]) from error
    return found
