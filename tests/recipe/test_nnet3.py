"""final.mdl read and written: byte for byte, and 8 bits as near as they can be."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from recipe.export.nnet3 import Compressed, NotOurs, from_bytes, to_bytes

MODEL = Path(__file__).parents[2] / "models" / "en" / "am" / "final.mdl"


@pytest.fixture(scope="module")
def shipped() -> bytes:
    return MODEL.read_bytes()


def test_the_net_that_ships_is_read_and_written_again_byte_for_byte(shipped: bytes) -> None:
    """The weights are taken back to floats and put into 8 bits anew, so this tests both ways."""
    assert to_bytes(from_bytes(shipped)) == shipped


def test_the_net_that_ships_has_the_parameters_that_its_card_names(shipped: bytes) -> None:
    parameters = from_bytes(shipped)
    learnt = sum(v.size for name, v in parameters.items() if "running" not in name)
    assert f"({learnt / 1e6:.1f} million parameters" in (MODEL.parents[1] / "CARD.md").read_text()


@pytest.mark.parametrize("size", [0, 1, 100, 5000, 1_000_000, 10_000_000])
def test_a_file_cut_short_is_refused(shipped: bytes, size: int) -> None:
    with pytest.raises(NotOurs):
        from_bytes(shipped[:size])


def test_a_net_of_other_layers_is_refused(shipped: bytes) -> None:
    with pytest.raises(NotOurs):
        from_bytes(shipped.replace(b"Scale(0.66", b"Scale(0.75"))


@pytest.mark.parametrize("seed", range(5))
def test_a_compressed_number_is_off_by_less_than_a_step(seed: int) -> None:
    """The steps are those of Kaldi's form "CM": 64, 128 and 63 between least, quartiles, greatest.

    The quartiles themselves are rounded to span / 65535, half of it to either side.
    """
    r = np.random.default_rng(seed)
    values = r.normal(0, r.uniform(0.01, 3, 7), (200, 7))
    back = Compressed.of(values).values()
    ordered = np.sort(values, axis=0)[[0, 50, 150, 199]]
    steps = np.diff(ordered, axis=0) / np.array([[64], [128], [63]])
    mark = (values.max() - values.min()) / 65535
    part = (values >= ordered[1]).astype(int) + (values >= ordered[2])
    allowed = np.take_along_axis(steps, part, 0) / 2 + 2 * mark
    assert (np.abs(back - values) <= allowed).all()


def test_a_matrix_that_went_through_8_bits_once_stays_as_it_is() -> None:
    values = np.random.default_rng(3).normal(0, 1, (300, 40))
    once = Compressed.of(values)
    again = Compressed.of(once.values())
    assert once.to_bytes() == again.to_bytes()
