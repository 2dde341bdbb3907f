"""Writes Kaldi's final.mdl (transition model and nnet3 net, binary) with Python and numpy alone.

Format facts that took finding out: scalars are \\4 + int32 or float32, counts \\8 + double;
tuples are sorted; for tuple k the self-loop has transition-id 2k+1 and the forward arc 2k+2;
outputs come at frames 0, 3, 6 …; edges are padded by repetition.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from net import EPS, SPLICE

if TYPE_CHECKING:
    from net import Net


def integer(x: int) -> bytes:
    return b"\x04" + struct.pack("<i", x)


def single(x: float) -> bytes:
    return b"\x04" + struct.pack("<f", x)


def double(x: float) -> bytes:
    return b"\x08" + struct.pack("<d", x)


def integers(values: Sequence[int]) -> bytes:
    return b"\x04" + struct.pack("<i", len(values)) + np.asarray(values, "<i4").tobytes()


def vector(values: object) -> bytes:
    array = np.asarray(values, "<f4").ravel()
    return b"FV " + integer(len(array)) + array.tobytes()


def packed(values: object) -> bytes:
    """Return a matrix in 8 bits a number, on a scale of its own for every column (Kaldi's compressed form "CM"; it reads as floats).

    A column's scale runs straight from its least to its first quartile (64 steps), to its
    third (128) and to its greatest number (63).
    """
    array = np.asarray(values, "f8")
    least, span = float(array.min()), float(array.max() - array.min())
    rows, columns = array.shape
    ordered = np.sort(array, axis=0)
    marks = np.rint((ordered[[0, rows // 4, 3 * rows // 4, rows - 1]] - least) / span * 65535).astype(int)
    for k in range(4):  # the four have to differ
        marks[k] = np.clip(marks[k], marks[k - 1] + 1 if k else 0, 65532 + k)
    low, first, third, high = least + span * marks / 65535
    levels = np.where(
        array < first, (array - low) / (first - low) * 64,
        np.where(array < third, 64 + (array - first) / (third - first) * 128, 192 + (array - third) / (high - third) * 63),
    )  # fmt: skip
    numbers = np.clip(np.rint(levels), 0, 255).astype("u1")
    return b"CM " + struct.pack("<ffii", least, span, rows, columns) + marks.T.astype("<u2").tobytes() + np.ascontiguousarray(numbers.T).tobytes()


def transition_model(tuples: Sequence[tuple[int, int, int]]) -> bytes:
    """Return the model for (phone id from 1, forward output, loop output), one emitting state a phone."""
    phones = [phone for phone, _, _ in tuples]
    topology = integers(phones) + integers([-1] + [0] * len(phones))
    topology += integer(-1) + integer(1) + integer(2)
    topology += integer(0) + integer(1) + integer(2) + integer(0) + single(0.5) + integer(1) + single(0.5)
    topology += integer(-1) + integer(-1) + integer(0)
    out = b"<TransitionModel> <Topology> " + topology + b"</Topology> <Tuples> " + integer(len(tuples))
    for phone, forward, loop in tuples:
        out += integer(phone) + integer(0) + integer(forward) + integer(loop)
    log_half = [0.0] + [float(np.log(0.5))] * (2 * len(tuples))
    return out + b"</Tuples> <LogProbs> " + vector(log_half) + b"</LogProbs> </TransitionModel> "


def affine(weights: object, bias: object) -> bytes:
    return b"<FixedAffineComponent> <LinearParams> " + packed(weights) + b"<BiasParams> " + vector(bias) + b"</FixedAffineComponent> "


def tdnn(weights: object, bias: object, offsets: Sequence[int]) -> bytes:
    """An affine map over spliced frames; weights are (out, len(offsets)·in)."""
    return (
        b"<TdnnComponent> <LearningRate> " + single(0.001) + b"<TimeOffsets> " + integers(offsets)
        + b"<LinearParams> " + packed(weights) + b"<BiasParams> " + vector(bias)
        + b"<OrthonormalConstraint> " + single(0.0) + b"<UseNaturalGradient> F<NumSamplesHistory> " + single(2000.0)
        + b"<AlphaInOut> " + single(4.0) + single(4.0) + b"<RankInOut> " + integer(20) + integer(80) + b"</TdnnComponent> "
    )  # fmt: skip


def relu(size: int) -> bytes:
    return (
        b"<RectifiedLinearComponent> <Dim> " + integer(size) + b"<ValueAvg> " + vector([]) + b"<DerivAvg> " + vector([])
        + b"<Count> " + double(0.0) + b"<OderivRms> " + vector([]) + b"<OderivCount> " + double(0.0)
        + b"<NumDimsSelfRepaired> " + double(0.0) + b"<NumDimsProcessed> " + double(0.0) + b"</RectifiedLinearComponent> "
    )  # fmt: skip


def through(size: int) -> bytes:
    return b"<NoOpComponent> <Dim> " + integer(size) + b"<BackpropScale> " + single(1.0) + b"</NoOpComponent> "


def batch_norm(mean: object, variance: object) -> bytes:
    size = len(np.asarray(mean))
    return (
        b"<BatchNormComponent> <Dim> " + integer(size) + b"<BlockDim> " + integer(size) + b"<Epsilon> " + single(EPS)
        + b"<TargetRms> " + single(1.0) + b"<TestMode> T<Count> " + double(1000.0) + b"<StatsMean> " + vector(mean)
        + b"<StatsVar> " + vector(variance) + b"</BatchNormComponent> "
    )  # fmt: skip


class Nodes:
    """Collects the nodes of a net in order."""

    def __init__(self, inputs: int) -> None:
        self.config = [f"input-node name=input dim={inputs}"]
        self.components: list[tuple[str, bytes]] = []

    def add(self, name: str, component: bytes, source: str) -> str:
        self.config.append(f"component-node name={name} component={name} input={source}")
        self.components.append((name, component))
        return name

    def to_bytes(self, last: str, back: int, ahead: int) -> bytes:
        config = [*self.config, f"output-node name=output input={last} objective=linear"]
        out = b"<Nnet3> \n" + "\n".join(config).encode() + b"\n\n" + b"<NumComponents> " + integer(len(self.components))
        for name, component in self.components:
            out += b"<ComponentName> " + name.encode() + b" " + component
        return out + b"</Nnet3> <LeftContext> " + integer(back) + b"<RightContext> " + integer(ahead) + b"<Priors> " + vector([])


def write(path: Path, net: Net, tuples: Sequence[tuple[int, int, int]]) -> None:
    """Write *net* as the acoustic model of a Vosk directory."""
    def plain(tensor: object) -> np.ndarray:
        return tensor.detach().cpu().numpy()  # type: ignore[attr-defined]

    def norm(layer: object) -> bytes:
        return batch_norm(plain(layer.running_mean), plain(layer.running_var))  # type: ignore[attr-defined]

    nodes = Nodes(len(plain(net.inbn.running_mean)))
    wide = net.first.out_features
    at = nodes.add("input.bn", norm(net.inbn), "input")
    splice = ", ".join(f"Offset({at}, {k})" if k else at for k in range(-SPLICE, SPLICE + 1))
    at = nodes.add("first.affine", affine(plain(net.first.weight), plain(net.first.bias)), f"Append({splice})")
    at = nodes.add("first.bn", norm(net.first_bn), nodes.add("first.relu", relu(wide), at))
    layers = [(layer, 1) for layer in net.fine] + [(layer, 3) for layer in net.coarse]
    for number, (layer, frames) in enumerate(layers, start=1):
        name = f"layer{number}"
        low = nodes.add(f"{name}.linear", tdnn(plain(layer.lin.weight), [], [-frames * layer.back, 0]), at)
        high = nodes.add(f"{name}.affine", tdnn(plain(layer.aff.weight), plain(layer.aff.bias), [0, frames * layer.ahead]), low)
        high = nodes.add(f"{name}.bn", norm(layer.bn), nodes.add(f"{name}.relu", relu(wide), high))
        at = nodes.add(f"{name}.sum", through(wide), f"Sum(Scale(0.66, {at}), {high})")
    at = nodes.add("output.affine", affine(plain(net.out.weight), plain(net.out.bias)), at)
    path.write_bytes(b"\0B" + transition_model(tuples) + nodes.to_bytes(at, net.back, net.ahead))
