"""The phrases a recogniser is narrowed to, made by the grammar's own way back from cuts to
words.
"""

from __future__ import annotations

from pathlib import Path

OWN_GRAPH = "cutmemo.graph"
"""A model with this file carries a graph made from the grammar; any other gets a phrase list."""


def phrases_for(folder: Path) -> tuple[str, ...] | None:
    """Return the phrases for the model in *folder*, or ``None`` where its own graph is made for
    calls.
    """
    if (folder / OWN_GRAPH).is_file():
        return None
    from cutmemo.language.sampler import phrase_list

    return phrase_list()
