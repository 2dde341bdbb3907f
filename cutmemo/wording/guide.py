"""The pages of the guide by name, and what is said around them; the pages themselves are files in
assets/guide.
"""

from __future__ import annotations

from collections.abc import Mapping

TOPICS: Mapping[str, str] = {
    "boards": "the rack, which board to cut from, what to order",
    "sets": "walls, roofs, floors, decks and stairs in one call",
    "settings": "how the crew speaks, measures and saws",
    "site": "phones and tablets, each with its own microphone",
    "memos": "the command line, several memos, paper, CSV, other machines",
    "sound": "headset, loudspeaker, when it mishears",
    "office": "several sites, one order, and what goes between them",
    "damage": "a damaged memo, a full disk, an older program",
}
"""Every page, by its topic, in the order in which they are offered."""

ITS_VERBS = "What a verb takes: cutmemo VERB --help"
ON_SCREEN = "MORE TO READ"


def topic_line(topic: str, about: str) -> str:
    """Return one topic of the list of topics."""
    return f"  cutmemo help {topic:9} {about}"
