"""The language of lengths: words in, every reading there is out, and a cut back into words."""

from cutmemo.language.intent import AssemblyCall, BoardsCall, Change, Command, Reading, Trouble
from cutmemo.language.reading import read
from cutmemo.language.speaker import digits_of, speak
from cutmemo.language.split import CallList, split_calls

__all__ = [
    "AssemblyCall",
    "BoardsCall",
    "CallList",
    "Change",
    "Command",
    "Reading",
    "Trouble",
    "digits_of",
    "read",
    "speak",
    "split_calls",
]
