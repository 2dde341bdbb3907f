"""The line where calls are typed."""

from __future__ import annotations

from textual.events import Key, Paste
from textual.widgets import Input


class Entry(Input):
    """Enter takes what is in the line at once: what is typed right behind it is the next call, and
    no key of it is lost.
    """

    def on_paste(self, event: Paste) -> None:
        """Take several lines as a list with commas; the line would keep the first of them alone."""
        lines = [line.strip(" \t,;") for line in event.text.splitlines()]
        if len(lines) > 1:
            event.prevent_default()
            event.stop()
            self.insert_text_at_cursor(", ".join(filter(None, lines)))

    async def on_key(self, event: Key) -> None:
        """Enter is taken here and now; as a binding it would wait in line while the keys behind it
        already came in.
        """
        if event.key == "enter":
            event.prevent_default()
            event.stop()
            await self.action_submit()

    async def action_submit(self) -> None:
        """Give the call away and stand empty."""
        await super().action_submit()
        self.value = ""

    def put_back(self, call: str) -> None:
        """Take a refused call back unless the next one is being typed: an arrow key goes into it to
        put it right, what is typed takes its place.
        """
        if not self.value:
            self.value = call
            self.select_all()
