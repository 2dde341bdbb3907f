"""Reverberation, microphones and the noises of a site while training, made by rule or recorded.

Every noise is (B, N): so many rows of so many samples at 16 kHz.
"""

from __future__ import annotations

import math

import torch
from torch.nn import functional as F

from recipe.training.recordings import Recordings

RATE = 16000
RECORDED_SHARES = 3
"""Recorded noise counts as so many of the seven kinds that are made by rule."""


class NoiseAugmenter:
    """Draws everything from one generator, so that a run can be repeated."""

    def __init__(self, device: str, seed: int = 1, recordings: Recordings | None = None) -> None:
        """Start the generator at *seed*; *recordings* are used beside what is made by rule."""
        self.device = device
        some = recordings
        self._recorded = some.noises if some is not None and len(some.noises) else None
        self._rooms = some.rooms if some is not None and len(some.rooms) else None
        self.generator = torch.Generator(device=device)
        self.generator.manual_seed(seed)

    def uniform(self, *shape: int) -> torch.Tensor:
        """Return numbers from 0 to 1."""
        return torch.rand(*shape, device=self.device, generator=self.generator)

    def normal(self, *shape: int) -> torch.Tensor:
        """Return numbers of mean 0 and variance 1."""
        return torch.randn(*shape, device=self.device, generator=self.generator)

    def coloured(self, B: int, N: int, low: float = -0.2, high: float = 2.2) -> torch.Tensor:
        """Steady noise from white to brown."""
        slope = self.uniform(B, 1) * (high - low) + low
        f = torch.linspace(0, 8000, N // 2 + 1, device=self.device)[None] + 40
        return torch.fft.irfft(torch.fft.rfft(self.normal(B, N)) * f ** (-slope / 2), N)

    def envelope(self, B: int, N: int, knots: int, floor: float = 0.1) -> torch.Tensor:
        """Return a loudness that runs straight between *knots* random ones, *floor* above 0."""
        return (
            floor
            + F.interpolate(self.uniform(B, 1, knots), N, mode="linear", align_corners=True)[:, 0]
        )

    def saw(self, B: int, N: int) -> torch.Tensor:
        """A circular saw: spins up, drops under load, screams on the harmonics of its teeth."""
        t = torch.arange(N, device=self.device) / RATE
        base = 60 + 500 * self.uniform(B, 1)
        load = F.interpolate(self.uniform(B, 1, 6), N, mode="linear", align_corners=True)[:, 0]
        pitch = base * (0.75 + 0.35 * load)
        spin = torch.clamp(
            (t[None] - self.uniform(B, 1) * N / RATE * 0.4) * (1 + 3 * self.uniform(B, 1)), 0, 1
        )
        spin = torch.where(self.uniform(B, 1) < 0.5, spin, torch.ones_like(spin))
        phase = torch.cumsum(2 * math.pi * pitch * (0.2 + 0.8 * spin) / RATE, 1)
        out = self.tones(
            phase, self.uniform(B, 12) * (torch.arange(1, 13, device=self.device) * base < 7500)
        )
        return (out + (0.3 + 3 * self.uniform(B, 1)) * self.coloured_unit(B, N) * (0.3 + load)) * (
            0.05 + spin
        )

    def tones(self, phase: torch.Tensor, loud: torch.Tensor) -> torch.Tensor:
        """Return the harmonics of *phase* (B, N), each as loud as *loud* (B, harmonics) says."""
        B, harmonics = loud.shape
        number = torch.arange(1, harmonics + 1, device=self.device)[:, None]
        return (
            torch.sin(number * phase[:, None] + 6.28 * self.uniform(B, harmonics, 1))
            * loud[..., None]
        ).sum(1)

    def coloured_unit(self, B: int, N: int) -> torch.Tensor:
        """Coloured noise at unit power."""
        x = self.coloured(B, N, -1.0, 1.2)
        return x / (x.pow(2).mean(1, keepdim=True).sqrt() + 1e-6)

    def hammer(self, B: int, N: int) -> torch.Tensor:
        """Blows: short bursts that ring on a few resonances."""
        length = 4000
        t = torch.arange(length, device=self.device) / RATE
        ring = torch.sin(
            2 * math.pi * (150 + 4500 * self.uniform(B, 5, 1) ** 2) * t
            + 6.28 * self.uniform(B, 5, 1)
        )
        ring = (
            ring * torch.exp(-t * (15 + 200 * self.uniform(B, 5, 1))) * self.uniform(B, 5, 1)
        ).sum(1)
        ring += self.normal(B, length) * torch.exp(-t * (150 + 500 * self.uniform(B, 1)))
        rate = 0.7 + 4 * self.uniform(B, 1)
        hits = torch.zeros(B, N, device=self.device)
        beats = torch.arange(int(N / RATE * 5) + 1, device=self.device)
        at = (
            (self.uniform(B, 1) * 0.5 + (beats + 0.25 * self.uniform(B, len(beats))) / rate) * RATE
        ).long()
        hits.scatter_add_(1, at.clamp(max=N - 1), (0.4 + self.uniform(B, len(beats))) * (at < N))
        size = 1 << (N + length - 1).bit_length()
        out = torch.fft.irfft(torch.fft.rfft(hits, size) * torch.fft.rfft(ring, size), size)[:, :N]
        return out + 0.02 * self.coloured_unit(B, N)

    def compressor(self, B: int, N: int) -> torch.Tensor:
        """A piston that thumps, with the hiss of its hose."""
        t = torch.arange(N, device=self.device) / RATE
        f = 8 + 30 * self.uniform(B, 1)
        thump = torch.sin(2 * math.pi * f * t).clamp(min=0) ** 4
        hum = self.tones(
            (2 * math.pi * 60 * t).expand(B, N),
            self.uniform(B, 11) / torch.arange(1, 12, device=self.device),
        )
        return (
            hum
            + thump * self.coloured_unit(B, N) * 2
            + self.uniform(B, 1) * self.coloured_unit(B, N)
        )

    def wind(self, B: int, N: int) -> torch.Tensor:
        """Gusts on the capsule: low, and coming and going."""
        return self.coloured(B, N, 2.0, 3.2) * self.envelope(B, N, 10) ** 2

    def babble(self, voices: torch.Tensor, B: int, N: int, people: tuple[int, int]) -> torch.Tensor:
        """Several people at once, at least and at most *people*; one or two are a radio."""
        least, most = people
        speaks = torch.arange(most, device=self.device) < torch.randint(
            least, most + 1, (B, 1), device=self.device, generator=self.generator
        )
        who = torch.randint(len(voices), (B, most, 1), device=self.device, generator=self.generator)
        since = torch.randint(
            voices.shape[1], (B, most, 1), device=self.device, generator=self.generator
        )
        said = voices.view(-1)[
            who * voices.shape[1] + (since + torch.arange(N, device=self.device)) % voices.shape[1]
        ]
        return (said * (speaks * (0.4 + 0.6 * self.uniform(B, most)))[..., None]).sum(1)

    def noise(self, voices: torch.Tensor, B: int, N: int) -> torch.Tensor:
        """Return one noise a row, each at unit power; a fifth of the rows have two."""
        makers = [
            self.coloured,
            self.saw,
            self.hammer,
            self.compressor,
            self.wind,
            lambda b, n: self.babble(voices, b, n, (3, 8)),
            lambda b, n: self.babble(voices, b, n, (4, 6)),
        ]
        recorded = self._recorded
        if recorded is not None:
            makers += [lambda b, n: self.babble(recorded, b, n, (1, 2))] * RECORDED_SHARES
        rows = torch.randperm(B, device=self.device, generator=self.generator)
        share = -(-B // len(makers))
        parts = [
            make(min(share, B - k * share), N) for k, make in enumerate(makers) if B - k * share > 0
        ]
        out = torch.empty(B, N, device=self.device)
        out[rows] = torch.cat(parts)
        out = out / (out.pow(2).mean(1, keepdim=True).sqrt() + 1e-6)
        return torch.where(self.uniform(B, 1) < 0.2, 0.7 * out + 0.7 * out.roll(1, 0), out)

    def channel(self, wave: torch.Tensor, difficulty: float) -> torch.Tensor:
        """Return *wave* through a microphone, a headset's band and a reverberant space."""
        B, N = wave.shape
        size = 1 << (N + 8000 - 1).bit_length()
        spectrum = torch.fft.rfft(wave, size)
        f = torch.linspace(0, 8000, size // 2 + 1, device=self.device)
        knots = (self.uniform(B, 10) * 2 - 1) * (4 + 6 * difficulty) * (self.uniform(B, 1) < 0.75)
        shape = 10 ** (
            F.interpolate(knots[:, None], size // 2 + 1, mode="linear", align_corners=True)[:, 0]
            / 20
        )
        top = torch.where(
            self.uniform(B, 1) < 0.5,
            3400 + 500 * self.uniform(B, 1),
            5000 + 2500 * self.uniform(B, 1),
        )
        narrow = (self.uniform(B, 1) < 0.25).float()
        band = torch.sigmoid((top - f[None]) / 60) * torch.sigmoid(
            (f[None] - 100 - 200 * self.uniform(B, 1)) / 30
        )
        shape = (
            shape
            * (1 - narrow * (1 - band))
            * torch.sigmoid((f[None] - self.uniform(B, 1) * 150) / 20 + 2)
        )
        t = torch.arange(8000, device=self.device) / RATE
        t60 = 0.08 + 0.6 * self.uniform(B, 1) ** 2
        echo = self.normal(B, 8000) * torch.exp(-6.9 * t / t60)
        echo = (
            echo
            * 10 ** (-(self.uniform(B, 1) * 20 + 2 + 4 * (1 - difficulty)) / 20)
            / echo.norm(dim=1, keepdim=True)
        )
        echo[:, :32] = 0
        echo[:, 0] = 1
        if self._rooms is not None:
            which = (self.uniform(B) * len(self._rooms)).long().clamp(max=len(self._rooms) - 1)
            room = self._rooms[which] * (0.3 + 0.7 * self.uniform(B, 1))
            room[:, 0] = 1
            echo = torch.where(self.uniform(B, 1) < 0.4, room, echo)
        spectrum = spectrum * shape
        spectrum = torch.where(
            self.uniform(B, 1) < 0.55, spectrum * torch.fft.rfft(echo, size), spectrum
        )
        return torch.fft.irfft(spectrum, size)[:, :N]

    def level_drift(self, wave: torch.Tensor) -> torch.Tensor:
        """Return *wave*, two rows in five slowly louder and softer by up to 6 dB.

        So sounds a mouth that turns away.
        """
        B, N = wave.shape
        decibels = 12 * self.uniform(B, 1, max(2, int(2.5 * N / RATE))) - 6
        loud = F.interpolate(decibels, N, mode="linear", align_corners=True)[:, 0]
        return wave * 10 ** (loud * (self.uniform(B, 1) < 0.4) / 20)

    def augment(
        self, wave: torch.Tensor, lengths: torch.Tensor, voices: torch.Tensor, difficulty: float
    ) -> torch.Tensor:
        """Return *wave* as it may arrive from a site; *difficulty*, 0 to 1, sets the noise."""
        B, N = wave.shape
        wave = self.level_drift(wave)
        x = self.channel(wave, difficulty)
        power = x.pow(2).sum(1, keepdim=True) / lengths[:, None].clamp(min=1)
        power = torch.where(power < 1, torch.full_like(power, 9e5), power)
        low = 14 - 17 * difficulty
        snr = low + (34 - low) * self.uniform(B, 1) ** (1 + 0.5 * difficulty)
        quiet = self.uniform(B, 1) < 0.3
        noise = self.noise(voices, B, N)
        some = torch.randperm(B, device=self.device, generator=self.generator)[
            : max(1, 3 * B // 10)
        ]
        noise[some] = self.channel(noise[some], difficulty)
        x = x + noise * power.sqrt() * 10 ** (-(snr + quiet * 32) / 20)
        level = 10 ** ((self.uniform(B, 1) * 40 - 28) / 20) * 3000 / (power.sqrt() + 1e-3)
        clean = self.uniform(B, 1) < 0.12
        x = torch.where(clean, wave * level, x * level)
        limit = torch.where(
            self.uniform(B, 1) < 0.1,
            3000 + 8000 * self.uniform(B, 1),
            torch.full((B, 1), 32767.0, device=self.device),
        )
        x = torch.minimum(torch.maximum(x, -limit), limit)
        return torch.where(
            clean & (self.uniform(B, 1) < 0.6), x.round(), x + 0.5 * self.normal(B, N)
        )
