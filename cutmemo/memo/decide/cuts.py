"""What a session makes of cuts that were called: rows, one, several or a whole set, and what each has to be asked."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from cutmemo.domain.checks import check, sawn
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length, format_length, to_tape
from cutmemo.errors import Refused
from cutmemo.framing import calculate
from cutmemo.language import HOW_MANY, AssemblyCall, CallList, Change, Reading
from cutmemo.memo import Draft
from cutmemo.memo.decide.saw import SawWork
from cutmemo.memo.events import cut_from_plain, cut_to_plain
from cutmemo.memo.outcome import TOLD_ONE_BY_ONE, Happened, Outcome
from cutmemo.memo.state import Row

HEARD_TWO_WAYS = "Heard more than one way."
SAID_TWO_WAYS = "This can mean more than one thing."
ONE_OF_SEVERAL = "Several were called at once: is this one right?"
EACH_OF_SEVERAL = "Several were called at once: is each of them right?"
SET_BY_VOICE = "A whole set, called by voice: are all its measures right?"


@dataclass(frozen=True, slots=True)
class Called:
    """A call on its way into the journal."""

    said: str
    by_voice: bool
    heard: tuple[tuple[str, float], ...] = ()
    unsure: bool = False
    of_list: str = ""
    """What the calls of one line or breath have in common; empty for a call by itself."""


def _cuts(readings: Iterable[Reading]) -> list[Cut]:
    return [reading.intent for reading in readings if isinstance(reading.intent, Cut)]


class CallWork(SawWork):
    """The part of a session that puts cuts on the list."""

    clock: Callable[[], datetime]

    def _add(self, call: Called, readings: list[Reading], torn: bool) -> Outcome:
        row_id = uuid.uuid4().hex
        self._record(lambda: [self._added_draft(call, readings, torn, row_id)])
        return self._asked_or("added", self.queue.rows[row_id])

    def _added_draft(
        self,
        call: Called,
        readings: list[Reading],
        torn: bool,
        row_id: str,
        before: Sequence[Cut] = (),
    ) -> Draft:
        """Return a new row; *before* are the cuts that the same line called before it."""
        if not call.unsure:
            readings = sorted(readings, key=self._is_odd)
        kept, reasons = self._questions(call, _cuts(readings), readings, torn, before=before)
        payload = {
            "row": row_id,
            "cut": cut_to_plain(kept[0]),
            "state": "doubtful" if reasons else "open",
            "readings": [cut_to_plain(cut) for cut in kept] if reasons else [],
            "reasons": reasons,
            "warnings": list(readings[0].warnings),
            "said": call.said,
            "by_voice": call.by_voice,
            "heard": [list(each) for each in call.heard],
            "manner": self.queue.settings.shown(),
        }
        return Draft("cut added", payload | ({"list": call.of_list} if call.of_list else {}))

    def _is_odd(self, reading: Reading) -> bool:
        """Return whether *reading* would be asked about by itself: of two, a piece of 3 in. is named after one of 36."""
        return isinstance(reading.intent, Cut) and bool(
            check(reading.intent, (), self.queue.settings).questions
        )

    def _questions(
        self,
        call: Called,
        cuts: list[Cut],
        readings: list[Reading],
        torn: bool,
        row: Row | None = None,
        before: Sequence[Cut] = (),
    ) -> tuple[list[Cut], list[str]]:
        """Return the cuts that may be meant and why one has to be chosen. Raises :class:`Refused` if none can be."""
        others = [
            each
            for each in self.queue.rows.values()
            if each.state in ("open", "cut") and each is not row
        ]
        reasons: list[str] = [HEARD_TWO_WAYS if call.unsure else SAID_TWO_WAYS] if torn else []
        kept: list[Cut] = []
        questions: list[tuple[str, ...]] = []
        refusals: list[str] = []
        for cut, reading in zip(cuts, readings, strict=True):
            since = 0.0 if cut in before else self._seconds_since(cut, row)
            found = check(
                cut, [*(each.cut for each in others), *before], self.queue.settings, since
            )
            if found.refusals:
                refusals += found.refusals
                continue
            kept.append(cut)
            reasons += reading.doubts
            questions.append(found.questions)
        if not kept:
            raise Refused(call.said, tuple(dict.fromkeys(refusals)))
        for cut, asked in zip(kept, questions, strict=True):
            for question in asked:  # what holds for one of several readings names it
                of_all = all(question in each for each in questions)
                reasons.append(question if of_all else f"{self.shown(cut)}: {question}")
        return kept, list(dict.fromkeys(reasons))

    def _still_asked(self, row: Row, readings: list[Reading]) -> list[str]:
        """Return why *row* is doubtful even after the changes of *readings*; what the checks say is asked anew."""
        changes = [reading.intent for reading in readings if isinstance(reading.intent, Change)]
        others = [each.cut for each in self.queue.rows.values() if each is not row]
        found = [
            check(cut, [*others, cut], self.queue.settings, 0.0).questions for cut in row.readings
        ]
        anew = (
            HEARD_TWO_WAYS,
            SAID_TWO_WAYS,
            *(question for questions in found for question in questions),
        )
        numbered = all(change.count is not None or change.piece is not None for change in changes)
        measured = all(change.length is not None for change in changes)
        left = [reason for reason in row.reasons if not reason.endswith(anew)]
        return [
            reason for reason in left if not (numbered if reason.endswith(HOW_MANY) else measured)
        ]

    def _seconds_since(self, cut: Cut, row: Row | None) -> float | None:
        """Return how long ago this station called the very same cut last."""
        if row is not None:
            return None
        same = [
            each
            for each in self.queue.rows.values()
            if each.cut == cut and each.station == self.station
        ]
        if not same:
            return None
        return (self.clock() - datetime.fromisoformat(same[-1].at)).total_seconds()

    def _asked_or(self, happened: Happened, row: Row) -> Outcome:
        """Return the outcome for a row that stands, or that asks first."""
        shown = self.shown(row.cut)
        if row.state == "doubtful":
            return Outcome("asked", f"{shown}? {' '.join(row.reasons)}", row)
        return Outcome(happened, " ".join([f"Row {row.number}: {shown}.", *row.warnings]), row)

    def shown(self, cut: Cut) -> str:
        """Return *cut* in one line, in the crew's figures."""
        length = format_length(
            cut.length, self.queue.settings.display, self.queue.settings.fineness
        )
        parts = [f"{cut.count} ×" if cut.count != 1 else "", str(length)]
        parts += [str(part) for part in (cut.shade, cut.section, cut.piece) if part]
        if cut.shade is not None and self.queue.settings.shade is not None:
            parts.append(
                f"(saw {format_length(sawn(cut, self.queue.settings), self.queue.settings.display, 64)})"
            )
        parts += [cut.ends_shown(), cut.note or "", f"for {cut.place}" if cut.place else ""]
        return " ".join(part for part in parts if part)

    def _add_several(self, call: Called, listed: CallList) -> Outcome:
        """Put several cuts on the list one after the other, or none; each asks, unless commas part them."""
        doubt = () if listed.marked else (ONE_OF_SEVERAL,)
        call = replace(call, of_list=uuid.uuid4().hex)
        ids = [uuid.uuid4().hex for _ in listed.parts]

        def decide() -> list[Draft]:
            drafts: list[Draft] = []
            before: list[Cut] = []
            for part, row_id in zip(listed.parts, ids, strict=True):
                readings = [
                    replace(reading, doubts=(*doubt, *reading.doubts)) for reading in part.readings
                ]
                drafts.append(
                    self._added_draft(
                        replace(call, said=part.said), readings, len(readings) > 1, row_id, before
                    )
                )
                before.append(cut_from_plain(drafts[-1].payload["cut"]))
            return drafts

        self._record(decide)
        rows = tuple(self.queue.rows[row_id] for row_id in ids)
        outcomes = [self._asked_or("added", row) for row in rows]
        asking = next(
            (outcome for outcome in reversed(outcomes) if outcome.happened == "asked"), None
        )
        return replace(
            asking or outcomes[-1], text=self._told(outcomes, listed.marked), several=rows
        )

    def _told(self, outcomes: Sequence[Outcome], marked: bool) -> str:
        """Return in one line what came of several cuts."""
        rows = [row for outcome in outcomes for row in outcome.rows]
        if len(rows) > TOLD_ONE_BY_ONE:
            asks = sum(row.state == "doubtful" for row in rows)
            return f"{len(rows)} cuts: {len(rows) - asks} on the list, {asks} ask{'s' if asks == 1 else ''}."
        if marked:
            return " ".join(outcome.text for outcome in outcomes)
        return " ".join([*(f"{self.shown(row.cut)}?" for row in rows), EACH_OF_SEVERAL])

    def _add_set(self, call: Called, called: AssemblyCall) -> Outcome:
        """Put a whole set of cuts on the list, or none of it."""
        frame = calculate(called, self.queue.settings)
        found = [check(self._on_tape(cut), (), self.queue.settings) for cut in frame.cuts]
        refusals = dict.fromkeys(reason for each in found for reason in each.refusals)
        if refusals:
            raise Refused(call.said, tuple(refusals))
        frame = replace(
            frame,
            warnings=tuple(dict.fromkeys(w for each in found for w in each.questions))
            + frame.warnings,
        )
        rows = [
            {"row": uuid.uuid4().hex, "cut": cut_to_plain(cut), "warnings": list(each.questions)}
            for cut, each in zip(frame.cuts, found, strict=True)
        ]
        payload = {
            "rows": rows,
            "said": call.said,
            "title": frame.title,
            "by_voice": call.by_voice,
            "heard": [list(each) for each in call.heard],
            "manner": self.queue.settings.shown(),
            "reasons": [SET_BY_VOICE] if call.by_voice else [],
        }
        self._record(lambda: [Draft("cuts added", payload)])
        pieces = sum(cut.count for cut in frame.cuts)
        first = self.queue.rows[str(rows[0]["row"])]
        listed = f"{pieces} piece{'s' if pieces != 1 else ''} in {len(rows)} row{'s' if len(rows) != 1 else ''}"
        if first.state == "doubtful":
            return Outcome("asked", f"{frame.title}: {listed}? {SET_BY_VOICE}", first, frame)
        return Outcome("set added", f"{frame.title}: {listed}.", first, frame)

    def _on_tape(self, cut: Cut) -> Cut:
        """Return *cut* as it is measured: a length that was worked out is not too fine for the tape."""
        return replace(cut, length=Length(to_tape(cut.length.inches, self.queue.settings.fineness)))
