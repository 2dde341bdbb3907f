"""Signs in a text that cannot be seen, and what they are shown as: nobody may write into another's
terminal or sheet.
"""

from __future__ import annotations

import re
from typing import Any

_NO_SIGN = (
    r"\x00-\x08\x0b-\x1f\x7f-\x9f"  # control signs but tab and line feed
    r"\xad\u061c\u180e\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"  # format signs
    r"\U000e0000-\U000e007f"  # tags
    r"\ud800-\udfff"  # half a sign, or a byte that was no text
)
"""Unicode's categories Cc, Cf, Cs, Zl and Zp, as far as they turn text round, hide it, or steer a
terminal.
"""
_HIDDEN = re.compile(f"[{_NO_SIGN}]")
_HIDDEN_IN_NAME = re.compile(f"[{_NO_SIGN}\t\n]")


def code_point(sign: str) -> str:
    """Return *sign* as Unicode's tables name it: ``U+202E``."""
    return f"U+{ord(sign):04X}"


def hidden_sign(text: str, name: bool = False) -> str | None:
    """Return the first sign of *text* that cannot be seen, or ``None``; a *name* has no tab and no
    second line either.
    """
    found = (_HIDDEN_IN_NAME if name else _HIDDEN).search(text)
    return found[0] if found else None


def visible(text: str) -> str:
    """Return *text* with each sign that cannot be seen written out: ``<U+202E>``."""
    return _HIDDEN.sub(lambda found: f"<{code_point(found[0])}>", text)


def visible_json(text: str) -> str:
    """Return the JSON *text*, which means the same, with each sign that cannot be seen escaped in
    it.
    """

    def escaped(found: re.Match[str]) -> str:
        units = found[0].encode("utf-16-be", "surrogatepass")
        return "".join(f"\\u{units[k : k + 2].hex()}" for k in range(0, len(units), 2))

    return _HIDDEN.sub(escaped, text)


def visible_values(value: Any) -> Any:
    """Return a JSON *value* with :func:`visible` done to every text in it."""
    match value:
        case str():
            return visible(value)
        case list():
            return [visible_values(each) for each in value]
        case dict():
            return {visible(name): visible_values(each) for name, each in value.items()}
    return value
