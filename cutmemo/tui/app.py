"""The screen: the last call large, the queue below it, one key for each thing to do."""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable, Iterable
from typing import ClassVar

from rich.text import Text
from textual import on
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.widgets import DataTable, Footer, Input, Static

from cutmemo.audio import player
from cutmemo.audio.microphone import has_output
from cutmemo.domain.length import format_length
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError
from cutmemo.language import Trouble, digits_of
from cutmemo.memo.decide.saw import Suspect
from cutmemo.memo.outcome import TOLD_ONE_BY_ONE, Outcome
from cutmemo.memo.state import Row
from cutmemo.service import Session
from cutmemo.tui.controllers.listening import Ended, Listener, MicrophoneOpen, Utterance, Words
from cutmemo.tui.screens.boards import BoardScreen
from cutmemo.tui.screens.help import HelpScreen
from cutmemo.tui.screens.pages import AssemblyPage, Page
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.screens.trouble import TroubleScreen
from cutmemo.tui.themes import DARK, LIGHT
from cutmemo.tui.widgets.entry import Entry
from cutmemo.tui.widgets.numerals import largest

FOLLOW_SECONDS = 0.3
"""How soon a change by another station shows."""
COLUMNS = ("row", "left", "length", "board and piece", "ends", "place")
SIGNS = {"doubtful": "?", "open": "·"}
MAX_SOUNDS = 50
"""So many calls are kept to be played again; the oldest goes first."""


