r"""Kaldi's final.mdl (transition model and nnet3 net, binary), written and read with numpy alone.

Facts of the format, from kaldi/src/nnet3 and kaldi/src/matrix/compressed-matrix.h: scalars are
\4 + int32 or float32, counts \8 + double; tuples are sorted; for tuple k the self-loop has
transition-id 2k+1 and the forward arc 2k+2; outputs come at frames 0, 3, 6 …; edges are padded by
repetition.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from recipe.training.layers import AHEAD, BACK, COARSE, EPS, FINE, SPLICE
from recipe.words.units import INDEX, UNITS

Floats = npt.NDArray[np.floating]
Parameters = Mapping[str, Floats]
"""Weights, biases, running means and variances, by the names that PyTorch gives them in the net."""
Tuples = Sequence[tuple[int, int, int]]
"""Of each phone: its id from 1, its forward output, its loop output."""
TUPLES: Tuples = [(k + 1, 2 * INDEX[unit], 2 * INDEX[unit] + 1) for k, unit in enumerate(UNITS)]
"""Of the units of this recipe."""
_NODES_END = b"<NumComponents> "
QUARTILE_STEPS = (64, 128, 63)
"""Steps of a compressed column between its least number, its quartiles and its greatest number."""


def _integer(x: int) -> bytes:
    return b"\x04" + struct.pack("<i", x)


def _single(x: float) -> bytes:
    return b"\x04" + struct.pack("<f", x)


def _double(x: float) -> bytes:
    return b"\x08" + struct.pack("<d", x)


def _integers(values: Sequence[int]) -> bytes:
    return b"\x04" + struct.pack("<i", len(values)) + np.asarray(values, "<i4").tobytes()


def _vector(values: npt.ArrayLike) -> bytes:
    array = np.asarray(values, "<f4").ravel()
    return b"FV " + _integer(len(array)) + array.tobytes()


@dataclass(frozen=True, eq=False)
class Compressed:
    """A matrix in 8 bits a number, with a scale of its own for every column (Kaldi's form "CM").

    ``marks`` (columns, 4) are each column's least number, quartiles and greatest number, in steps
    of ``span`` / 65535 above ``least``; ``levels`` (columns, rows) lie on the three straight
    scales between them.
    """

    least: float
    span: float
    marks: npt.NDArray[np.uint16]
    levels: npt.NDArray[np.uint8]

    @staticmethod
    def of(values: Floats) -> Compressed:
        """Compress *values* (rows, columns)."""
        array = np.asarray(values, "f8")
        least, span = float(array.min()), float(array.max() - array.min())
        rows = len(array)
        ordered = np.sort(array, axis=0)[[0, rows // 4, 3 * rows // 4, rows - 1]]
        marks = np.rint((ordered - least) / span * 65535).astype(int)
        for k in range(4):  # the four have to differ
            marks[k] = np.clip(marks[k], marks[k - 1] + 1 if k else 0, 65532 + k)
        low, first, third, high = least + span * marks / 65535
        upper = 192 + (array - third) / (high - third) * QUARTILE_STEPS[2]
        middle = 64 + (array - first) / (third - first) * QUARTILE_STEPS[1]
        lower = (array - low) / (first - low) * QUARTILE_STEPS[0]
        levels = np.where(array < first, lower, np.where(array < third, middle, upper))
        numbers = np.clip(np.rint(levels), 0, 255).astype("u1")
        return Compressed(least, span, marks.T.astype("<u2"), np.ascontiguousarray(numbers.T))

    def values(self) -> npt.NDArray[np.float64]:
        """Return the matrix (rows, columns) that Kaldi reads from it."""
        marks = self.least + self.span * self.marks.astype("f8") / 65535
        low, first, third, high = (marks[:, k : k + 1] for k in range(4))
        levels = self.levels.astype("f8")
        lower = low + (first - low) * levels / QUARTILE_STEPS[0]
        middle = first + (third - first) * (levels - 64) / QUARTILE_STEPS[1]
        upper = third + (high - third) * (levels - 192) / QUARTILE_STEPS[2]
        return np.where(levels <= 64, lower, np.where(levels <= 192, middle, upper)).T

    def to_bytes(self) -> bytes:
        """Return Kaldi's form."""
        columns, rows = self.levels.shape
        head = struct.pack("<ffii", self.least, self.span, rows, columns)
        return b"CM " + head + self.marks.tobytes() + self.levels.tobytes()


def _transition_model(tuples: Tuples) -> bytes:
    """Return the model of *tuples*, one emitting state a phone."""
    phones = [phone for phone, _, _ in tuples]
    topology = _integers(phones) + _integers([-1] + [0] * len(phones))
    topology += _integer(-1) + _integer(1) + _integer(2)
    topology += _integer(0) + _integer(1) + _integer(2)
    topology += _integer(0) + _single(0.5) + _integer(1) + _single(0.5)
    topology += _integer(-1) + _integer(-1) + _integer(0)
    out = b"<TransitionModel> <Topology> " + topology + b"</Topology> "
    out += b"<Tuples> " + _integer(len(tuples))
    for phone, forward, loop in tuples:
        out += _integer(phone) + _integer(0) + _integer(forward) + _integer(loop)
    log_half = [0.0] + [math.log(0.5)] * (2 * len(tuples))
    return out + b"</Tuples> <LogProbs> " + _vector(log_half) + b"</LogProbs> </TransitionModel> "


def _affine(weights: Compressed, bias: Floats) -> bytes:
    body = b"<LinearParams> " + weights.to_bytes() + b"<BiasParams> " + _vector(bias)
    return b"<FixedAffineComponent> " + body + b"</FixedAffineComponent> "


def _tdnn(weights: Compressed, bias: Floats, offsets: Sequence[int]) -> bytes:
    """Return an affine map over spliced frames; weights are (out, len(offsets)·in)."""
    return (
        b"<TdnnComponent> <LearningRate> "
        + _single(0.001)
        + b"<TimeOffsets> "
        + _integers(offsets)
        + b"<LinearParams> "
        + weights.to_bytes()
        + b"<BiasParams> "
        + _vector(bias)
        + b"<OrthonormalConstraint> "
        + _single(0.0)
        + b"<UseNaturalGradient> F<NumSamplesHistory> "
        + _single(2000.0)
        + b"<AlphaInOut> "
        + _single(4.0)
        + _single(4.0)
        + b"<RankInOut> "
        + _integer(20)
        + _integer(80)
        + b"</TdnnComponent> "
    )


def _relu(size: int) -> bytes:
    empty, zero = _vector([]), _double(0.0)
    return (
        b"<RectifiedLinearComponent> <Dim> "
        + _integer(size)
        + (b"<ValueAvg> " + empty + b"<DerivAvg> " + empty + b"<Count> " + zero)
        + (b"<OderivRms> " + empty + b"<OderivCount> " + zero)
        + (b"<NumDimsSelfRepaired> " + zero + b"<NumDimsProcessed> " + zero)
        + b"</RectifiedLinearComponent> "
    )


def _identity(size: int) -> bytes:
    body = b"<Dim> " + _integer(size) + b"<BackpropScale> " + _single(1.0)
    return b"<NoOpComponent> " + body + b"</NoOpComponent> "


def _batch_norm(mean: Floats, variance: Floats) -> bytes:
    size = len(mean)
    return (
        b"<BatchNormComponent> <Dim> "
        + _integer(size)
        + (b"<BlockDim> " + _integer(size) + b"<Epsilon> " + _single(EPS))
        + (b"<TargetRms> " + _single(1.0) + b"<TestMode> T<Count> " + _double(1000.0))
        + (b"<StatsMean> " + _vector(mean) + b"<StatsVar> " + _vector(variance))
        + b"</BatchNormComponent> "
    )


@dataclass
class _Graph:
    """The nodes of a net, in order."""

    config: list[str]
    components: list[tuple[str, bytes]] = field(default_factory=list)

    def add(self, name: str, component: bytes, source: str) -> str:
        self.config.append(f"component-node name={name} component={name} input={source}")
        self.components.append((name, component))
        return name

    def to_bytes(self, last: str, back: int, ahead: int) -> bytes:
        config = [*self.config, f"output-node name=output input={last} objective=linear"]
        out = b"<Nnet3> \n" + "\n".join(config).encode() + b"\n\n"
        out += _NODES_END + _integer(len(self.components))
        for name, component in self.components:
            out += b"<ComponentName> " + name.encode() + b" " + component
        out += b"</Nnet3> <LeftContext> " + _integer(back) + b"<RightContext> " + _integer(ahead)
        return out + b"<Priors> " + _vector([])


def _layers() -> Iterator[tuple[str, str, int, int]]:
    """Yield (name in the file, name in the net, frames back, frames ahead) of each layer."""
    steps = [(f"fine.{k}", 1, *each) for k, each in enumerate(FINE)]
    steps += [(f"coarse.{k}", 3, *each) for k, each in enumerate(COARSE)]
    for number, (name, frames, back, ahead) in enumerate(steps, start=1):
        yield f"layer{number}", name, frames * back, frames * ahead


def to_bytes(parameters: Parameters, tuples: Tuples = TUPLES) -> bytes:
    """Return final.mdl, its matrices in 8 bits a number."""

    def matrix(name: str) -> Compressed:
        return Compressed.of(parameters[f"{name}.weight"])

    def norm(name: str) -> bytes:
        mean, variance = (parameters[f"{name}.running_{what}"] for what in ("mean", "var"))
        return _batch_norm(mean, variance)

    width = len(parameters["first.bias"])
    nodes = _Graph([f"input-node name=input dim={len(parameters['inbn.running_mean'])}"])
    at = nodes.add("input.bn", norm("inbn"), "input")
    splice = ", ".join(f"Offset({at}, {k})" if k else at for k in range(-SPLICE, SPLICE + 1))
    first = _affine(matrix("first"), parameters["first.bias"])
    at = nodes.add("first.affine", first, f"Append({splice})")
    at = nodes.add("first.relu", _relu(width), at)
    at = nodes.add("first.bn", norm("first_bn"), at)
    for name, inner, back, ahead in _layers():
        low = _tdnn(matrix(f"{inner}.lin"), np.zeros(0), [-back, 0])
        high = _tdnn(matrix(f"{inner}.aff"), parameters[f"{inner}.aff.bias"], [0, ahead])
        x = nodes.add(f"{name}.linear", low, at)
        x = nodes.add(f"{name}.affine", high, x)
        x = nodes.add(f"{name}.relu", _relu(width), x)
        x = nodes.add(f"{name}.bn", norm(f"{inner}.bn"), x)
        at = nodes.add(f"{name}.sum", _identity(width), f"Sum(Scale(0.66, {at}), {x})")
    at = nodes.add("output.affine", _affine(matrix("out"), parameters["out.bias"]), at)
    return b"\0B" + _transition_model(tuples) + nodes.to_bytes(at, BACK, AHEAD)


class NotOurs(ValueError):
    """A final.mdl that this recipe did not write."""

    def __init__(self, offset: int, expected: str) -> None:
        """Keep where in the file (bytes) something else stood than what was *expected*."""
        self.offset, self.expected = offset, expected
        super().__init__(offset, expected)

    def __str__(self) -> str:
        """Say where and what."""
        return f"not a net of this recipe: at byte {self.offset} no {self.expected}"


class _Reader:
    """Walks over a final.mdl."""

    def __init__(self, data: bytes) -> None:
        self._data, self._at = data, 0

    def skip(self, known: bytes) -> None:
        """Go past *known*, which has to stand here."""
        if not self._data.startswith(known, self._at):
            raise NotOurs(self._at, repr(known[:40]))
        self._at += len(known)

    def seek(self, mark: bytes) -> None:
        """Go past the next *mark*."""
        found = self._data.find(mark, self._at)
        if found < 0:
            raise NotOurs(self._at, repr(mark))
        self._at = found + len(mark)

    def _unpack(self, form: str) -> tuple[float, ...]:
        size = struct.calcsize(form)
        if self._at + size > len(self._data):
            raise NotOurs(self._at, "further bytes")
        values = struct.unpack_from(form, self._data, self._at)
        self._at += size
        return values

    def _array(self, kind: str, count: int) -> npt.NDArray[np.generic]:
        size = np.dtype(kind).itemsize * count
        if count < 0 or self._at + size > len(self._data):
            raise NotOurs(self._at, f"array of {count}")
        values = np.frombuffer(self._data, kind, count, self._at)
        self._at += size
        return values

    def vector(self) -> Floats:
        """Read a vector of floats."""
        self.skip(b"FV \x04")
        (length,) = self._unpack("<i")
        return self._array("<f4", int(length)).astype("f4")

    def matrix(self) -> Floats:
        """Read a compressed matrix, as the floats that Kaldi makes of it."""
        self.skip(b"CM ")
        least, span, rows, columns = self._unpack("<ffii")
        marks = self._array("<u2", 4 * int(columns)).reshape(int(columns), 4).astype("u2")
        levels = self._array("u1", int(columns) * int(rows)).astype("u1")
        return Compressed(least, span, marks, levels.reshape(int(columns), int(rows))).values()


def from_bytes(data: bytes) -> dict[str, Floats]:
    """Return the parameters of a final.mdl that :func:`to_bytes` wrote.

    Weights are what Kaldi makes of the 8 bits, in float64, so that writing them again gives the
    same bytes; the second head, used in training only, is not in the file. Raises
    :class:`NotOurs`.
    """
    reader = _Reader(data)
    reader.skip(b"\0B" + _transition_model(TUPLES))
    found: dict[str, Floats] = {}

    def norm(name: str) -> None:
        reader.seek(b"<StatsMean> ")
        found[f"{name}.running_mean"] = reader.vector()
        reader.skip(b"<StatsVar> ")
        found[f"{name}.running_var"] = reader.vector()

    def affine(name: str) -> None:
        reader.seek(b"<LinearParams> ")
        found[f"{name}.weight"] = reader.matrix()
        reader.skip(b"<BiasParams> ")
        bias = reader.vector()
        if len(bias):
            found[f"{name}.bias"] = bias

    norm("inbn")
    affine("first")
    norm("first_bn")
    for _, inner, _, _ in _layers():
        affine(f"{inner}.lin")
        affine(f"{inner}.aff")
        norm(f"{inner}.bn")
    affine("out")
    head = to_bytes(found).partition(_NODES_END)[0]
    if not data.startswith(head + _NODES_END):
        raise NotOurs(0, "net of these layers")
    return found
