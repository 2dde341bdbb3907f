"""Kaldi's high-resolution MFCC, equal to what Vosk computes (dither 0), with warped filter banks.

Waveforms (B, N) are floats in the int16 range at 16 kHz; features are (B, T, 40) at 100 Hz.
"""

from __future__ import annotations

import math

import torch
from torch import nn
from torch.nn import functional as F

RATE, BINS, WINDOW, HOP = 16000, 40, 400, 160


def mel_bank(
    warp: float = 1.0, low: float = 20.0, high: float = 7600.0, size: int = 512
) -> torch.Tensor:
    """Return triangular filters (BINS, size/2+1); *warp* moves the formants of the speaker."""

    def mel(f: torch.Tensor | float) -> torch.Tensor:
        return 1127.0 * torch.log1p(torch.as_tensor(f, dtype=torch.float64) / 700.0)

    at = mel(torch.arange(size // 2, dtype=torch.float64) * RATE / size * warp)
    first, last = mel(low), mel(high)
    step = (last - first) / (BINS + 1)
    centre = first + step * torch.arange(1, BINS + 1, dtype=torch.float64)
    up, down = (
        (at[None] - (centre - step)[:, None]) / step,
        ((centre + step)[:, None] - at[None]) / step,
    )
    return F.pad(torch.clamp(torch.minimum(up, down), min=0), (0, 1)).float()


def cosines(lifter: float = 22.0) -> torch.Tensor:
    """Return the liftered cosine transform (BINS, BINS)."""
    k = torch.arange(BINS, dtype=torch.float64)
    matrix = torch.cos(math.pi / BINS * (k[None] + 0.5) * k[:, None]) * math.sqrt(2.0 / BINS)
    matrix[0] = math.sqrt(1.0 / BINS)
    return (matrix * (1 + 0.5 * lifter * torch.sin(math.pi * k / lifter))[:, None]).float()


class Mfcc(nn.Module):
    """Features for waveforms, each row with one of the *warps*."""

    banks: torch.Tensor
    cosines: torch.Tensor
    window: torch.Tensor

    def __init__(self, warps: tuple[float, ...] = (1.0,)) -> None:
        """Hold one filter bank for each of *warps*."""
        super().__init__()
        self.register_buffer("banks", torch.stack([mel_bank(warp) for warp in warps]))
        self.register_buffer("cosines", cosines())
        self.register_buffer("window", torch.hann_window(WINDOW, periodic=False) ** 0.85)

    def forward(
        self, wave: torch.Tensor, bank: torch.Tensor | None = None, masks: int = 0
    ) -> torch.Tensor:
        """Return features, each row by the filter bank whose number *bank* gives.

        *masks* bands and stretches of time of each row are blanked (Park et al., SpecAugment,
        2019).
        """
        frames = wave.unfold(-1, WINDOW, HOP)
        frames = frames - frames.mean(-1, keepdim=True)
        frames = torch.cat([frames[..., :1] * 0.03, frames[..., 1:] - 0.97 * frames[..., :-1]], -1)
        power = torch.fft.rfft(frames * self.window, 512).abs() ** 2
        banks = self.banks[:1].expand(len(wave), -1, -1) if bank is None else self.banks[bank]
        mel = torch.clamp(power @ banks.transpose(1, 2), min=torch.finfo(torch.float32).eps).log()
        if masks:
            mel = flattened(mel)
        for _ in range(masks):
            mel = blanked(mel, 1, 12)
            mel = blanked(mel, 2, 7)
        return mel @ self.cosines.T


def flattened(mel: torch.Tensor) -> torch.Tensor:
    """Return *mel*, one row in four smoothed over up to 70 ms, its peaks 0.6 to 1.1 as high.

    So speak voices made of averages.
    """
    rows, size = len(mel), 7
    width = 1.5 * torch.rand(rows, 1, device=mel.device) + 0.3
    at = torch.arange(size, device=mel.device) - size // 2
    share = torch.softmax(-0.5 * (at / width) ** 2, -1)
    mean = mel.mean(-1, keepdim=True)
    high = mean + (0.6 + 0.5 * torch.rand(rows, 1, 1, device=mel.device)) * (mel - mean)
    padded = F.pad(high.transpose(1, 2), (size // 2, size // 2), mode="replicate")
    smooth = (padded.unfold(-1, size, 1) * share[:, None, None]).sum(-1).transpose(1, 2)
    return torch.where(torch.rand(rows, 1, 1, device=mel.device) < 0.25, smooth, mel)


def blanked(mel: torch.Tensor, axis: int, max_width: int) -> torch.Tensor:
    """Return *mel* with up to *max_width* neighbours along *axis* set to the mean of their row."""
    size = mel.shape[axis]
    width = torch.randint(0, max_width + 1, (len(mel), 1, 1), device=mel.device)
    start = (torch.rand(len(mel), 1, 1, device=mel.device) * (size - width)).long()
    at = torch.arange(size, device=mel.device).view((1, -1, 1) if axis == 1 else (1, 1, -1))
    hit = (at >= start) & (at < start + width)
    return torch.where(hit, mel.mean((1, 2), keepdim=True), mel)
