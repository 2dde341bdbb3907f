"""Trains the acoustic net on one GPU: python train.py --seconds S --out NET.pt --book BOOK.json PACK …

``PACK:3`` counts each of its clips three times (clips.py says what a pack is). Words
without a pronunciation leave their clip out. ``--grow FOLDER`` takes in the .npz that
appear there while it trains. A long run may be cut in pieces: ``--total`` is what all
pieces take together, ``--state`` the file they hand on. ``--init`` goes on from a net.
With several GPUs: torchrun --nproc-per-node GPUS train.py … (together.py).
"""

from __future__ import annotations

import argparse
import json
import math
import random
import time
from pathlib import Path

import mmi
import torch
from clips import Clip, Clips, Texts, sent
from features import HOP, WINDOW, Mfcc
from net import NARROW, WIDE, Net
from noises import Site
from together import Together
from torch import nn
from units import OUTPUTS
from word_graph import AllWords

HELD_VOICES = ("am_liam", "bf_emma", "af_kore")
"""Synthetic voices kept for validation."""
WARPS = (0.85, 0.89, 0.93, 0.97, 1.0, 1.03, 1.07, 1.11, 1.15)
SPEEDS = (0.8, 0.87, 0.93, 1.0, 1.0, 1.0, 1.08, 1.17, 1.28, 1.4)
SILENCE = 0.3
"""How likely silence is between words, in the objective as in the graph that decodes."""
GARBAGE_PHONE_COST = 3.0
"""In the objective; the graph that decodes has a cost of its own, set afterwards (build.py)."""
MOST_STATES = 256
"""A text with a longer graph leaves its clip out."""


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("packs", nargs="+")
    options.add_argument("--seconds", type=float, required=True, help="how long this piece takes")
    options.add_argument("--total", type=float, help="how long all pieces take together")
    options.add_argument("--state", type=Path, help="where the pieces hand on to each other")
    options.add_argument("--grow", type=Path, help="a folder where clips may still appear")
    options.add_argument("--out", required=True)
    options.add_argument("--book", type=Path, required=True, help="what book.py wrote")
    options.add_argument("--init", nargs="+", help="a net to go on from, in one file or several")
    options.add_argument("--earlier", type=float, default=0.0, help="how many seconds of --total the net of --init has had")
    options.add_argument("--wide", type=int, default=WIDE)
    options.add_argument("--narrow", type=int, default=NARROW)
    options.add_argument("--boost", type=float, default=0.2, help="by how much a wrong unit has to be beaten in each frame")
    options.add_argument("--rate", type=float, default=1.5e-3)
    options.add_argument("--batch-seconds", type=float, default=600)
    options.add_argument("--hard", type=float, nargs=2, default=(0.2, 1.0), help="how hard the noise is at the start and the end")
    options.add_argument("--seed", type=int, default=0)
    options.add_argument("--most-seconds", type=float, default=12.5, help="longer clips are left out")
    options.add_argument("--check", action="store_true", help="compare the kernels with the plain version first")
    options.add_argument("--profile", action="store_true", help="print where the time of 20 steps goes")
    options.add_argument("--device", default="cuda")
    a = options.parse_args()
    together = Together(a.device)
    device = together.device
    torch.manual_seed(together.rank)
    random.seed(a.seed + 1000 * together.rank)
    torch.set_float32_matmul_precision("highest")
    book = json.loads(a.book.read_text())
    torch.set_num_threads(2)
    texts = Texts(book["said"], book["share"], book["garbage"], GARBAGE_PHONE_COST, device)
    clips = Clips(book["said"], texts, a.most_seconds, MOST_STATES, device)
    for pack in a.packs:
        name, _, times = pack.partition(":")
        clips.add(Path(name), int(times or 1))
    clips.settle()
    held: list[Clip] = []
    train: list[Clip] = []

    def take_in() -> None:
        if a.grow:
            clips.grow(a.grow)
        held[:] = [item for item in clips.items if any(name in item.speaker for name in HELD_VOICES)]
        held[:] = held[:: max(1, len(held) // (320 if a.device == "cuda" else 100))]
        train[:] = [item for item in clips.items if not any(name in item.speaker for name in HELD_VOICES)]
        print(f"{len(clips.items)} clips, {clips.hours():.2f} h, {clips.left_out} left out", flush=True)

    take_in()

    everything = mmi.Everything.of(AllWords.of(book["said"], book["share"], book["garbage"], SILENCE, GARBAGE_PHONE_COST), device)
    print(len(everything.unit), "states of all words", flush=True)
    if a.check:
        import mmi_cuda

        mmi_cuda.agree(everything, texts.of([item.text for item in train[:: max(1, len(train) // 12)]])[0], OUTPUTS)
    state = torch.load(a.state, map_location=device) if a.state and a.state.exists() else None

    mfcc = Mfcc(WARPS).to(device)
    net = Net(OUTPUTS, a.wide, a.narrow).to(device)
    if a.init:
        net.load_state_dict({name: weight for file in a.init for name, weight in torch.load(file, map_location=device).items()})
    print("parameters", sum(p.numel() for p in net.parameters()), flush=True)
    decay = [p for n, p in net.named_parameters() if p.dim() > 1]
    plain = [p for n, p in net.named_parameters() if p.dim() <= 1]
    optimiser = torch.optim.AdamW([{"params": decay, "weight_decay": 0.02}, {"params": plain, "weight_decay": 0.0}], lr=a.rate, betas=(0.9, 0.98), fused=a.device == "cuda")
    if state:
        net.load_state_dict(state["net"])
        optimiser.load_state_dict(state["optimiser"])
    together.begin(net)
    site = Site(device, a.seed + 1 + 1000 * together.rank)
    voices = torch.zeros(96, 20 * 16000, device=device)

    def new_voices() -> None:
        for k in range(len(voices)):
            at = 0
            voices[k] = 0
            while at < voices.shape[1] - 8000:
                chosen = random.choice(train)
                begin, samples = chosen.start, min(chosen.samples, voices.shape[1] - at)
                clip = clips.pcm[begin : begin + samples].float()
                voices[k, at : at + samples] = clip / (clip.pow(2).mean().sqrt() + 1) * 1000
                at += samples


    new_voices()

    def batch(items: list[Clip], hard: float, training: bool = True):  # type: ignore[no-untyped-def]
        pads = [(random.randint(0, 9000), random.randint(0, 9000)) if training else (4000, 8000) for _ in items]
        speed = random.choice(SPEEDS) if training else 1.0
        longest = max(item.samples + sum(pad) for item, pad in zip(items, pads, strict=True))
        longest = (longest + 7999) // 8000 * 8000
        silent = [training and random.random() < 0.06 for _ in items]
        said, constant = texts.of([texts.silent if quiet else item.text for item, quiet in zip(items, silent, strict=True)])
        rows = [(item.start, 0 if quiet else item.samples, pad[0], item.samples + sum(pad)) for item, quiet, pad in zip(items, silent, pads, strict=True)]
        begin, size, lead, length = sent(rows, device).T
        at = torch.arange(longest, device=device)[None] - lead[:, None]
        wave = clips.pcm[(begin[:, None] + at).clamp(0, len(clips.pcm) - 1)].float() * ((at >= 0) & (at < size[:, None]))
        if speed != 1.0:
            shorter = max(1600, int(longest / speed) // 1600 * 1600)
            wave = nn.functional.interpolate(wave[:, None], shorter, mode="linear", align_corners=False)[:, 0]
            length = (length / speed).long().clamp(max=shorter)
        if training or hard:
            wave = site.augment(wave, length, voices, hard)
        bank = torch.randint(len(WARPS), (len(items),), device=device) if training else torch.full((len(items),), WARPS.index(1.0), device=device)
        features = mfcc(wave, bank, masks=2 if training else 0)
        frames = ((length - WINDOW) // HOP + 1).clamp(max=features.shape[1])
        return features, (frames + 2) // 3, said, constant

    def outputs(features: torch.Tensor, frames: torch.Tensor, drop: float) -> tuple[torch.Tensor, torch.Tensor, torch.Tensor]:
        with torch.autocast("cuda", torch.bfloat16, enabled=a.device == "cuda"):
            y, aux = net(features, drop)
        return y.float(), aux.float(), frames.clamp(max=y.shape[1])

    def loss_of(features, frames, said, constant, drop: float, boost: float):  # type: ignore[no-untyped-def]
        y, aux, frames = outputs(features, frames, drop)
        loss, posterior, total = mmi.MmiLoss.apply(y, frames, said, everything, constant, boost)
        cross = -(posterior * aux.log_softmax(-1)).sum() / total
        return loss, loss + 0.1 * cross + 1e-4 * y.pow(2).mean()

    def batches() -> list[list[Clip]]:
        ordered = sorted(train, key=lambda item: item.samples * random.uniform(0.9, 1.1))
        out, k = [], 0
        while k < len(ordered):
            size = max(8, int(a.batch_seconds * 16000 / (ordered[min(k + 80, len(ordered) - 1)].samples + 9000)))
            out.append(ordered[k : k + size])
            k += size
        random.shuffle(out)
        return out

    def validate(hard: float) -> str:
        """Return how much what was said surprises the net: the mean over clips, and the share of clips it gives less than nine in ten."""
        net.eval()
        found = []
        with torch.no_grad():
            ordered = sorted(held, key=lambda item: item.samples)
            for k in range(0, len(ordered), 80):
                features, frames, said, constant = batch(ordered[k : k + 80], hard, False)
                y, _, frames = outputs(features, frames, 0.0)
                found.append(mmi.surprise(y, frames, said, everything, constant))
        net.train()
        each = torch.cat(found) if found else torch.zeros(1)
        return f"{each.clamp(max=50).mean():.3f}/{100 * (each > 0.105).float().mean():.1f}%"

    profile = torch.profiler.profile() if a.profile else None
    begun, epoch, running = time.time(), 0, float("nan")
    step, earlier = (state["step"], state["seconds"]) if state else (0, a.earlier)
    averaged: dict[str, torch.Tensor] | None = state["averaged"] if state else None
    total, grown = a.total or a.seconds, time.time()
    done, spent = 0.0, 0.0
    while spent < a.seconds and done < 1:
        if a.grow and time.time() - grown > 45:
            take_in()
            grown = time.time()
        for items in batches():
            spent = together.meet(net, step, time.time() - begun) or spent
            done = (earlier + spent) / total
            if spent >= a.seconds or done >= 1:
                break
            rate = a.rate * min(1, (step + 1) / (60 if a.init else 300)) * (0.5 * (1 + math.cos(math.pi * done)) + 0.004)
            for group in optimiser.param_groups:
                group["lr"] = rate
            hard = a.hard[0] + (a.hard[1] - a.hard[0]) * min(1, done / 0.5)
            drop = 0.35 * (1 if a.init else min(1, done * 5)) * (1 if done < 0.8 else 0.3)
            boost = a.boost * min(1.0, max(0.0, (done - 0.15) / 0.3))
            value, loss = loss_of(*batch(items, hard), drop, boost)
            optimiser.zero_grad(set_to_none=True)
            loss.backward()
            norm = nn.utils.clip_grad_norm_(net.parameters(), 2.0)
            if step % 20 == 0 and not torch.isfinite(norm):
                raise SystemExit(f"step {step}: the gradient is {norm}, the loss {value}")
            optimiser.step()
            step += 1
            if profile and step == 100:
                profile.start()
            if profile and step == 120:
                torch.cuda.synchronize()
                profile.stop()
                print(profile.key_averages().table(sort_by="cuda_time_total", row_limit=40, max_name_column_width=60), flush=True)
            if done > 0.85:
                weights = net.state_dict()
                if averaged is None:
                    averaged = {name: weight.float().clone() for name, weight in weights.items()}
                else:
                    for name, weight in weights.items():
                        averaged[name].lerp_(weight.float(), 0.005)
            if step in (20, 60, 120) and a.device == "cuda":
                torch.cuda.synchronize()
                print(f"step {step} at {time.time() - begun:.2f} s, loss {value.item():.4f}", flush=True)
            if step % 25 == 0:
                running = value.item() if math.isnan(running) else 0.9 * running + 0.1 * value.item()
            if together.first and step % (500 if a.device == "cuda" else 50) == 0:
                print(f"{step} epoch {epoch} {time.time() - begun:.0f}s loss {running:.4f} clean {validate(0)} hard {validate(1.0)}", flush=True)
            if step % (2000 if a.device == "cuda" else 200) == 0:
                new_voices()
                if together.first:
                    torch.save(net.state_dict(), a.out + ".part")
        epoch += 1
    if a.state and together.first:
        torch.save(
            {"net": net.state_dict(), "optimiser": optimiser.state_dict(), "averaged": averaged, "step": step, "seconds": earlier + spent},
            a.state,
        )
    if averaged is not None:
        net.load_state_dict({name: value.to(net.state_dict()[name].dtype) for name, value in averaged.items()})
    if together.first:
        torch.save({name: value.cpu() for name, value in net.state_dict().items()}, a.out)
        print(f"done: {step} steps, {epoch} epochs, clean {validate(0)} hard {validate(1.0)}", flush=True)
    together.part()


if __name__ == "__main__":
    main()
