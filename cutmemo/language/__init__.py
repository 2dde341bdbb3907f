"""The language of lengths: words in, every reading there is out, and a cut back into words."""

from cutmemo.language.reading import read
from cutmemo.language.says import Change, Command, Reading, StockLength
from cutmemo.language.speaker import digits_of, speak

__all__ = ["Change", "Command", "Reading", "StockLength", "digits_of", "read", "speak"]
