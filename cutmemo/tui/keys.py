"""The keys of the program, in the order in which the bar names them.

What a key does to a row stands in the screens (``screen.``), what it does to the program in the
app.
"""

from __future__ import annotations

from textual.binding import Binding, BindingType

from cutmemo.wording import screens as words
from cutmemo.wording.verbs import ORDER_KEYS

MAX_CHOICES = 9
"""Readings of a question that have a key."""

KEYS: list[BindingType] = [
    Binding("t", "type", words.TYPE, priority=True),
    Binding("l", "listen", words.LISTEN),
    Binding("m", "talk", words.TALK),
    Binding("c", "screen.clear", words.CUT_ONE),
    Binding("C", "screen.clear_all", words.CUT_ALL, show=False),
    *(
        Binding(str(n), f"screen.answer({n})", words.choice(n), show=False)
        for n in range(1, MAX_CHOICES + 1)
    ),
    Binding("u", "screen.undo", words.UNDO),
    Binding("r", "screen.redo", words.REDO, show=False),
    Binding("x", "screen.strike", words.STRIKE),
    Binding("b", "screen.put_back", words.PUT_BACK),
    Binding("o", "screen.order", words.ORDER),
    Binding("s", "saw", words.SAW),
    Binding("p", "boards", words.BOARDS),
    Binding("P", "screen.print", words.PRINT, show=False),
    Binding("y", "say_again", words.SAY_AGAIN, show=False),
    Binding("v", "voice", words.VOICE, show=False),
    Binding("d", "sun", words.DARK_OR_LIGHT, show=False),
    *(Binding(key, f"screen.give('{verb}')", verb, show=False) for key, verb in ORDER_KEYS),
    Binding("w", "screen.hold", words.HOLD, show=False),
    Binding("a", "play", words.AS_HEARD, show=False),
    Binding("e", "screen.handoff", words.HANDOFF),
    Binding("h,question_mark,f1", "screen.help", words.HELP),
    Binding("q", "leave_program", words.QUIT),
    Binding("escape", "leave", words.BACK, show=False),
]
BAR = [
    (key.key.partition(",")[0], key.description)
    for key in KEYS
    if isinstance(key, Binding) and key.show
]
"""The keys that the bar of the memo names."""
