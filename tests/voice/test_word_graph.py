"""What can be read can be heard: word strings as phones, searched in the graph that ships, without sound."""

from __future__ import annotations

import itertools
import random
from collections import Counter

import pytest
from decoding_graph import DecodingGraph
from drawn_strings import strings
from recipe.words import other_talk

from cutmemo.asr.confusions import confusable_of
from cutmemo.asr.decide import MARGIN_IN_QUIET
from cutmemo.bundle import bundled
from cutmemo.errors import CutmemoError
from cutmemo.language import read

FILLER = "[unk]"
NUMBER = 400
"""Strings in every run of the tests; tests/bench/word_graph.py takes 20,000."""


def meaning(text: str) -> frozenset[str]:
    try:
        return frozenset(repr(reading.intent) for reading in read(text, by_voice=True))
    except CutmemoError:
        return frozenset()


def heard_as(found: dict[str, float], said: str) -> str:
    """Return what comes of *said* where the words *found* have those costs: heard, asked, missed or wrong."""
    meant = meaning(said)
    far = float("inf")
    filler, right, other = far, far, far
    for text, cost in found.items():
        if FILLER in text.split():
            filler = min(filler, cost)
        elif meaning(text) == meant:
            right = min(right, cost)
        elif meaning(text):
            other = min(other, cost)
            twin = confusable_of(text)
            if twin is not None and meaning(twin) == meant:
                right = min(right, cost)  # it asks whatever the costs are: for, four
    if filler - min(right, other) < MARGIN_IN_QUIET or right == other == far:
        return "missed"
    if right - other > MARGIN_IN_QUIET:
        return "wrong"
    return "asked" if abs(right - other) <= MARGIN_IN_QUIET else "heard"


def outcomes(graph: DecodingGraph, number: int, seed: int) -> dict[str, str]:
    """Return what comes of each of *number* strings."""
    said_as, r = graph.said_as(), random.Random(seed)
    found = {}
    for said in itertools.islice(strings(seed), number):
        phones = [phone for word in said.split() for phone in r.choice(said_as[word])]
        found[said] = heard_as(graph.search(phones), said)
    return found


@pytest.fixture(scope="module")
def graph() -> DecodingGraph:
    return DecodingGraph(bundled("model") / "graph")


def test_what_is_read_by_voice_is_heard_or_asked_about(graph: DecodingGraph) -> None:
    """Drawn from the rules of the grammar and not from the sampler; at most 1 in 100 is missed, none is wrong."""
    found = outcomes(graph, NUMBER, seed=19)
    count = Counter(found.values())
    assert count["wrong"] == 0, [said for said, what in found.items() if what == "wrong"]
    assert count["missed"] <= NUMBER // 100, [s for s, what in found.items() if what == "missed"]
    assert count["asked"] <= NUMBER // 50, [said for said, what in found.items() if what == "asked"]


@pytest.mark.parametrize("said", ["four one two", "six eight one", "one oh oh", "nine zero five"])
def test_three_single_figures_lead_the_filler_word(graph: DecodingGraph, said: str) -> None:
    phones = [phone for word in said.split() for phone in graph.said_as()[word][0]]
    assert heard_as(graph.search(phones), said) == "heard"


def test_a_graph_that_lacks_what_is_read_is_found_out(graph: DecodingGraph) -> None:
    """The check itself: where the right words cost more, they are missed, asked about or wrong."""
    costs = {"four one two": 10.0, FILLER: 20.0}
    assert heard_as(costs, "four one two") == "heard"
    assert heard_as({**costs, FILLER: 11.0}, "four one two") == "missed"
    assert heard_as({**costs, "four nine two": 11.0}, "four one two") == "asked"
    assert heard_as({**costs, "four nine two": 5.0}, "four one two") == "wrong"
    assert heard_as({FILLER: 20.0}, "four one two") == "missed"


def test_talk_with_numbers_and_any_other_word_is_the_filler_word(graph: DecodingGraph) -> None:
    """Sampled by the recipe as the graph is, so this is a test of the graph and not of the world."""
    from recipe.words.lexicon import pronunciations
    from recipe.words.units import positioned

    r, said_as = random.Random(7), graph.said_as()
    filler = Counter()
    for said in (other_talk.numbers(r) for _ in range(250)):
        words = said.split()
        if all(word in said_as for word in words):
            continue
        ways = {**pronunciations(words), **{w: said_as[w] for w in words if w in said_as}}
        phones = [
            phone
            for word in words
            for phone in (ways[word][0] if word in said_as else positioned(ways[word][0]))
        ]
        best = next(iter(graph.search(phones, beam=60.0)))
        filler[FILLER in best.split()] += 1
        assert FILLER in best.split() or not _is_read(best)
    assert filler.total() > 80
    assert filler[False] <= filler.total() // 50


def _is_read(words: str) -> bool:
    try:
        return bool(read(words, by_voice=True))
    except CutmemoError:
        return False
