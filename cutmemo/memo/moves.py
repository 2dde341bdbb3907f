"""Loads between two sites: each is at one place at a time, whatever is known of it, in which order.

A load is sent by one event at the site that it leaves, and a copy of that event tells the other
site. There it arrives, or is refused, by another event, a copy of which goes back. Where those
contradict each other, what somebody saw arrive counts before a refusal, and both before the
sending, taken back or not.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from cutmemo.memo import events as e
from cutmemo.memo.events import Event
from cutmemo.memo.goods import Goods, SentBoards
from cutmemo.memo.naming import load_named
from cutmemo.planning.rack import Lot, Rack

Standing = Literal["on its way", "arrived", "refused", "taken back"]


def same_name(name: str) -> str:
    """Return *name* in the form that names of sites are compared in: small letters, single
    spaces.
    """
    return " ".join(name.casefold().split())


@dataclass(frozen=True, slots=True)
class Move:
    """One load, as far as this memo knows."""

    id: str
    """The event that sent it."""
    number: int
    """What people here call it: 1 for the first; 0 for one whose sending does not count."""
    sender: str
    to: str
    goods: Goods
    at: str
    """When it left, as ISO 8601."""
    who: str
    going: bool
    """True for one that left here, false for one that is meant for here."""
    sent: bool = True
    """Whether the sending counts; it does not once it is taken back."""
    arrived: bool = False
    refused: bool = False
    lot: Lot | None = None
    """The lot that its boards left, as it was, where they left here."""
    gone: int = 0
    """How much of it is off the list or the rack here, where it left here."""

    @property
    def standing(self) -> Standing:
        """Return where it is."""
        if self.arrived:
            return "arrived"
        if self.refused:
            return "refused"
        return "on its way" if self.sent else "taken back"

    @property
    def off(self) -> bool:
        """Return whether it is off the list or the rack that it left."""
        return self.standing in ("on its way", "arrived")

    @property
    def missing(self) -> int:
        """Return how much of what left here was not there any more: two sent the same."""
        return self.goods.count - self.gone if self.going and self.off else 0


def move_of(event: Event, payload: e.Sent | e.Arrived | e.LoadRefused, going: bool) -> Move:
    """Return the load of *payload*, of which nothing was known before."""
    name = load_named(payload) or event.id
    sent = isinstance(payload, e.Sent)
    return Move(
        name, 0, payload.sender, payload.to, payload.goods, event.at, event.who, going, sent
    )


def rack_after(rack: Rack, move: Move) -> tuple[Rack, Move]:
    """Return the rack and *move* after its boards left the rack, or came back to it."""
    goods = move.goods
    if not isinstance(goods, SentBoards) or not move.going or move.off == bool(move.gone):
        return rack, move
    lot = rack.by_id(goods.lot)
    if move.off:
        gone = min(goods.count, lot.count if lot is not None else 0)
        if lot is None or not gone:
            return rack, move
        return rack.changed(lot.id, lot.count - gone), replace(move, gone=gone, lot=lot)
    back = replace(move, gone=0)
    if lot is not None:
        return rack.changed(lot.id, lot.count + move.gone), back
    if move.lot is None:
        return rack, back
    return replace(rack, lots=(*rack.lots, replace(move.lot, count=move.gone))), back


def is_of_another_site(
    event: Event, names: Collection[str], find: Callable[[str], Event | None]
) -> bool:
    """Return whether *event* is a copy of what another site did; *names* are those of this one,
    *find* returns the event with an id.
    """
    payload = event.payload
    if isinstance(payload, e.EventUndone | e.EventRedone):
        meant = find(payload.event)
        return meant is not None and is_of_another_site(meant, names, find)
    if isinstance(payload, e.Sent):
        return same_name(payload.sender) not in names
    if isinstance(payload, e.Arrived | e.LoadRefused):
        return same_name(payload.sender) in names
    return False


def to_hand_over(
    memos: Mapping[str, Iterable[Event]], called: Mapping[str, Collection[str]] | None = None
) -> dict[str, list[Event]]:
    """Return, by site, the events of others that tell it of loads and that it does not have yet.

    *memos* are the events of each site by its name, *called* what else each is called. A sending
    goes to the site that it names; an arrival and a refusal to the sender; what takes one of these
    back, or does it again, wherever that went. Pure; once all is handed over, nothing is left.
    """
    names = {
        same_name(each): site
        for site in memos
        for each in (site, *(called or {}).get(site, ()))
        if each
    }
    logs = {site: {event.id: event for event in events} for site, events in memos.items()}
    out: dict[str, list[Event]] = {site: [] for site in memos}
    for site, log in logs.items():
        for event in log.values():
            other = other_site(event, site, log.get, names)
            if other is not None and event.id not in logs[other]:
                out[other].append(event)
    return {site: list({each.id: each for each in found}.values()) for site, found in out.items()}


def other_site(
    event: Event, site: str, find: Callable[[str], Event | None], names: Mapping[str, str]
) -> str | None:
    """Return the site beside *site* that *event* has to reach, or ``None``.

    *find* returns the event of *site* with an id; *names* are sites by what they are called, as
    :func:`same_name` has it.
    """
    payload = event.payload
    if isinstance(payload, e.EventUndone | e.EventRedone):
        meant = find(payload.event)
        return None if meant is None else other_site(meant, site, find, names)
    if not isinstance(payload, e.Sent | e.Arrived | e.LoadRefused):
        return None
    ends = (names.get(same_name(payload.sender)), names.get(same_name(payload.to)))
    return next((each for each in ends if each not in (None, site)), None)
