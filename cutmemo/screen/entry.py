"""The line where calls are typed."""

from __future__ import annotations

from textual.events import Key, Paste
from textual.message import Message
from textual.widgets import Input


class Entry(Input):
    """Enter takes what is in the line at once: what is typed right behind it is the next call, and no key of it is lost."""

    class SeveralLines(Message):
        """More than one line was pasted."""

        def __init__(self, lines: int) -> None:
            """Say how many."""
            super().__init__()
            self.lines = lines

    def on_paste(self, event: Paste) -> None:
        """Take one line; of several all but the first would be lost, so none is taken."""
        lines = [line for line in event.text.splitlines() if line.strip()]
        if len(lines) > 1:
            event.prevent_default()
            event.stop()
            self.post_message(self.SeveralLines(len(lines)))

    async def on_key(self, event: Key) -> None:
        """Enter is taken here and now; as a binding it would wait in line while the keys behind it already came in."""
        if event.key == "enter":
            event.prevent_default()
            event.stop()
            await self.action_submit()

    async def action_submit(self) -> None:
        """Give the call away and stand empty."""
        await super().action_submit()
        self.value = ""

    def put_back(self, call: str) -> None:
        """Take a refused call back, to be put right, unless the next one is being typed."""
        if not self.value:
            self.value = call
            self.cursor_position = len(call)
