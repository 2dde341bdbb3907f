"""How one crew speaks, measures and saws: set once, kept with every cut."""

from __future__ import annotations

import re
from dataclasses import asdict, dataclass, fields, replace
from fractions import Fraction
from typing import Any, Literal, get_args, get_origin, get_type_hints

from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.length import Display
from cutmemo.domain.units import exact_number, from_inches, to_inches
from cutmemo.errors import BadSetting


@dataclass(frozen=True, slots=True)
class Settings:
    """The crew's settings. Lengths are inches, angles degrees."""

    pairs: Literal["ask", "feet", "inches"] = "ask"
    """What "six two" is: 6 ft 2 in., or 62 in."""
    bare: Literal["ask", "no", "eighths", "sixteenths"] = "ask"
    """What "ninety two and five" leaves off; ``sixteenths`` also reads "thirty six twelve" as
    36-12/16.
    """
    shade: Fraction | None = None
    """How much "strong" or "shy" is worth; ``None`` keeps the word and no number."""
    fineness: Literal[8, 16, 32, 64] = 16
    """Marks an inch on the crew's tape."""
    display: Display = "inches"
    figures: Literal["inches", "mm"] = "inches"
    """What a number without a unit is."""
    bare_boards: Literal["ask", "feet", "inches"] = "ask"
    """What the length of a board is that may be feet and has no unit: 16 ft, or 16 in."""
    kerf: Fraction = Fraction(1, 8)
    trim: Fraction = Fraction(0)
    """Taken off the end of a board before the first cut."""
    leftover: Fraction = Fraction(12)
    """The shortest left-over worth keeping."""
    longest: Fraction = Fraction(288)
    """The longest board loaded (24 ft: the longest usual stock, common practice)."""
    shortest: Fraction = Fraction(12)
    """Below this, hands come near the blade (12 in. is a usual least, common practice)."""
    miter: Fraction = Fraction(50)
    """How far the saw swings (set it from the saw's manual)."""
    bevel: Fraction = Fraction(45)
    """How far the saw tilts (set it from the saw's manual)."""
    site: str | None = None
    """What this site is called, for the office and for other sites."""

    def to_plain(self) -> dict[str, Any]:
        """Return plain values for JSON, fractions as text."""
        return {name: str(v) if isinstance(v, Fraction) else v for name, v in asdict(self).items()}

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> Settings:
        """Return the settings that :meth:`to_plain` wrote; settings it does not know are
        refused.
        """
        settings = cls()
        for name, value in plain.items():
            settings = settings.with_stored(name, value)
        return settings

    def with_setting(self, name: str, text: str) -> Settings:
        """Return these settings with one setting changed. Raises :class:`BadSetting` naming what
        would fit.
        """
        text = text.strip()
        bare = name in LENGTHS and _BARE.fullmatch(text) is not None
        if bare and self.figures == "mm":
            text = f"{text}mm"
        elif bare and name == "longest" and exact_number(text) < LEAST_BARE_LONGEST:
            raise BadSetting(doubt(DoubtKind.FEET_OR_INCHES, name=name, text=text))
        changed = self._parsed(name, text)
        if name in MOST and (getattr(changed, name) or 0) > MOST[name]:
            raise BadSetting(doubt(DoubtKind.PAST_ANY_SIZE, name=name, text=text, most=MOST[name]))
        return changed

    def with_stored(self, name: str, value: str | int | None) -> Settings:
        """Return these settings with one as a memo holds it. Raises :class:`BadSetting`."""
        return self._parsed(name, "off" if value is None else str(value))

    def _parsed(self, name: str, text: str) -> Settings:
        """Return these settings with one setting changed, however large: what an older memo holds
        must open.
        """
        hints = get_type_hints(type(self))
        if name not in hints:
            raise BadSetting(doubt(DoubtKind.NO_SUCH_SETTING, name=name, settings=", ".join(hints)))
        hint = hints[name]
        if get_origin(hint) is Literal:
            for allowed in get_args(hint):
                if str(allowed) == text:
                    return _with(self, name, allowed)
            values = ", ".join(map(str, get_args(hint)))
            raise BadSetting(doubt(DoubtKind.NO_SUCH_VALUE, name=name, text=text, values=values))
        if name == "site":
            return replace(self, site=None if text in ("off", "") else " ".join(text.split()))
        if name == "shade" and text in ("off", "none", ""):
            return replace(self, shade=None)
        try:
            value = _inches(text)
        except (ValueError, ZeroDivisionError) as error:
            raise BadSetting(doubt(DoubtKind.NO_SIZE, name=name, text=text)) from error
        if value > MAX_STORED:
            raise BadSetting(doubt(DoubtKind.PAST_ANY_SIZE, name=name, text=text, most=MAX_STORED))
        if value < 0 or (value == 0 and name not in ("trim", "kerf")):
            raise BadSetting(doubt(DoubtKind.NO_AMOUNT, name=name))
        return _with(self, name, value)

    def written(self, name: str) -> str | None:
        """Return the setting *name* as :meth:`with_setting` takes it: a length in millimetres where
        lengths are shown metric.
        """
        value = getattr(self, name)
        if self.display == "mm" and name in LENGTHS and value is not None:
            millimetres = from_inches(value, "millimetre")
            return f"{float(millimetres):g}mm"
        return None if value is None else str(value)

    def shown(self) -> str:
        """Return the settings that decide how a call is read, in one line."""
        pair = {"ask": "ask", "feet": "6 2 = 6' 2\"", "inches": '6 2 = 62"'}[self.pairs]
        bare = {"ask": "ask", "no": "refuse", "eighths": "eighths", "sixteenths": "sixteenths"}[
            self.bare
        ]
        return f"pairs {pair} · bare {bare} · tape 1/{self.fineness} · kerf {self.kerf}"


