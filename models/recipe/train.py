"""Trains the acoustic net on one GPU: python train.py --seconds S --out NET.pt PACK …

A pack is a .tsv (file, start, samples, speaker, text, label) beside the Ogg Opus files it
names, 16 kHz mono, or an .npz of pcm, lens, text and voice. ``PACK:3`` counts each of its
clips three times. Words without a pronunciation leave their clip out. ``--grow FOLDER``
takes in the .npz that appear there while it trains. A long run may be cut in pieces:
``--total`` is what all pieces take together, ``--state`` the file they hand on.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import random
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import torch
from features import HOP, WINDOW, Mfcc
from mmi import MmiLoss
from net import Net
from noises import Site
from torch import nn
from units import INDEX, OUTPUTS, UNITS, placed

HELD_VOICES = ("am_liam", "bf_emma", "af_kore")
"""Synthetic voices kept for validation."""
WARPS = (0.85, 0.89, 0.93, 0.97, 1.0, 1.03, 1.07, 1.11, 1.15)
SPEEDS = (0.8, 0.87, 0.93, 1.0, 1.0, 1.0, 1.08, 1.17, 1.28, 1.4)


Clip = tuple[int, int, list[str], str]
"""Where it starts, how many samples, its words, who says them."""


def _decoded(path: Path) -> np.ndarray:
    import soundfile

    return soundfile.read(str(path), dtype="int16")[0]


class Clips:
    """All clips in one long tensor on the GPU."""

    def __init__(self, book: dict[str, list[list[str]]], longest: float, device: str) -> None:
        self.book, self.longest, self.device = book, longest, device
        self.items: list[Clip] = []
        self.left_out = 0
        self.pcm = torch.zeros(0, dtype=torch.int16, device=device)
        self._sounds: list[torch.Tensor] = []
        self._at = 0
        self._taken: set[Path] = set()

    def add(self, pack: Path, times: int = 1) -> None:
        """Take in one pack; call :meth:`settle` after the last."""
        if pack not in self._taken:
            self._taken.add(pack)
            (self._add_npz if pack.suffix == ".npz" else self._add_tsv)(pack, times)

    def grow(self, folder: Path) -> None:
        """Take in what is new in *folder*."""
        for pack in sorted(folder.glob("*.npz")):
            if not pack.name.endswith(".part.npz"):
                self.add(pack)
        self.settle()

    def settle(self) -> None:
        self.pcm = torch.cat([self.pcm, *(sound.to(self.device) for sound in self._sounds)])
        self._sounds = []

    def hours(self) -> float:
        return sum(item[1] for item in self.items) / 16000 / 3600

    def _take(self, sound: np.ndarray) -> int:
        at = self._at
        self._sounds.append(torch.from_numpy(sound))
        self._at += len(sound)
        return at

    def _clip(self, at: int, samples: int, text: str, speaker: str, times: int) -> None:
        words = text.split()
        known = bool(words) and all(word in self.book for word in words)
        shortest = sum(len(self.book[word][0]) for word in words) if known else 0
        if not known or not 3000 < samples < self.longest * 16000 or samples / 480 < shortest * 0.8 + 1:
            self.left_out += 1
        else:
            self.items += [(at, samples, words, speaker)] * times

    def _add_npz(self, pack: Path, times: int) -> None:
        whole = np.load(pack)
        at = self._take(whole["pcm"])
        for samples, text, voice in zip(whole["lens"], whole["text"], whole["voice"], strict=True):
            self._clip(at, int(samples), str(text), str(voice), times)
            at += int(samples)

    def _add_tsv(self, pack: Path, times: int) -> None:
        with pack.open(encoding="utf-8") as lines:
            rows = list(csv.DictReader(lines, delimiter="\t", quoting=csv.QUOTE_NONE))
        names = sorted({row["file"] for row in rows})
        with ThreadPoolExecutor() as pool:
            files = {name: self._take(sound) for name, sound in zip(names, pool.map(_decoded, [pack.parent / name for name in names]), strict=True)}
        for row in rows:
            self._clip(files[row["file"]] + int(row["start"]), int(row["samples"]), row["text"], row["speaker"], times)


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("packs", nargs="+")
    options.add_argument("--seconds", type=float, required=True, help="how long this piece takes")
    options.add_argument("--total", type=float, help="how long all pieces take together")
    options.add_argument("--state", type=Path, help="where the pieces hand on to each other")
    options.add_argument("--grow", type=Path, help="a folder where clips may still appear")
    options.add_argument("--out", required=True)
    options.add_argument("--book", type=Path, required=True, help="JSON: word to pronunciations")
    options.add_argument("--init")
    options.add_argument("--wide", type=int, default=448)
    options.add_argument("--narrow", type=int, default=112)
    options.add_argument("--rate", type=float, default=1.5e-3)
    options.add_argument("--batch-seconds", type=float, default=600)
    options.add_argument("--hard", type=float, nargs=2, default=(0.2, 1.0), help="how hard the noise is at the start and the end")
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--most-seconds", type=float, default=12.5, help="longer clips are left out")
    options.add_argument("--device", default="cuda")
    a = options.parse_args()
    device = a.device
    torch.manual_seed(0)
    random.seed(a.seed)
    torch.set_float32_matmul_precision("highest")
    book = json.loads(a.book.read_text())
    torch.set_num_threads(2)
    clips = Clips(book, a.most_seconds, device)
    for pack in a.packs:
        name, _, times = pack.partition(":")
        clips.add(Path(name), int(times or 1))
    clips.settle()
    held: list[Clip] = []
    train: list[Clip] = []

    def take_in() -> None:
        if a.grow:
            clips.grow(a.grow)
        held[:] = [item for item in clips.items if any(name in item[3] for name in HELD_VOICES)]
        held[:] = held[:: max(1, len(held) // (320 if device == "cuda" else 100))]
        train[:] = [item for item in clips.items if not any(name in item[3] for name in HELD_VOICES)]
        print(f"{len(clips.items)} clips, {clips.hours():.2f} h, {clips.left_out} left out", flush=True)

    take_in()

    def reference(words: list[str], kept: float | None = None) -> tuple[list[int], list[bool]]:
        units, skip = [0], [True]
        for word in words:
            names = placed(random.choice(book[word]))
            units += [INDEX[name] for name in names]
            skip += [False] * len(names)
            units.append(0)
            skip.append(True)
        if kept is not None:
            units = [unit for unit, may in zip(units, skip, strict=True) if not may or random.random() < kept]
        return units, skip

    counts = torch.full((len(UNITS), len(UNITS)), 0.02)
    starts = torch.full((len(UNITS),), 0.02)
    for item in random.sample(train, min(12000, len(train))):
        units, _ = reference(item[2], 0.35)
        if units:
            starts[units[0]] += 1
            for one, two in zip(units[:-1], units[1:], strict=True):
                counts[one, two] += 1
    starts[0] += starts.sum()
    A = (counts / counts.sum(1, keepdim=True)).to(device)
    start = (starts / starts.sum()).to(device)
    state = torch.load(a.state, map_location=device) if a.state and a.state.exists() else None
    if state:
        A, start = state["A"], state["start"]

    mfcc = Mfcc(WARPS).to(device)
    net = Net(OUTPUTS, a.wide, a.narrow).to(device)
    if a.init:
        net.load_state_dict(torch.load(a.init, map_location=device))
    print("parameters", sum(p.numel() for p in net.parameters()), flush=True)
    decay = [p for n, p in net.named_parameters() if p.dim() > 1]
    plain = [p for n, p in net.named_parameters() if p.dim() <= 1]
    optimiser = torch.optim.AdamW([{"params": decay, "weight_decay": 0.02}, {"params": plain, "weight_decay": 0.0}], lr=a.rate, betas=(0.9, 0.98))
    if state:
        net.load_state_dict(state["net"])
        optimiser.load_state_dict(state["optimiser"])
    site = Site(device, a.seed + 1)
    voices = torch.zeros(96, 20 * 16000, device=device)

    def new_voices() -> None:
        for k in range(len(voices)):
            at = 0
            voices[k] = 0
            while at < voices.shape[1] - 8000:
                begin, samples, _, _ = random.choice(train)
                samples = min(samples, voices.shape[1] - at)
                clip = clips.pcm[begin : begin + samples].float()
                voices[k, at : at + samples] = clip / (clip.pow(2).mean().sqrt() + 1) * 1000
                at += samples


    new_voices()

    def batch(items: list[Clip], hard: float, training: bool = True):  # type: ignore[no-untyped-def]
        pads = [(random.randint(0, 9000), random.randint(0, 9000)) if training else (4000, 8000) for _ in items]
        speed = random.choice(SPEEDS) if training else 1.0
        longest = max(item[1] + sum(pad) for item, pad in zip(items, pads, strict=True))
        longest = (longest + 7999) // 8000 * 8000
        silent = [training and random.random() < 0.06 for _ in items]
        words = [[] if quiet else item[2] for item, quiet in zip(items, silent, strict=True)]
        begin = torch.tensor([item[0] for item in items], device=device)[:, None]
        size = torch.tensor([0 if quiet else item[1] for item, quiet in zip(items, silent, strict=True)], device=device)[:, None]
        lead = torch.tensor([pad[0] for pad in pads], device=device)[:, None]
        at = torch.arange(longest, device=device)[None] - lead
        wave = clips.pcm[(begin + at).clamp(0, len(clips.pcm) - 1)].float() * ((at >= 0) & (at < size))
        length = torch.tensor([before + item[1] + after for item, (before, after) in zip(items, pads, strict=True)], device=device)
        if speed != 1.0:
            shorter = max(1600, int(longest / speed) // 1600 * 1600)
            wave = nn.functional.interpolate(wave[:, None], shorter, mode="linear", align_corners=False)[:, 0]
            length = (length / speed).long().clamp(max=shorter)
        if training or hard:
            wave = site.augment(wave, length, voices, hard)
        bank = torch.randint(len(WARPS), (len(items),), device=device) if training else torch.full((len(items),), WARPS.index(1.0), device=device)
        features = mfcc(wave, bank, masks=2 if training else 0)
        frames = ((length - WINDOW) // HOP + 1).clamp(max=features.shape[1])
        references = [reference(each) for each in words]
        most = max(len(units) for units, _ in references)
        unit_rows = np.zeros((len(items), most), np.int64)
        skip_rows = np.zeros((len(items), most), bool)
        for k, (u, s) in enumerate(references):
            unit_rows[k, : len(u)] = u
            skip_rows[k, : len(s)] = s
            if len(u) == 1:
                skip_rows[k, 0] = False
        units, skip = torch.from_numpy(unit_rows), torch.from_numpy(skip_rows)
        count = torch.tensor([len(u) for u, _ in references])
        return features, (frames + 2) // 3, units.to(device), count.to(device), skip.to(device)

    def loss_of(features, frames, units, count, skip, drop: float):  # type: ignore[no-untyped-def]
        with torch.autocast("cuda", torch.bfloat16, enabled=device == "cuda"):
            y, aux = net(features, drop)
        y, aux = y.float(), aux.float()
        frames = frames.clamp(max=y.shape[1])
        loss, posterior, total = MmiLoss.apply(y, frames, units, count, skip, A, start)
        cross = -(posterior * aux.log_softmax(-1)).sum() / total
        return loss, loss + 0.1 * cross + 3e-4 * y.pow(2).mean()

    def batches() -> list[list[Clip]]:
        ordered = sorted(train, key=lambda item: item[1] * random.uniform(0.9, 1.1))
        out, k = [], 0
        while k < len(ordered):
            size = max(8, int(a.batch_seconds * 16000 / (ordered[min(k + 80, len(ordered) - 1)][1] + 9000)))
            out.append(ordered[k : k + size])
            k += size
        random.shuffle(out)
        return out

    def validate(hard: float) -> float:
        net.eval()
        with torch.no_grad():
            ordered = sorted(held, key=lambda item: item[1])
            losses = [loss_of(*batch(ordered[k : k + 80], hard, False), 0.0)[0].item() for k in range(0, len(ordered), 80)]
        net.train()
        return sum(losses) / max(1, len(losses))

    begun, epoch, running = time.time(), 0, float("nan")
    step, earlier = (state["step"], state["seconds"]) if state else (0, 0.0)
    averaged: dict[str, torch.Tensor] | None = state["averaged"] if state else None
    total, grown = a.total or a.seconds, time.time()
    done, spent = 0.0, 0.0
    while spent < a.seconds and done < 1:
        if a.grow and time.time() - grown > 45:
            take_in()
            grown = time.time()
        for items in batches():
            spent = time.time() - begun
            done = (earlier + spent) / total
            if spent >= a.seconds or done >= 1:
                break
            rate = a.rate * min(1, (step + 1) / (60 if a.init else 300)) * (0.5 * (1 + math.cos(math.pi * done)) + 0.004)
            for group in optimiser.param_groups:
                group["lr"] = rate
            hard = a.hard[0] + (a.hard[1] - a.hard[0]) * min(1, done / 0.5)
            drop = 0.35 * (1 if a.init else min(1, done * 5)) * (1 if done < 0.8 else 0.3)
            mmi, loss = loss_of(*batch(items, hard), drop)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            norm = nn.utils.clip_grad_norm_(net.parameters(), 2.0)
            if step % 20 == 0 and not torch.isfinite(norm):
                raise SystemExit(f"step {step}: the gradient is {norm}, the loss {mmi}")
            optimiser.step()
            step += 1
            if done > 0.85:
                weights = net.state_dict()
                if averaged is None:
                    averaged = {name: value.float().clone() for name, value in weights.items()}
                else:
                    for name, value in weights.items():
                        averaged[name].lerp_(value.float(), 0.005)
            if step in (20, 60, 120) and device == "cuda":
                torch.cuda.synchronize()
                print(f"step {step} at {time.time() - begun:.2f} s, loss {mmi.item():.4f}", flush=True)
            if step % 25 == 0:
                value = mmi.item()
                running = value if math.isnan(running) else 0.9 * running + 0.1 * value
            if step % (500 if device == "cuda" else 50) == 0:
                print(f"{step} epoch {epoch} {time.time() - begun:.0f}s loss {running:.4f} clean {validate(0):.4f} hard {validate(1.0):.4f}", flush=True)
            if step % (2000 if device == "cuda" else 200) == 0:
                new_voices()
                torch.save(net.state_dict(), a.out + ".part")
        epoch += 1
    if a.state:
        torch.save(
            {"net": net.state_dict(), "optimiser": optimiser.state_dict(), "averaged": averaged, "step": step, "seconds": earlier + spent, "A": A, "start": start},
            a.state,
        )
    if averaged is not None:
        net.load_state_dict({name: value.to(net.state_dict()[name].dtype) for name, value in averaged.items()})
    torch.save({name: value.cpu() for name, value in net.state_dict().items()}, a.out)
    print(f"done: {step} steps, {epoch} epochs, clean {validate(0):.4f} hard {validate(1.0):.4f}", flush=True)


if __name__ == "__main__":
    main()
