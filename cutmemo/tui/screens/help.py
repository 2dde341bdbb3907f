"""The help: keys, how to speak, and what to mind at the saw."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Static

HELP = """\
KEYS
  t  type a call            l  listen, or stop         h  this help
  c  one piece is cut       C  all of the row          s  the saw view
  1 2 3  take a reading     x  strike the row          b  put back
  u  undo                   r  redo                    o  next order
  y  say the last again     v  read-back on or off     d  dark or light
  k  skip: cut it last      w  hold, or off hold       a  hear the call again
  p  the boards             e  the hand-off            q  leave, Esc  back

HOW TO SAY IT
  one oh one and a half            101-1/2
  four at fourteen and five eighths, two by six header
  101-1/2, 102-1/8                 typed with commas: a row for each
  eight foot two and three sixteenths
  no, make that thirty six         corrects the last call
  make it three · one more · scratch that · put it back
  cut · next                       clears one piece
  ten two by four sixteen footers  puts boards on the rack
  rafters span twenty four foot pitch seven twelve overhang twelve
  wall twelve foot high ninety seven and an eighth · stairs rise one oh seven
A call with two meanings asks, and counts only once you answer.

AT THE SAW (s)
  c or space cuts one, t tells trouble (short, long, wrong angle, bad stock).
  l listens for orders only: cut · next · put it back · how many left · what's next
  read it back · cut short · bad stock · skip it · hold it · release
  Guards work and are never pinned back. Hands stay 6 in. or more from the blade.
  A piece too short to hold is clamped, or cut off a longer one. Never freehand.
  Eyes and ears protected. No talking to the memo in the middle of a cut.
  Measure twice. Arithmetic only: plans, local code, the inspector, a licensed
  designer and the saw's manual govern.

Esc leaves this page."""


class HelpScreen(ModalScreen[None]):
    """One page of help over the memo."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,h,q", "dismiss", "Back")]

    def compose(self) -> ComposeResult:
        """Show the page."""
        with VerticalScroll(id="help"):
            yield Static(HELP, markup=False)
