"""A chart of pieces called, cut and in trouble by day, as SVG that is read in black and white."""

from __future__ import annotations

import html
from collections.abc import Callable, Mapping, Sequence

from cutmemo.office.lines import Day
from cutmemo.wording import office_yard as words

DAYS_SHOWN = 14
"""Days that one chart shows, the last ones."""
_BAR, _HEIGHT, _LEFT, _TOP, _LEAST = 11, 150, 38, 26, 260
_KINDS = (
    (words.CALLED, "fill='#fff' stroke='#000'"),
    (words.CUT, "fill='#000' stroke='#000'"),
    (words.TROUBLE, "fill='url(#lines)' stroke='#000'"),
)
"""What is shown, and how: outlined, full, and hatched, so that no colour is needed."""
_STEPS = (1, 2, 5)


def ticks(most: int) -> list[int]:
    """Return where the lines of an axis from 0 to *most* or more lie: at most six of them."""
    power = 1
    while True:
        for step in _STEPS:
            if step * power * 5 >= most:
                return [step * power * k for k in range(-(-most // (step * power)) + 1)]
        power *= 10


def shown(days: Mapping[str, Day]) -> list[tuple[str, Day]]:
    """Return the days that a chart shows, the first first."""
    return sorted(days.items())[-DAYS_SHOWN:]


def values_of(day: Day) -> tuple[int, int, int]:
    """Return the heights of the bars of one day; one that ends below nothing has none."""
    return max(day.called, 0), max(day.cut, 0), max(day.trouble, 0)


def chart_as_svg(days: Mapping[str, Day]) -> str:
    """Return the chart; empty where there is no day to show."""
    found = shown(days)
    if not found:
        return ""
    lines = ticks(max(1, *(value for _, day in found for value in values_of(day))))
    most = max(lines[-1], 1)
    wide = max(_LEFT + len(found) * (3 * _BAR + 16) + 8, _LEAST)

    def y(value: int) -> float:
        return _TOP + _HEIGHT * (1 - value / most)

    parts = [_pattern(), _legend(), *_axis(lines, wide, y)]
    for place, (name, day) in enumerate(found):
        x = _LEFT + 8 + place * (3 * _BAR + 16)
        for k, (value, (_, look)) in enumerate(zip(values_of(day), _KINDS, strict=True)):
            if value:
                top = y(value)
                parts.append(
                    f"<rect x='{x + k * _BAR}' y='{top:.1f}' width='{_BAR - 2}' "
                    f"height='{_TOP + _HEIGHT - top:.1f}' {look}/>"
                )
        middle = x + 1.5 * _BAR
        parts.append(_text(middle, _TOP + _HEIGHT + 13, name[5:], "middle"))
    told = html.escape(words.chart_told(len(found)), quote=True)
    head = f"<svg viewBox='0 0 {wide} {_TOP + _HEIGHT + 20}' role='img' aria-label='{told}'"
    return f"{head} width='{wide * 1.3:.0f}'>{''.join(parts)}</svg>"


def _pattern() -> str:
    return (
        "<defs><pattern id='lines' width='4' height='4' patternUnits='userSpaceOnUse' "
        "patternTransform='rotate(45)'><rect width='4' height='4' fill='#fff'/>"
        "<rect width='1.6' height='4' fill='#000'/></pattern></defs>"
    )


def _legend() -> str:
    parts, x = [], _LEFT
    for name, look in _KINDS:
        parts.append(f"<rect x='{x}' y='3' width='10' height='10' {look}/>")
        parts.append(_text(x + 14, 12, name))
        x += 30 + 6 * len(name)
    return "".join(parts)


def _axis(lines: Sequence[int], wide: int, place: Callable[[int], float]) -> list[str]:
    return [
        f"<line x1='{_LEFT}' x2='{wide}' y1='{place(each):.1f}' y2='{place(each):.1f}' "
        f"stroke='#000' stroke-width='{0.8 if not each else 0.2}'/>"
        + _text(_LEFT - 4, place(each) + 3, str(each), "end")
        for each in lines
    ]


def _text(x: float, y: float, text: str, anchor: str = "start") -> str:
    return (
        f"<text x='{x:g}' y='{y:.1f}' font-size='9' text-anchor='{anchor}'>"
        f"{html.escape(text)}</text>"
    )
