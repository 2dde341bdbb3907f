"""Every sentence a person reads, made from codes and facts. No other package holds prose."""

from cutmemo.wording.cuts import choices, describe
from cutmemo.wording.doubts import explain
from cutmemo.wording.errors import explain_error, explain_why, no_copy
from cutmemo.wording.office import office_line
from cutmemo.wording.results import (
    Told,
    describe_event,
    describe_lot,
    ignored_call,
    lost,
    marks,
    tell,
    totals,
)

__all__ = [
    "Told",
    "choices",
    "describe",
    "describe_event",
    "describe_lot",
    "explain",
    "explain_error",
    "explain_why",
    "ignored_call",
    "lost",
    "marks",
    "no_copy",
    "office_line",
    "tell",
    "totals",
]
