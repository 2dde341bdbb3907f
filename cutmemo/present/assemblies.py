"""Writes a set of cuts with its picture, its facts and its cautions."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings
from cutmemo.framing import Assembly, Placed
from cutmemo.framing.assembly import Profile
from cutmemo.wording.framing import remark_in_words

WIDTH = 72
"""Signs across a picture."""
SLOPE_WIDTH = 46
MAX_STEPS_DRAWN = 7
MAX_BARS = 12


def assembly_as_text(
    frame: Assembly,
    shown: Callable[[Cut], str],
    settings: Settings,
    cautions: Iterable[str] = (),
) -> str:
    """Return *frame* as lines of text; *shown* writes a cut in the crew's figures.

    *cautions* are what to mind about its cuts.
    """
    cuts = [f"  {shown(cut)}" for cut in frame.cuts]
    facts = [remark_in_words(fact, settings) for fact in frame.facts]
    own = [remark_in_words(caution, settings) for caution in frame.cautions]
    warnings = [f"! {warning}" for warning in (*cautions, *own)]
    return "\n".join([picture(frame, settings), "", *cuts, "", *facts, "", *warnings])


def assembly_title(frame: Assembly, settings: Settings) -> str:
    """Return what *frame* is, in one line."""
    return remark_in_words(frame.title, settings)


def picture(frame: Assembly, settings: Settings) -> str:
    """Return *frame* as lines of signs, at most 76 wide."""
    if frame.layout:
        return "\n".join(_from_the_front(frame.layout))
    if frame.profile is None:
        return ""
    if frame.profile.steps:
        return _steps(frame.profile)
    if frame.profile.piece == "jack":
        return _side_by_side(frame.cuts, lambda cut: _inches(cut.length.inches, settings))
    if frame.profile.piece:
        return _corner(frame.profile.piece)
    return _slope(frame.profile, settings)


def _inches(value: Fraction, settings: Settings) -> str:
    return str(format_length(Length(value), settings.display, settings.fineness))


_SIGNS = {"king stud": "║", "trimmer": "┃", "header": "▀", "sill": "─"}


def _from_the_front(layout: Sequence[Placed]) -> list[str]:
    """Return every piece where it stands, to scale along; one row of signs for each height at which
    something changes.
    """
    end = max(each.right for each in layout)
    start = min(each.left for each in layout)
    heights = sorted(
        {each.bottom for each in layout} | {each.bottom + each.height for each in layout}
    )

    def column(inch: Fraction) -> int:
        return round((inch - start) / (end - start) * (WIDTH - 1))

    rows: list[str] = []
    for low, high in zip(heights, heights[1:], strict=False):
        row = [" "] * WIDTH
        middle = (low + high) / 2
        cut_through = [p for p in layout if p.bottom <= middle < p.bottom + p.height]
        for each in sorted(cut_through, key=lambda piece: piece.upright):  # uprights stay seen
            if each.upright:
                row[column(each.left + each.width / 2)] = _SIGNS.get(each.piece, "│")
                continue
            for spot in range(column(each.left), column(each.right) + 1):
                row[spot] = _SIGNS.get(each.piece, "═")
        line = "".join(row).rstrip()
        if not rows or rows[-1] != line:
            rows.append(line)
    return rows[::-1]


def _slope(profile: Profile, settings: Settings) -> str:
    """Return one slope of the roof: ridge at the right, wall below, the tail out to the left."""
    tall = max(2, min(9, round(SLOPE_WIDTH * profile.rise / profile.run / 2)))
    lines = []
    for k in range(tall):
        gap = " " * (SLOPE_WIDTH - round(SLOPE_WIDTH * (k + 1) / tall))
        slope = "╱" + " " * max(0, SLOPE_WIDTH - len(gap) - 2)
        lines.append(gap + slope + ("▐" if k < 2 else ""))  # the ridge board
    wall = 8
    lines[-1] = lines[-1][:wall] + "┬" + lines[-1][wall + 1 :]
    run = _inches(profile.run, settings)
    lines += [" " * wall + "│", " " * wall + f"├─ run {run} " + "─" * 12 + "┤ ridge"]
    return "\n".join(lines)


def _corner(name: str) -> str:
    """Return one corner of the roof from above, with the rafter that runs to it."""
    width, tall = 30, 6
    lines = ["┌" + "─" * width]
    for k in range(1, tall):
        gap = k * 5 - 3
        rest = (
            f"  {name}" if k == 2 else "─" * (width - gap - 1) + " ridge" if k == tall - 1 else ""
        )
        lines.append("│" + " " * gap + "╲" + rest)
    return "\n".join([*lines, "│"])


def _side_by_side(cuts: Sequence[Cut], of: Callable[[Cut], str]) -> str:
    """Return the cuts beside each other, to scale; of many the first and the last."""
    longest = max(cut.length.inches for cut in cuts)
    half = MAX_BARS // 2
    shown = cuts if len(cuts) <= MAX_BARS else (*cuts[:half], *cuts[-half:])
    bars = ("▄" * max(1, round(cut.length.inches / longest * 50)) for cut in shown)
    return "\n".join(f"╱{bar}╱ {of(cut)}" for bar, cut in zip(bars, shown, strict=True))


def _steps(profile: Profile) -> str:
    """Return the steps, a few of them where there are many."""
    shown = min(profile.steps, MAX_STEPS_DRAWN)
    return "\n".join(
        " " * (4 * (shown - k - 1)) + "┌───" + ("" if k else f"  {profile.steps} risers")
        for k in range(shown)
    )
