"""The keys of the program, in the order in which the bar names them.

What a key does to a row stands in the screens (``screen.``), what it does to the program in the app.
"""

from __future__ import annotations

from textual.binding import Binding, BindingType

from cutmemo.wording import screens as words

KEYS: list[BindingType] = [
    Binding("t", "type", words.TYPE, priority=True),
    Binding("l", "listen", words.LISTEN),
    Binding("c", "screen.clear", words.CUT_ONE),
    Binding("C", "screen.clear_all", words.CUT_ALL, show=False),
    Binding("1", "screen.answer(1)", words.choice(1), show=False),
    Binding("2", "screen.answer(2)", words.choice(2), show=False),
    Binding("3", "screen.answer(3)", words.choice(3), show=False),
    Binding("u", "screen.undo", words.UNDO),
    Binding("r", "screen.redo", words.REDO, show=False),
    Binding("x", "screen.strike", words.STRIKE),
    Binding("b", "screen.put_back", words.PUT_BACK),
    Binding("o", "screen.order", words.ORDER),
    Binding("s", "saw", words.SAW),
    Binding("p", "boards", words.BOARDS),
    Binding("y", "say_again", words.SAY_AGAIN, show=False),
    Binding("v", "voice", words.VOICE, show=False),
    Binding("d", "sun", words.DARK_OR_LIGHT, show=False),
    Binding("k", "screen.skip", words.SKIP, show=False),
    Binding("w", "screen.hold", words.HOLD, show=False),
    Binding("a", "play", words.AS_HEARD, show=False),
    Binding("e", "screen.handoff", words.HANDOFF, show=False),
    Binding("h", "screen.help", words.HELP),
    Binding("q", "quit", words.QUIT),
    Binding("escape", "leave", words.BACK, show=False),
]
