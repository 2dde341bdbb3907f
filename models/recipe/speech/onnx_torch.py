"""Runs an ONNX graph of 8-bit dynamically quantised layers on PyTorch, in floats, on any device.

Only what the graphs of this recipe need. The operators follow onnx.ai/onnx/operators; those of
the domain com.microsoft follow ONNX Runtime's ContribOperators.md. Quantised weights are taken
back to floats once; what flows through is never quantised.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import onnx
import torch
import torch.nn.functional as F
from onnx import numpy_helper

Attributes = dict[str, Any]
Operator = Callable[["Graph", Attributes, list[Any]], Any]
TYPES = {1: torch.float32, 6: torch.int32, 7: torch.int64, 9: torch.bool}
"""ONNX's numbers of element types."""


class Graph:
    """A graph loaded from *file*; call it with its inputs by name."""

    def __init__(self, file: Path, device: str) -> None:
        """Load *file*; weights that are constant are worked out once."""
        model = onnx.load(str(file))
        self.device = device
        self._kept: dict[str, Any] = {}
        for initial in model.graph.initializer:
            value = torch.from_numpy(np.array(numpy_helper.to_array(initial)))
            # Shapes stay on the CPU: a GPU would be waited for.
            self._kept[initial.name] = (
                value if value.dtype == torch.int64 and value.numel() <= 64 else value.to(device)
            )
        self._outputs = [output.name for output in model.graph.output]
        self.weights: dict[int, Any] = {}
        steps, self._steps = [(n, _attributes(n)) for n in model.graph.node], []
        with torch.inference_mode():
            for node, attributes in steps:
                if node.op_type not in OPERATORS:
                    raise ValueError(f"the operator {node.op_type} is not known here")
                constant = (
                    all(not name or name in self._kept for name in node.input)
                    and node.op_type != "DynamicQuantizeLinear"
                )
                step = (OPERATORS[node.op_type], attributes, list(node.input), list(node.output))
                if constant:
                    self._do(step, self._kept)
                else:
                    self._steps.append(step)
        last = {name: k for k, step in enumerate(self._steps) for name in step[2]}
        self._done = [
            [n for n in {*step[2]} if n and n not in self._kept and last[n] == k]
            for k, step in enumerate(self._steps)
        ]

    def _do(
        self, step: tuple[Operator, Attributes, list[str], list[str]], values: dict[str, Any]
    ) -> None:
        operator, attributes, inputs, outputs = step
        made = operator(self, attributes, [values[name] if name else None for name in inputs])
        if len(outputs) == 1:
            values[outputs[0]] = made
        else:
            values.update(zip(outputs, made, strict=False))

    @torch.inference_mode()
    def __call__(self, feed: dict[str, np.ndarray]) -> list[torch.Tensor]:
        """Return the outputs."""
        values = dict(self._kept)
        values.update(
            {name: torch.from_numpy(value).to(self.device) for name, value in feed.items()}
        )
        for step, done in zip(self._steps, self._done, strict=True):
            self._do(step, values)
            for name in done:
                values.pop(name, None)
        return [values[name] for name in self._outputs]

    def once(self, of: Any, make: Callable[[], Any]) -> Any:
        """Return what *make* makes of the weight *of*, made once."""
        if id(of) not in self.weights:
            self.weights[id(of)] = make()
        return self.weights[id(of)]


def _attributes(node: onnx.NodeProto) -> Attributes:
    found = {}
    for a in node.attribute:
        value = onnx.helper.get_attribute_value(a)
        if isinstance(value, onnx.TensorProto):
            value = torch.from_numpy(np.array(numpy_helper.to_array(value)))
        found[a.name] = value.decode() if isinstance(value, bytes) else value
    return found


def _together(*tensors: torch.Tensor) -> list[torch.Tensor]:
    """Return *tensors* on one device: the GPU where any of them is there."""
    device = next((t.device for t in tensors if t.device.type != "cpu"), tensors[0].device)
    return [
        t if (t.dim() == 0 and t.dtype.is_floating_point) or t.device == device else t.to(device)
        for t in tensors
    ]


