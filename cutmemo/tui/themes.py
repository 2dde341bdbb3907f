"""One dark and one light theme; every pair of colours that carries words has a contrast of 7:1 or
more.
"""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    "night",
    primary="#8fd3ff",
    secondary="#ffd75f",
    warning="#ffd75f",
    error="#ffb0a8",
    success="#9df29d",
    foreground="#ffffff",
    background="#000000",
    surface="#0c0c0c",
    panel="#1c1c1c",
    dark=True,
    variables={"input-cursor-blink": "off", "footer-key-foreground": "#ffd75f"},
)
LIGHT = Theme(
    "sun",
    primary="#003a75",
    secondary="#6b2c00",
    warning="#6b2c00",
    error="#8a0000",
    success="#00470a",
    foreground="#000000",
    background="#ffffff",
    surface="#f6f6f6",
    panel="#ececec",
    dark=False,
    variables={"footer-key-foreground": "#003a75"},
)


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours ``#rrggbb`` (WCAG 2.2, relative luminance)."""
    lighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
