"""The sites as the one who orders knows them: what is asked, left out, and on its way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cutmemo.memo.decide.rack import MAX_PIECES
from cutmemo.memo.moves import Move, same_name
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState


@dataclass(frozen=True, slots=True)
class Site:
    """One site, as the one who orders knows it."""

    name: str
    state: MemoState
    heard: str = ""
    """When something came from it last, as ISO 8601; empty where nobody knows."""


def rows_to_lay(state: MemoState) -> list[Row]:
    """Return the rows that are laid onto boards: open, of a section. One on hold is not cut now,
    and needs its lumber all the same.
    """
    return [row for row in state.of_state("open") if row.cut.section is not None]


def too_many(state: MemoState) -> bool:
    """Return whether one site has more pieces than are laid."""
    return sum(row.left for row in rows_to_lay(state)) > MAX_PIECES


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What of one site no order holds, in pieces, and why."""

    site: str
    asked: int = 0
    """In rows that ask a question."""
    unsized: int = 0
    """In open rows that name no section."""
    too_many: int = 0
    """All of a site that has more pieces than are laid."""
    unread: int = 0
    """Entries that cannot be read, or that wait for what they are about."""
    silent_since: str = ""
    """When the site was heard from last, where that was before the day."""

    @property
    def anything(self) -> bool:
        """Return whether anything is left out."""
        counts = (self.asked, self.unsized, self.too_many, self.unread)
        return any(counts) or bool(self.silent_since)


def left_out(sites: Iterable[Site], day: str) -> list[LeftOut]:
    """Return what is left out of the orders of each site; *day* (``2026-05-04``) is today."""
    found = []
    for site in sites:
        state = site.state
        still = state.of_state("open")
        sized = rows_to_lay(state)
        found.append(
            LeftOut(
                site.name,
                sum(row.left for row in state.of_state("doubtful")),
                sum(row.left for row in still if row.cut.section is None),
                sum(row.left for row in sized) if too_many(state) else 0,
                len(state.unreadable) + len(state.waiting),
                site.heard if site.heard[:10] < day else "",
            )
        )
    return [each for each in found if each.anything]


def on_hold(sites: Iterable[Site]) -> dict[str, int]:
    """Return the pieces of each site that are ordered although they are not to be cut now."""
    found = {
        site.name: sum(row.left for row in rows_to_lay(site.state) if row.held)
        for site in sites
        if not too_many(site.state)
    }
    return {site: pieces for site, pieces in found.items() if pieces}


def on_the_way(sites: Iterable[Site]) -> list[Move]:
    """Return the loads that have left a site and arrived at none, as far as anything is known of
    them at either end, the first that left first.
    """
    ends: dict[str, list[Move]] = {}
    names: set[str] = set()
    for site in sites:
        names |= {same_name(site.name), *site.state.names}
        for move in site.state.moves:
            ends.setdefault(move.id, []).append(move)
    found = []
    for moves in ends.values():
        known = next((move for move in moves if move.going), None)
        move = known or moves[0]
        taken_back = known is None and same_name(move.sender) in names
        if not taken_back and all(each.standing == "on its way" for each in moves):
            found.append(move)
    return sorted(found, key=lambda move: (move.at, move.id))
