"""The language of lengths: words in, every reading there is out, and a cut back into words."""

from cutmemo.language.calls import HOW_MANY
from cutmemo.language.reading import read
from cutmemo.language.says import BoardsCalled, Change, Command, FramingCalled, Reading, Trouble
from cutmemo.language.several import Several, several
from cutmemo.language.speaker import digits_of, speak

__all__ = [
    "HOW_MANY", "BoardsCalled", "Change", "Command", "FramingCalled", "Reading", "Several", "Trouble", "digits_of", "read",
    "several", "speak",
]  # fmt: skip