class MemoApp(App[int]):
    """The memo on the screen."""

    TITLE = "cutmemo"
    CSS_PATH = "tui.tcss"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "type", "Type", priority=True),
        Binding("l", "listen", "Listen"),
        Binding("c", "clear", "Cut one"),
        Binding("C", "clear_all", "Cut all", show=False),
        Binding("1", "answer(1)", "Reading 1", show=False),
        Binding("2", "answer(2)", "Reading 2", show=False),
        Binding("3", "answer(3)", "Reading 3", show=False),
        Binding("u", "undo", "Undo"),
        Binding("r", "redo", "Redo", show=False),
        Binding("x", "strike", "Strike"),
        Binding("b", "put_back", "Put back"),
        Binding("o", "order", "Order"),
        Binding("s", "saw", "Saw"),
        Binding("p", "boards", "Boards"),
        Binding("y", "say_again", "Say again", show=False),
        Binding("v", "voice", "Voice", show=False),
        Binding("d", "sun", "Dark/light", show=False),
        Binding("k", "skip", "Skip", show=False),
        Binding("w", "hold", "Hold", show=False),
        Binding("a", "play", "As heard", show=False),
        Binding("e", "handoff", "Hand-off", show=False),
        Binding("h", "help", "Help"),
        Binding("q", "quit", "Quit"),
        Binding("escape", "leave_typing", "Back", show=False),
    ]

    def __init__(self, session: Session, model: str | None = None, light: bool = False) -> None:
        """Show the memo of *session*."""
        super().__init__()
        self.session = session
        self.last: Row | None = None
        self.listening = "off"
        self.reading_back = False
        self._light = light
        self._ears = Listener(self.post_message, model)
        self._shown: dict[str, tuple[str, ...]] = {}
        self._drawn: dict[str, tuple[Row, Settings, tuple[str, ...]]] = {}
        self._speaking = threading.Lock()
        self._laid_ahead = -1
        self._sounds: dict[str, bytes] = {}

    def compose(self) -> ComposeResult:
        """Lay the parts out from top to bottom."""
        with Horizontal(id="head"):
            yield Static(id="ear", markup=False)
            yield Static(id="manner", markup=False)
        with Horizontal(id="call"):
            yield Static(id="numerals", markup=False)
            with Vertical(id="said"):
                yield Static(id="what", markup=False)
                yield Static(id="readings", markup=False)
                yield Static(id="words", markup=False)
        yield DataTable(id="queue", cursor_type="row", zebra_stripes=True)
        yield Static(id="told", markup=False)
        yield Entry(
            id="entry",
            placeholder="t to type: 4 @ 14-5/8 2x6 header   (Enter takes it, Esc leaves)",
        )
        yield Static(id="sums", markup=False)
        yield Footer(compact=True, show_command_palette=False)

    def on_mount(self) -> None:
        """Fill the screen, and look for other stations' changes from now on."""
        self.register_theme(DARK)
        self.register_theme(LIGHT)
        self.theme = LIGHT.name if self._light else DARK.name
        table = self.query_one(DataTable)
        for name, width in zip(COLUMNS, (5, 4, 12, 18, 22, None), strict=True):
            table.add_column(name, key=name, width=width)
        rows = list(self.session.queue.rows.values())
        self.last = max(rows, key=lambda row: row.touched) if rows else None
        self.refresh_memo()
        table.focus()
        self.set_interval(FOLLOW_SECONDS, self._follow)
        self.run_worker(self._find_voice, thread=True, group="voice")

    def _find_voice(self) -> None:
        """Turn read-back on where there is something to play it."""
        if has_output():
            self.call_from_thread(self._set_voice, True)

    def _set_voice(self, on: bool) -> None:
        self.reading_back = on
        self._draw_head()

    def on_resize(self) -> None:
        """Draw the numerals to the new size."""
        self.call_after_refresh(self._draw_call)

    def on_unmount(self) -> None:
        """Close the microphone."""
        self._ears.stop(wait_seconds=1.0)

    # --- drawing -----------------------------------------------------------------------------------------

    def refresh_memo(self) -> None:
        """Draw everything that follows from the memo."""
        if self.last is not None:
            self.last = self.session.queue.rows.get(self.last.id)
        self._draw_head()
        self._draw_call()
        self._draw_queue()
        self.query_one("#sums", Static).update(self.session.totals())
        for screen in self.screen_stack:
            if isinstance(screen, (SawScreen, BoardScreen)) and screen.is_mounted:
                screen.draw()
        self._lay_ahead()

    def _lay_ahead(self) -> None:
        """Lay the boards on a thread as soon as the memo changes, so that the next cut need not wait for the plan."""
        seq = self.session.queue.seq
        if (
            not self.session.queue.rack.lots
            or seq == self._laid_ahead
            or isinstance(self.screen, BoardScreen)
        ):
            return
        self._laid_ahead = seq
        try:
            todo = self.session.to_lay()
        except CutmemoError:
            return  # too many pieces: they are cut without a plan, and the boards say so when they are opened
        self.run_worker(todo.laid, thread=True, group="ahead", exclusive=True)

    def _draw_head(self) -> None:
        ear = {"off": "○ NOT LISTENING", "opening": "◌ OPENING", "on": "● LISTENING"}[
            self.listening
        ]
        voice = " ♪ voice" if self.reading_back else ""
        head = self.query_one("#ear", Static)
        head.update(f" {ear}{voice} ")
        head.set_class(self.listening == "on", "live")
        if isinstance(self.screen, SawScreen):
            self.screen.show_listening(self.listening)
        order = {"called": "as called", "longest": "longest first", "saw": "by saw setting"}[
            self.session.queue.order
        ]
        self.query_one("#manner", Static).update(f"{self.session.queue.settings.shown()} · {order}")

    def _draw_call(self) -> None:
        numerals, what, readings = (
            self.query_one(f"#{name}", Static) for name in ("numerals", "what", "readings")
        )
        row = self.last
        self.session.shown_question = row.id if row is not None else None
        if row is None:
            numerals.update("")
            what.update("No call yet.\nPress t and type a length, or l to listen.")
            readings.update("")
            return
        settings = self.session.queue.settings
        size = numerals.size
        lead = f"{row.cut.count}×" if row.cut.count != 1 else ""
        shown = format_length(row.cut.length, settings.display, settings.fineness)
        numerals.update(largest(shown, max(size.width, 20), max(size.height, 4), lead))
        asked = row.state == "doubtful"
        head = f"Row {row.number} asks" if asked else f"Row {row.number} · {row.state}"
        lines = [f"{SIGNS.get(row.state, '')} {head}", f"“{row.said}”", self.session.shown(row.cut)]
        what.update("\n".join([*lines, *(f"! {warning}" for warning in row.warnings)]))
        self.query_one("#call").set_class(asked, "asked")
        keys = (
            [f"[{n}] {self.session.shown(cut)}" for n, cut in enumerate(row.readings, start=1)]
            if asked
            else []
        )
        readings.update("\n".join([*keys, *(f"? {reason}" for reason in row.reasons if asked)]))

    def _cells(self, row: Row) -> tuple[str, ...]:
        """Return what stands in the table for *row*; worked out again only when the row or the settings changed."""
        kept = self._drawn.get(row.id)
        if kept is not None and kept[0] is row and kept[1] is self.session.queue.settings:
            return kept[2]
        cells = self._cells_of(row)
        self._drawn[row.id] = (row, self.session.queue.settings, cells)
        return cells

    def _cells_of(self, row: Row) -> tuple[str, ...]:
        cut, settings = row.cut, self.session.queue.settings
        board = " ".join(
            str(part) for part in (cut.shade, cut.section, cut.piece, cut.note) if part
        )
        length = str(format_length(cut.length, settings.display, settings.fineness))
        ends = cut.ends_shown().replace(" long point", " LP").replace(" short point", " SP")
        sign = "‖" if row.held else "!" if row.spoiled else SIGNS[row.state]
        place = " · ".join(
            part
            for part in (f"again: {row.spoiled[-1]}" if row.spoiled else "", cut.place or "")
            if part
        )
        return (f"{sign} {row.number}", f"{row.left}×", length, board, ends, place)

    def _draw_queue(self) -> None:
        """Change the rows that changed; fill the table anew only when the order did."""
        table = self.query_one(DataTable)
        queue = self.session.queue
        rows = [*queue.of_state("doubtful"), *queue.open_rows()]
        wanted = {row.id: self._cells(row) for row in rows}
        for gone in [key for key in self._shown if key not in wanted]:
            table.remove_row(gone)
            del self._shown[gone]
        kept = list(self._shown)
        if list(wanted)[: len(kept)] != kept:
            table.clear()
            self._shown = {}
        for key, cells in wanted.items():
            before = self._shown.get(key)
            if before is None:
                table.add_row(*(Text(cell) for cell in cells), key=key)
            elif before != cells:
                for name, old, new in zip(COLUMNS, before, cells, strict=True):
                    if old != new:
                        table.update_cell(key, name, Text(new))
        self._shown = wanted

    def _tell(self, text: str, wrong: bool = False, sign: str = "") -> None:
        """Show *text* at the foot, with a *sign* of its own where it neither went well nor wrong."""
        told = self.query_one("#told", Static)
        told.update(f"{sign or ('✗' if wrong else '✓')} {text}")
        told.set_class(wrong, "wrong")
        if isinstance(self.screen, (BoardScreen, SawScreen)):
            self.screen.tell(str(told.content))

    # --- doing -------------------------------------------------------------------------------------------

    def do(self, action: Callable[[], Outcome | None]) -> Outcome | None:
        """Carry out *action*; show what came of it, or why it could not be done."""
        try:
            outcome = action()
        except CutmemoError as error:
            self._tell(str(error), wrong=True)
            self._play(player.refusal)
            self.refresh_memo()
            return None
        if outcome is None:
            return None
        if isinstance(self.screen, AssemblyPage):
            self.pop_screen()  # the day went on, by voice or on another key
        following = self.session.question() if outcome.happened in ("answered", "struck") else None
        self.last = following or outcome.row or self.last
        asked = outcome.happened == "asked"
        self._tell(outcome.text, wrong=asked, sign="?" if asked else "")
        self.refresh_memo()
        if self.last is not None and self.last.state == "doubtful":
            table = self.query_one(DataTable)
            table.move_cursor(row=table.get_row_index(self.last.id))
        self._read_back(outcome)
        if following is not None:  # an answer goes to what is shown
            self._read_row(following, player.spelled)
        if outcome.frame is not None:
            page = AssemblyPage(outcome.frame, self.session, outcome.happened == "asked")
            self.push_screen(page, lambda right: self._take_set(outcome.row, right))
        if outcome.happened == "play":
            self.action_play()
        if outcome.happened == "listen":
            self._listen()
        elif outcome.happened == "pause":
            self._ears.stop()
        return outcome

    def _read_back(self, outcome: Outcome) -> None:
        if outcome.happened not in ("added", "changed", "answered", "asked", "read back"):
            return
        many = len(outcome.rows) > TOLD_ONE_BY_ONE
        if outcome.frame is not None or (many and outcome.happened == "asked"):
            self._play(lambda: player.question(()))
            return
        for row in () if many else outcome.rows:
            self._read_row(row, player.answer if outcome.happened == "answered" else player.spelled)

    def _read_row(self, row: Row, read: Callable[[Iterable[str]], array[int]]) -> None:
        """Read *row* back, as a question where it asks."""
        if row.state == "doubtful":
            words = [word for cut in row.readings for word in (*digits_of(cut), "or")][:-1]
            self._play(lambda: player.question(words))
        else:
            self._play(lambda: read(digits_of(row.cut)))

    def _play(self, sound: Callable[[], array[int]], always: bool = False) -> None:
        """Play *sound* on a thread, deaf meanwhile; one after the other; *always*, even with read-back off."""
        if not self.reading_back and not always:
            return

        def speak() -> None:
            with self._speaking:
                self._ears.muted.set()
                try:
                    player.play(sound())
                except CutmemoError as error:
                    self.call_from_thread(self._tell, str(error), True)
                    self.call_from_thread(self._set_voice, False)
                finally:
                    self._ears.muted.clear()

        self.run_worker(speak, thread=True, group="voice")

    def _follow(self) -> None:
        """Show what other stations did."""
        try:
            if self.session.follow():
                self.refresh_memo()
        except CutmemoError as error:
            self._tell(str(error), wrong=True)

    def _selected(self) -> Row | None:
        """Return the row under the bar."""
        table = self.query_one(DataTable)
        if not table.row_count:
            return None
        key = table.coordinate_to_cell_key(table.cursor_coordinate).row_key.value
        return self.session.queue.rows.get(str(key))

    def current(self) -> Row | None:
        """Return the row that keys act on: at the saw the first open one, else the one under the bar."""
        if isinstance(self.screen, SawScreen):
            return next(iter(self.session.queue.to_cut()), None)
        if isinstance(self.screen, BoardScreen):
            return self.screen.current()
        return self._selected()

    # --- keys --------------------------------------------------------------------------------------------

    def action_type(self) -> None:
        """Go to the entry line, at once: what is typed fast behind the t belongs there."""
        while not self.screen.query(Entry):
            self.pop_screen()
        self.screen.set_focus(self.screen.query_one(Entry))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002 - Textual gives both
        """Let t be a letter where letters are typed, and leave it to questions and to the saw.

        Elsewhere it goes before all other keys: they wait in line, and would be taken for
        commands if they overtook it.
        """
        taken = (
            isinstance(self.focused, Input)
            or self.screen.is_modal
            or isinstance(self.screen, SawScreen)
        )
        return not (action == "type" and taken)

    def action_leave_typing(self) -> None:
        """Leave the entry line, or the saw."""
        if isinstance(self.screen, (SawScreen, BoardScreen, HelpScreen, Page, AssemblyPage)):
            self.pop_screen()
        else:
            self.query_one(DataTable).focus()

    @on(Entry.Submitted, "#entry")
    def _entered(self, event: Entry.Submitted) -> None:
        if not event.value.strip():
            self.query_one(DataTable).focus()
        elif self.do(lambda: self.session.call(event.value)) is None:
            self.query_one(Entry).put_back(event.value)

    @on(DataTable.RowHighlighted, "#queue")
    def _highlighted(self) -> None:
        row = self._selected()
        if row is not None and row.state == "doubtful":
            self.last = row
            self._draw_call()

    def action_clear(self) -> None:
        """One piece of the row is cut."""
        row = self.current()
        if row is None and isinstance(self.screen, BoardScreen):
            self.screen.tell(
                "Nothing to cut here yet: the boards are being laid, or nothing is open."
            )
            return
        self.do(lambda: self.session.clear(row.id if row else None))

    def action_clear_all(self) -> None:
        """All pieces of the row are cut; by board they are cut one by one."""
        row = self.current()
        if isinstance(self.screen, BoardScreen):
            self.screen.tell("By board the pieces are cut one by one: c.")
            return
        self.do(lambda: self.session.clear(row.id if row else None, all_left=True))

    def action_answer(self, choice: int) -> None:
        """Take a reading of the row that asks."""
        asking = self.last if self.last is not None and self.last.state == "doubtful" else None
        self.do(lambda: self.session.answer(choice, asking.id if asking else None))

    def action_undo(self) -> None:
        """Take back the last thing done here."""
        self.do(self.session.undo)

    def action_redo(self) -> None:
        """Do it again."""
        self.do(self.session.redo)

    def action_strike(self) -> None:
        """Take the row off the list."""
        row = self.current()
        if row is None:
            self._tell("No row is under the bar.", wrong=True)
        else:
            self.do(lambda: self.session.strike(row.id))

    def action_put_back(self) -> None:
        """Put back what was cut or struck last."""
        self.do(self.session.put_back)

    def action_skip(self) -> None:
        """Put the row behind the others at the saw."""
        row = self.current()
        self.do(lambda: self.session.skip(row.id if row else None))

    def action_hold(self) -> None:
        """Keep the row back from the saw, or offer it there again."""
        row = self.current()
        release = row is not None and row.held
        self.do(
            lambda: (self.session.release if release else self.session.hold)(
                row.id if row else None
            )
        )

    def action_trouble(self) -> None:
        """Ask what is wrong with a piece."""
        suspects = self.session.suspects()
        if not suspects:
            self._tell("No piece is in hand or was just cut.", wrong=True)
            return
        self.push_screen(TroubleScreen(self.session, suspects), self._take_trouble)

    def _take_set(self, row: Row | None, right: bool | None) -> None:
        """Do what was said of a set on its page; without a word a question stays a question."""
        if row is None or right is None:
            return
        self.do(lambda: self.session.answer(1, row.id) if right else self.session.refuse(row.id))

    def _take_trouble(self, taken: tuple[Trouble, Suspect] | None) -> None:
        if taken is not None:
            self.do(lambda: self.session.spoil(*taken))

    def action_play(self) -> None:
        """Play the call of the row again, as it was heard."""
        row = self.last
        pcm = self._sounds.get(row.id) if row is not None else None
        if pcm is None:
            self._tell(
                "No sound of this call is kept: it was typed, or heard before this screen was opened.",
                wrong=True,
            )
            return
        if not self.reading_back and not has_output():
            self._tell("Nothing here can play sound.", wrong=True)
            return
        self._play(lambda: array("h", pcm), always=True)

    def action_handoff(self) -> None:
        """Show what the next one has to know."""
        self.push_screen(Page(self.session.handoff()))

    def action_order(self) -> None:
        """Take the next order."""
        self.do(self.session.set_order)

    def action_saw(self) -> None:
        """Open the saw view, or leave it; listening pauses there until it is switched on."""
        if isinstance(self.screen, SawScreen):
            self.pop_screen()
            return
        self._ears.stop()
        self.push_screen(SawScreen(self.session))

    def action_boards(self) -> None:
        """Open the view by board, or leave it; listening pauses there."""
        if isinstance(self.screen, BoardScreen):
            self.pop_screen()
            return
        self._ears.stop()
        self.push_screen(BoardScreen(self.session))

    def action_say_again(self) -> None:
        """Read the last call back."""
        row = self.last
        if row is not None:
            self._read_back(Outcome("read back", "", row))

    def action_voice(self) -> None:
        """Turn read-back on or off."""
        if not self.reading_back and not has_output():
            self._tell("Nothing here can play sound. Read-back stays off.", wrong=True)
            return
        self._set_voice(not self.reading_back)
        self._tell("Read-back is on." if self.reading_back else "Read-back is off.")

    def action_sun(self) -> None:
        """Change between the dark and the light theme."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def action_help(self) -> None:
        """Show the keys, how to speak, and what to mind."""
        if not isinstance(self.screen, HelpScreen):
            self.push_screen(HelpScreen())

    def action_listen(self) -> None:
        """Listen, or stop listening."""
        if self.listening == "off":
            self._listen()
        else:
            self._ears.stop()

    # --- the microphone ----------------------------------------------------------------------------------

    def _listen(self) -> None:
        if self._ears.open:
            return
        self.listening = "opening"
        self._draw_head()
        self._ears.start()

    def on_microphone_open(self, _message: MicrophoneOpen) -> None:
        """The microphone is open."""
        self.listening = "on"
        self._draw_head()
        self._play(player.listening)

    def on_words(self, message: Words) -> None:
        """Show the words so far."""
        self.query_one("#words", Static).update(f"… {message.text}" if message.text else "")

    def on_utterance(self, message: Utterance) -> None:
        """Take what was heard."""
        self.query_one("#words", Static).update("")
        before = self.session.queue.seq
        outcome = self.do(lambda: self.session.hear(message.heard))
        ignored = (
            self.session.not_taken(message.heard)
            if outcome is None and self.session.queue.seq == before
            else ""
        )
        if ignored:
            self._tell(ignored, wrong=True)
            self._play(player.refusal)
        if outcome is not None and outcome.happened in ("added", "asked", "changed"):
            for row in outcome.rows:
                self._sounds[row.id] = message.heard.pcm
            while len(self._sounds) > MAX_SOUNDS:
                del self._sounds[next(iter(self._sounds))]

    def on_ended(self, message: Ended) -> None:
        """Listening is over: whoever is up a ladder has to know, or calls into the air."""
        self.listening = "off"
        self._draw_head()
        self._play(player.muted)
        if message.reason:
            self._tell(message.reason, wrong=True)
