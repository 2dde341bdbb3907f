"""The word graph: built anew it is the one that ships, and its n-gram is a distribution."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from recipe.graph import build
from recipe.graph.ngram import END, START, BackoffNgram
from recipe.graph.openfst import intervals
from recipe.graph.transducer import forward_id, loop_id, phone_id
from recipe.training.graphs import MOST_STATES, DenominatorGraph, Priors
from recipe.words import corpus, vocabulary
from recipe.words.lexicon import pronunciations
from recipe.words.units import UNITS, positioned

MODEL = Path(__file__).parents[2] / "models" / "en"
SAID = [
    "four at ten".split(),
    "ten".split(),
    "four at ten and a half".split(),
    [],
    "ten and a half".split(),
    "four at ten".split(),
]


def test_the_graph_that_ships_is_what_the_grammar_samples() -> None:
    """Whoever changes the sampler builds the graph anew: python -m recipe graph en."""
    differing = [
        path
        for path, content in build.build(build.GraphSettings()).items()
        if (MODEL / path).read_bytes() != content
    ]
    assert differing == []


def test_every_word_of_the_grammar_has_a_pronunciation() -> None:
    """A new word that CMUdict lacks is added to recipe.words.lexicon."""
    words = corpus.vocabulary()
    assert len(words) > 250
    assert sorted(set(words) - set(pronunciations(words))) == []


def test_the_words_that_are_said_fit_the_objective_on_a_gpu() -> None:
    """Whoever adds words sees here, and not on the GPU, that they are too many for its kernel."""
    every, filler_share = corpus.unigrams(corpus.sentences(vocabulary.SAMPLED))
    made = vocabulary.make([])
    graph = DenominatorGraph.of(
        made.pronunciations, Priors(made.shares, made.filler_share, 3.0, 0.3)
    )
    assert len(graph.unit) <= MOST_STATES
    # What is left out is hardly ever said, and counts as other speech; its sounds are known.
    left_out = set(every) - set(made.shares)
    lost = sum(every[word] for word in left_out)
    assert 0 < lost < 0.01
    assert made.filler_share == pytest.approx(filler_share + lost)
    assert left_out <= set(made.pronunciations)
    assert {"half", "sixteenths", "zero", "eleven", "valley"} <= set(made.shares)


def test_building_a_graph_leaves_what_else_lies_in_the_folder(tmp_path: Path) -> None:
    (tmp_path / "CARD.md").write_text("kept")
    build.main([str(tmp_path), "--sentences", "300"])
    assert (tmp_path / "CARD.md").read_text() == "kept"
    assert (tmp_path / "graph" / "Gr.fst").stat().st_size > 1000


def test_a_word_without_pronunciation_is_named_and_nothing_is_built() -> None:
    with pytest.raises(build.NoPronunciation, match="xqzzy"):
        build.lexicon_of([["ten", "xqzzy"]])


@pytest.mark.parametrize("order", [1, 2, 3, 4])
@pytest.mark.parametrize("min_count", [1, 2])
def test_the_probabilities_after_any_history_add_up_to_one(order: int, min_count: int) -> None:
    """A law of every probability; the source of the estimate is named in recipe.graph.ngram."""
    ngram = BackoffNgram(SAID, order, 0.4, min_count)
    words = {word for sentence in SAID for word in sentence} | {END}
    histories = [(), (START,), ("four",), ("four", "at"), ("and", "a", "half"), ("half", "four")]
    for history in histories:
        if len(history) < order:
            total = sum(ngram.of(word, history) for word in words)
            assert math.isclose(total, 1, abs_tol=1e-9), history


def test_absolute_discounting_by_hand() -> None:
    """Two sentences, "a" and "a b", order 2, discount 1/2, worked out by hand.

    Single words: a 2, b 1, end 2 of 5, each less 1/2, and 3·(1/2)/5/3 = 0.1 each: 0.4, 0.2, 0.4.
    After "a": b 1, end 1 of 2, each less 1/2: 0.25; 0.5 is left for the single words.
    """
    ngram = BackoffNgram([["a"], ["a", "b"]], 2, 0.5, 1)
    assert ngram.of("a", ()) == pytest.approx(0.4)
    assert ngram.of("b", ()) == pytest.approx(0.2)
    assert ngram.of("b", ("a",)) == pytest.approx(0.25 + 0.5 * 0.2)
    assert ngram.of(END, ("a",)) == pytest.approx(0.25 + 0.5 * 0.4)
    assert ngram.of("a", ("a",)) == pytest.approx(0.5 * 0.4)


@given(st.sets(st.integers(1, 60)))
def test_intervals_hold_exactly_the_labels_and_are_the_fewest(labels: set[int]) -> None:
    spans = intervals(labels)
    assert {label for low, high in spans for label in range(low, high)} == labels
    assert all(before[1] < after[0] for before, after in zip(spans, spans[1:], strict=False))


def test_transition_ids_are_those_of_kaldi() -> None:
    """For phone k from 1: the self-loop is 2k − 1, the forward arc 2k (tuples of one state each)."""
    for k, unit in enumerate(UNITS, start=1):
        assert (phone_id(unit), loop_id(unit), forward_id(unit)) == (k, 2 * k - 1, 2 * k)


def test_phones_take_their_position_in_the_word() -> None:
    assert positioned(["EY"]) == ["EY_S"]
    assert positioned(["T", "UW"]) == ["T_B", "UW_E"]
    assert positioned(["T", "EH", "N"]) == ["T_B", "EH_I", "N_E"]