def _two(operation: Callable[..., torch.Tensor]) -> Operator:
    return lambda graph, attributes, inputs: operation(*_together(*inputs))


def _one(operation: Callable[..., torch.Tensor]) -> Operator:
    return lambda graph, attributes, inputs: operation(inputs[0])


def _div(a: torch.Tensor, b: torch.Tensor) -> torch.Tensor:
    return a / b if a.dtype.is_floating_point else torch.div(a, b, rounding_mode="trunc")


def _reshape(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, wanted = inputs[0], inputs[1].tolist()
    return x.reshape([x.shape[k] if size == 0 else size for k, size in enumerate(wanted)])


def _unsqueeze(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x = inputs[0]
    axes = inputs[1].tolist()
    for axis in sorted(a % (x.dim() + len(axes)) for a in axes):
        x = x.unsqueeze(axis)
    return x


def _squeeze(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x = inputs[0]
    return x.squeeze() if len(inputs) < 2 else x.squeeze(tuple(inputs[1].tolist()))


def _slice(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, starts, ends = inputs[0], inputs[1].tolist(), inputs[2].tolist()
    axes = inputs[3].tolist() if len(inputs) > 3 and inputs[3] is not None else range(len(starts))
    steps = inputs[4].tolist() if len(inputs) > 4 and inputs[4] is not None else [1] * len(starts)
    for start, end, axis, step in zip(starts, ends, axes, steps, strict=True):
        if step < 0:
            x = x.flip(axis)
            start, end, step = -1 - start, -1 - end if end > -(2**31) else x.shape[axis], -step
        picks: list[slice] = [slice(None)] * x.dim()
        picks[axis] = slice(start, min(end, 2**31), step)
        x = x[tuple(picks)]
    return x


def _gather(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, index = _together(inputs[0], inputs[1])
    axis = attributes.get("axis", 0)
    if index.dim() == 0:
        return x.select(axis, int(index))
    picked = x.index_select(axis, index.reshape(-1))
    return picked.reshape(*x.shape[:axis], *index.shape, *x.shape[axis + 1 :])


def _matmul_integer(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    return inputs[0] @ _whole(
        graph, inputs[1], inputs[3] if len(inputs) > 3 else None, by_row=False
    )


def _whole(
    graph: Graph, weight: torch.Tensor, zero: torch.Tensor | None, *, by_row: bool
) -> torch.Tensor:
    """Return a quantised *weight* less its *zero*, as floats; what is in floats, as it is."""
    if weight.dtype.is_floating_point:
        return weight

    def make() -> torch.Tensor:
        if zero is None:
            return weight.float()
        shape = (-1, *[1] * (weight.dim() - 1)) if by_row and zero.dim() else zero.shape
        return weight.float() - zero.float().reshape(shape)

    return graph.once(weight, make)


def _conv_integer(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    weight = _whole(graph, inputs[1], inputs[3] if len(inputs) > 3 else None, by_row=True)
    return _conv(graph, attributes, [inputs[0], weight])


def _conv(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, (left, right) = inputs[0], attributes["pads"]
    if left != right:
        x, left = F.pad(x, (left, right)), 0
    bias = inputs[2] if len(inputs) > 2 else None
    return F.conv1d(
        x,
        inputs[1],
        bias,
        attributes["strides"][0],
        left,
        attributes["dilations"][0],
        attributes["group"],
    )


def _conv_transpose(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    bias = inputs[2] if len(inputs) > 2 else None
    extra = attributes.get("output_padding", [0])[0]
    return F.conv_transpose1d(
        inputs[0],
        inputs[1],
        bias,
        attributes["strides"][0],
        attributes["pads"][0],
        extra,
        attributes["group"],
        attributes["dilations"][0],
    )


def _lstm(graph: Graph, attributes: Attributes, inputs: list[Any]) -> tuple[torch.Tensor, ...]:
    x, w, r, bias = inputs[:4]
    hidden = attributes["hidden_size"]

    def of_torch(weight: torch.Tensor) -> torch.Tensor:
        i, o, f, c = weight.split(hidden, 0)
        return torch.cat([i, f, c, o]).contiguous()

    def make() -> torch.nn.LSTM:
        net = torch.nn.LSTM(w.shape[1], hidden, bidirectional=True).to(graph.device)
        for way, name in enumerate(("", "_reverse")):
            for quantised, scale, zero, kind in (
                (w, inputs[8], inputs[9], "ih"),
                (r, inputs[10], inputs[11], "hh"),
            ):
                whole = (quantised[way].float() - zero.reshape(2, -1)[way].float()) * scale.reshape(
                    2, -1
                )[way]
                getattr(net, f"weight_{kind}_l0{name}").data.copy_(of_torch(whole.T))
            first, second = bias[way].split(4 * hidden)
            getattr(net, f"bias_ih_l0{name}").data.copy_(of_torch(first))
            getattr(net, f"bias_hh_l0{name}").data.copy_(of_torch(second))
        return net

    y, (h, c) = graph.once(w, make)(x, (inputs[5].contiguous(), inputs[6].contiguous()))
    return y.reshape(*y.shape[:2], 2, hidden).transpose(1, 2), h, c


def _stft(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, step, window, size = inputs
    spectrum = torch.stft(
        x.squeeze(-1),
        int(size),
        int(step),
        window=window,
        center=False,
        onesided=True,
        return_complex=True,
    )
    return torch.view_as_real(spectrum.transpose(1, 2))


def _resize(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, scales = inputs[0], inputs[2].tolist()
    if attributes["mode"] == "nearest":
        return x.repeat_interleave(int(scales[-1]), -1)
    size = int(x.shape[-1] * scales[-1] + 1e-4)
    at = ((torch.arange(size, device=x.device) + 0.5) / scales[-1] - 0.5).clamp(0, x.shape[-1] - 1)
    low = at.floor().long().clamp(max=x.shape[-1] - 1)
    high = (low + 1).clamp(max=x.shape[-1] - 1)
    share = at - low
    return x[..., low] * (1 - share) + x[..., high] * share


def _pad(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    pads = inputs[1].tolist()
    x = inputs[0]
    return F.pad(
        x if x.dim() > 1 else x[None], (pads[x.dim() - 1], pads[-1]), mode="reflect"
    ).reshape(*x.shape[:-1], -1)


def _norm(x: torch.Tensor, inputs: list[Any], attributes: Attributes) -> torch.Tensor:
    return F.layer_norm(
        x, x.shape[-1:], inputs[0], inputs[1] if len(inputs) > 1 else None, attributes["epsilon"]
    )


def _scatter(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    x, index, values = _together(*inputs)
    out = x.clone()
    out[tuple(index.reshape(-1, index.shape[-1]).T)] = values.reshape(-1)
    return out


def _range(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    return torch.arange(*[value.item() for value in inputs], device=inputs[1].device)


def _split(graph: Graph, attributes: Attributes, inputs: list[Any]) -> tuple[torch.Tensor, ...]:
    sizes = inputs[1].tolist() if len(inputs) > 1 else inputs[0].shape[attributes["axis"]] // 2
    return inputs[0].split(sizes, attributes["axis"])


def _clip(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    low, high = [*inputs[1:], None, None][:2]
    return inputs[0].clamp(
        None if low is None else low.item(), None if high is None else high.item()
    )


def _fused_matmul(graph: Graph, attributes: Attributes, inputs: list[Any]) -> torch.Tensor:
    a, b = _together(*inputs)
    return (
        (a.mT if attributes["transA"] else a)
        @ (b.mT if attributes["transB"] else b)
        * attributes["alpha"]
    )


OPERATORS: dict[str, Operator] = {
    "Add": _two(torch.add),
    "And": _two(torch.logical_and),
    "Atan": lambda graph, attributes, inputs: torch.atan(
        inputs[0].nan_to_num()
    ),  # silence has no phase
    "Cast": lambda graph, attributes, inputs: inputs[0].to(TYPES[attributes["to"]]),
    "Clip": _clip,
    "Concat": lambda graph, attributes, inputs: torch.cat(_together(*inputs), attributes["axis"]),
    "ConstantOfShape": lambda graph, attributes, inputs: torch.full(
        inputs[0].tolist(),
        attributes.get("value", torch.zeros(1)).item(),
        dtype=attributes.get("value", torch.zeros(1)).dtype,
        device=graph.device,
    ),
    "Conv": _conv,
    "ConvInteger": _conv_integer,
    "ConvTranspose": _conv_transpose,
    "Cos": _one(torch.cos),
    "CumSum": lambda graph, attributes, inputs: inputs[0].cumsum(int(inputs[1])),
    "DequantizeLinear": lambda graph, attributes, inputs: (
        (inputs[0].float() - inputs[2].float()) * inputs[1]
    ),
    "Div": _two(_div),
    "DynamicQuantizeLinear": lambda graph, attributes, inputs: (
        inputs[0],
        torch.ones(()),
        torch.zeros(()),
    ),
    "DynamicQuantizeLSTM": _lstm,
    "Equal": _two(torch.eq),
    "Exp": _one(torch.exp),
    "Expand": lambda graph, attributes, inputs: inputs[0].expand(
        torch.broadcast_shapes(inputs[0].shape, tuple(inputs[1].tolist()))
    ),
    "FastGelu": lambda graph, attributes, inputs: F.gelu(
        inputs[0] if len(inputs) < 2 else inputs[0] + inputs[1], approximate="tanh"
    ),
    "Floor": _one(torch.floor),
    "FusedMatMul": _fused_matmul,
    "Gather": _gather,
    "Greater": _two(torch.gt),
    "GreaterOrEqual": _two(torch.ge),
    "LayerNormalization": lambda graph, attributes, inputs: _norm(
        inputs[0], inputs[1:], attributes
    ),
    "LeakyRelu": lambda graph, attributes, inputs: F.leaky_relu(inputs[0], attributes["alpha"]),
    "Less": _two(torch.lt),
    "MatMul": _two(torch.matmul),
    "MatMulInteger": _matmul_integer,
    "Mul": _two(torch.mul),
    "NonZero": lambda graph, attributes, inputs: inputs[0].nonzero().T,
    "Pad": _pad,
    "Pow": _two(torch.pow),
    "Range": _range,
    "ReduceMean": lambda graph, attributes, inputs: inputs[0].mean(
        tuple(inputs[1].tolist()), keepdim=bool(attributes["keepdims"])
    ),
    "ReduceSum": lambda graph, attributes, inputs: inputs[0].sum(
        tuple(inputs[1].tolist()), keepdim=bool(attributes["keepdims"])
    ),
    "Reshape": _reshape,
    "Resize": _resize,
    "Round": _one(torch.round),
    "STFT": _stft,
    "ScatterND": _scatter,
    "Shape": lambda graph, attributes, inputs: torch.tensor(inputs[0].shape),
    "Sigmoid": _one(torch.sigmoid),
    "Sin": _one(torch.sin),
    "SkipLayerNormalization": lambda graph, attributes, inputs: _norm(
        inputs[0] + inputs[1] + (inputs[4] if len(inputs) > 4 else 0), inputs[2:4], attributes
    ),
    "Slice": _slice,
    "Softmax": lambda graph, attributes, inputs: inputs[0].softmax(attributes["axis"]),
    "Split": _split,
    "Sqrt": _one(torch.sqrt),
    "Squeeze": _squeeze,
    "Sub": _two(torch.sub),
    "Tanh": _one(torch.tanh),
    "Transpose": lambda graph, attributes, inputs: inputs[0].permute(attributes["perm"]),
    "Unsqueeze": _unsqueeze,
    "Where": _two(torch.where),
}
