"""OpenFst's binary formats const and olabel_lookahead with symbol tables, as Vosk reads them.

The formats are those of OpenFst 1.8 (``fst/const-fst.h``, ``fst/symbol-table.cc``,
``fst/lookahead-matcher.h``); tests read what is written here with OpenFst's own tools.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Mapping, Sequence

Arc = tuple[int, int, float, int]
"""Input label, output label, cost (−log of a probability), next state; label 0 is epsilon."""

_MAGIC, _ADDON_MAGIC, _SYMBOLS_MAGIC = 2125659606, 446681434, 2125658996
_EXPANDED, _ACCEPTOR, _NOT_ACCEPTOR = 0x1, 0x10000, 0x20000
_SORTED_BY_INPUT, _SORTED_BY_OUTPUT = 0x10000000, 0x40000000
_NOT_FINAL = float("inf")


def _string(text: bytes) -> bytes:
    return struct.pack("<i", len(text)) + text


def _header(
    kind: bytes, version: int, flags: int, properties: int, counts: tuple[int, int, int]
) -> bytes:
    """*counts* are the start state, the number of states and the number of arcs."""
    fixed = struct.pack("<iiQqqq", version, flags, properties, *counts)
    return struct.pack("<i", _MAGIC) + _string(kind) + _string(b"standard") + fixed


def symbol_table(symbols: Sequence[tuple[str, int]]) -> bytes:
    """Return the table of *symbols* and their labels."""
    free = max(label for _, label in symbols) + 1
    out = struct.pack("<i", _SYMBOLS_MAGIC) + _string(b"words")
    out += struct.pack("<qq", free, len(symbols))
    for word, label in symbols:
        out += _string(word.encode()) + struct.pack("<q", label)
    return out


def _const(
    arcs: Sequence[Sequence[Arc]],
    final: Mapping[int, float],
    start: int,
    properties: int,
    symbols: bytes = b"",
) -> bytes:
    states, packed, offset = [], [], 0
    for state, leaving in enumerate(arcs):
        inputs, outputs = (sum(arc[side] == 0 for arc in leaving) for side in (0, 1))
        cost = final.get(state, _NOT_FINAL)
        states.append(struct.pack("<fIIII", cost, offset, len(leaving), inputs, outputs))
        packed += [struct.pack("<iifi", *arc) for arc in leaving]
        offset += len(leaving)
    flags = 3 if symbols else 0  # an input and an output table follow
    head = _header(b"const", 2, flags, properties, (start, len(arcs), offset))
    return head + symbols * 2 + b"".join(states) + b"".join(packed)


def acceptor(
    arcs: Sequence[Sequence[Arc]], final: Mapping[int, float], start: int, symbols: bytes
) -> bytes:
    """Return a const acceptor whose arcs are sorted by label, with its symbol table."""
    ordered = [sorted(leaving, key=lambda arc: (arc[0], arc[1])) for leaving in arcs]
    properties = _EXPANDED | _ACCEPTOR | _SORTED_BY_INPUT | _SORTED_BY_OUTPUT
    return _const(ordered, final, start, properties, symbols)


def transducer(arcs: Sequence[Sequence[Arc]], final: Mapping[int, float], start: int) -> bytes:
    """Return a const transducer whose arcs are sorted by output label."""
    ordered = [sorted(leaving, key=lambda arc: (arc[1], arc[0])) for leaving in arcs]
    return _const(ordered, final, start, _EXPANDED | _NOT_ACCEPTOR | _SORTED_BY_OUTPUT)


def with_lookahead(inner: bytes, reachable: Sequence[set[int]], final_label: int) -> bytes:
    """Return the transducer *inner* with the data of OpenFst's olabel_lookahead matcher.

    *reachable* are the output labels that can be reached from each state; *final_label* stands
    for a final state.
    """
    properties = _EXPANDED | _NOT_ACCEPTOR | _SORTED_BY_OUTPUT
    out = [
        _header(b"olabel_lookahead", 1, 0, properties, (-1, 0, 0))
        + struct.pack("<i", _ADDON_MAGIC),
        inner,
        b"\1\0\1\0\0" + struct.pack("<iq", final_label, len(reachable)),
    ]
    for labels in reachable:
        spans = intervals(labels)
        pairs = b"".join(struct.pack("<ii", *span) for span in spans)
        out.append(struct.pack("<q", len(spans)) + pairs + struct.pack("<i", len(labels)))
    return b"".join(out)


def intervals(labels: Iterable[int]) -> list[tuple[int, int]]:
    """Return *labels* as the fewest half-open intervals, in order."""
    spans: list[tuple[int, int]] = []
    for label in sorted(labels):
        if spans and spans[-1][1] == label:
            spans[-1] = (spans[-1][0], label + 1)
        else:
            spans.append((label, label + 1))
    return spans