def _inches(text: str) -> Fraction:
    """Return the inches of ``1/8``, ``14-1/2"``, ``16'`` or ``3mm``. Raises :class:`ValueError` or
    :class:`ZeroDivisionError`.
    """
    plain = text.strip()
    foot = next((mark for mark in ("'", "ft", "feet", "foot") if plain.endswith(mark)), "")
    if foot:
        return to_inches(exact_number(plain.removesuffix(foot).strip()), "foot")
    plain = plain.removesuffix("in").strip()
    if plain.endswith("mm"):
        return to_inches(exact_number(plain.removesuffix("mm").strip()), "millimetre")
    whole, _, fraction = plain.strip('"').partition("-")
    part = exact_number(fraction) if fraction else Fraction(0)
    if not 0 <= part < 1:
        raise ValueError(f"no fraction of an inch: {fraction[:40]!r}")
    return exact_number(whole) + part


LENGTHS = ("kerf", "trim", "leftover", "longest", "shortest", "shade")
"""The settings that are lengths; a crew that calls millimetres gives them in millimetres."""
LEAST_BARE_LONGEST = 48
"""A number below it is as likely feet, which lumber is called by (common practice)."""
_BARE = re.compile(r"\d+(?:\.\d+)?")
MAX_STORED = Fraction(1_000_000)
"""No setting that an older memo holds is larger, in inches or degrees: more is damage."""
MOST = {
    "kerf": Fraction(1),
    "trim": Fraction(24),
    "shade": Fraction(1),
    "longest": Fraction(720),
    "leftover": Fraction(288),
    "shortest": Fraction(48),
    "miter": Fraction(75),
    "bevel": Fraction(60),
}
"""Beyond these a size is a slip of the keys."""


def _with(settings: Settings, name: str, value: Any) -> Settings:
    """Return *settings* with the setting *name* changed; the value was checked against its type."""
    return replace(settings, **{name: value})


SETTINGS = tuple(field.name for field in fields(Settings))
