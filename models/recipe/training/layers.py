"""The shape of the acoustic net: what each layer sees, in frames, and its sizes."""

from __future__ import annotations

EPS = 1e-3
"""Of the batch norms."""
WIDTH, BOTTLENECK = 1024, 208
"""Units of a layer, and of its bottleneck."""
SPLICE = 2
"""Frames on either side that the first layer sees."""
FINE = ((1, 1),)
"""Steps back and forward of the layers at 10 ms, in frames of 10 ms."""
COARSE = ((1, 1), (1, 1), (2, 1), (2, 1), (3, 1), (3, 1), (3, 2), (4, 2), (5, 2), (6, 2))
"""The same of the layers at 30 ms, in frames of 30 ms.

Far back, for the voice and the noise; little forward, since that is latency.
"""
BACK = SPLICE + sum(back for back, _ in FINE) + 3 * sum(back for back, _ in COARSE)
AHEAD = SPLICE + sum(ahead for _, ahead in FINE) + 3 * sum(ahead for _, ahead in COARSE)
"""Frames of 10 ms that the whole net sees before and after one."""
BINS = 40
"""Features a frame."""
