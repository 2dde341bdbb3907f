"""The language of lengths: words in, every reading there is out, and a cut back into words."""

from cutmemo.language.intent import BoardsCall, Change, Command, FromRow, OnRow, Reading, Trouble
from cutmemo.language.open_ended import may_go_on
from cutmemo.language.reading import read, without_lead_in
from cutmemo.language.sets import AssemblyCall
from cutmemo.language.speaker import digits_of, speak
from cutmemo.language.split import CallList, split_calls
from cutmemo.language.typed_line import read_typed

__all__ = [
    "AssemblyCall",
    "BoardsCall",
    "CallList",
    "Change",
    "Command",
    "FromRow",
    "OnRow",
    "Reading",
    "Trouble",
    "digits_of",
    "may_go_on",
    "read",
    "read_typed",
    "speak",
    "split_calls",
    "without_lead_in",
]
