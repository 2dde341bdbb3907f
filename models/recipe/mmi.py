"""Lattice-free maximum mutual information with hand-made gradients: two passes of small dense steps, no autograd tape.

y is (B, T, 2U): for every unit the outputs "first frame" and "goes on". The denominator
is every string of units under a bigram A; the numerator is the reference with optional
silence, under the same bigram, so the numerator never exceeds the denominator.
Source: Povey et al., Purely sequence-trained neural networks for ASR based on
lattice-free MMI, Interspeech 2016; Hadian et al., End-to-end speech recognition using
lattice-free MMI, Interspeech 2018 (flat start).
"""

from __future__ import annotations

import sys

import torch
from torch.nn import functional as F

NEG = -1e30
FLOOR = -50.0
"""An output this far under the best of its frame counts as this: below it the backward pass runs out of range."""


def denominator(y: torch.Tensor, lengths: torch.Tensor, A: torch.Tensor, start: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
    """Return (log-probability of all strings (B,), its gradient by y)."""
    B, T, _ = y.shape
    top = y.amax(-1, keepdim=True)
    e = (y - top).clamp(min=FLOOR).exp()
    first, again = e[..., 0::2].transpose(0, 1).contiguous(), e[..., 1::2].transpose(0, 1).contiguous()
    live = (torch.arange(T, device=y.device)[:, None] < lengths[None]).unsqueeze(-1)
    first = torch.where(live, first, torch.zeros_like(first))
    again = torch.where(live, again, torch.ones_like(again))
    U = first.shape[2]
    alpha = torch.empty(T, B, U, device=y.device)
    enter = torch.empty(T, B, U, device=y.device)
    scale = torch.empty(T, B, 1, device=y.device)
    enter[0] = start
    now = start * first[0]
    for t in range(T):
        if t:
            torch.mm(alpha[t - 1], A, out=enter[t])
            now = torch.addcmul(alpha[t - 1] * again[t], enter[t], first[t])
        torch.sum(now, -1, keepdim=True, out=scale[t])
        torch.div(now, scale[t], out=alpha[t])
    total = (scale.log().squeeze(-1) + torch.where(live[..., 0], top[..., 0].T, torch.zeros_like(top[..., 0].T))).sum(0)
    beta = torch.empty(T, B, U, device=y.device)
    beta[T - 1] = 1.0
    back = A.T.contiguous()
    for t in range(T - 1, 0, -1):
        torch.div(torch.addmm(beta[t] * again[t], beta[t] * first[t], back), scale[t], out=beta[t - 1])
    grad = torch.empty_like(y)
    grad_first = enter * first * beta
    previous = torch.cat([torch.zeros_like(alpha[:1]), alpha[:-1]])
    grad_again = previous * again * beta
    norm = (grad_first.sum(-1, keepdim=True) + grad_again.sum(-1, keepdim=True)).clamp(min=1e-30)
    grad[..., 0::2] = (grad_first / norm * live).transpose(0, 1)
    grad[..., 1::2] = (grad_again / norm * live).transpose(0, 1)
    return total, grad


def numerator(
    y: torch.Tensor, lengths: torch.Tensor, units: torch.Tensor, count: torch.Tensor, skip: torch.Tensor,
    log_A: torch.Tensor, log_start: torch.Tensor,
) -> tuple[torch.Tensor, torch.Tensor]:
    """Return (log-probability of the reference (B,), its gradient by y).

    units (B, L) the reference with silences, count (B,) how many, skip (B, L) which may be left out.
    """
    B, T, _ = y.shape
    L = units.shape[1]
    index_first = (2 * units)[:, None].expand(B, T, L)
    first = y.gather(2, index_first).transpose(0, 1).contiguous()
    again = y.gather(2, index_first + 1).transpose(0, 1).contiguous()
    at = torch.arange(L, device=y.device)[None]
    inside = at < count[:, None]
    one, two = F.pad(units, (1, 0))[:, :L], F.pad(units, (2, 0))[:, :L]
    step1 = torch.where((at >= 1) & inside, log_A[one, units], torch.tensor(NEG, device=y.device))
    step2 = torch.where((at >= 2) & inside & F.pad(skip, (1, 0))[:, :L], log_A[two, units], torch.tensor(NEG, device=y.device))
    begin = torch.where(((at == 0) | ((at == 1) & skip[:, :1])) & inside, log_start[units], torch.tensor(NEG, device=y.device))
    alpha = torch.full((T, B, L + 2), NEG, device=y.device)
    alpha[0, :, 2:] = begin + first[0]
    live = torch.arange(T, device=y.device)[:, None] < lengths[None]
    for t in range(1, T):
        previous = alpha[t - 1]
        entered = torch.logaddexp(previous[:, 1:-1] + step1, previous[:, :-2] + step2) + first[t]
        new = torch.logaddexp(previous[:, 2:] + again[t], entered)
        alpha[t, :, 2:] = torch.where(live[t][:, None], new, previous[:, 2:])
    last_skip = skip.gather(1, (count - 1)[:, None])
    final = torch.where(
        (at == (count - 1)[:, None]) | ((at == (count - 2)[:, None]) & last_skip), torch.zeros((), device=y.device),
        torch.tensor(NEG, device=y.device),
    )
    total = torch.logsumexp(alpha[T - 1, :, 2:] + final, 1)
    beta = torch.full((T, B, L + 2), NEG, device=y.device)
    beta[T - 1, :, :L] = final
    next1, next2 = F.pad(step1, (0, 2), value=NEG)[:, 1 : L + 1], F.pad(step2, (0, 2), value=NEG)[:, 2 : L + 2]
    for t in range(T - 1, 0, -1):
        into = torch.full((B, L + 2), NEG, device=y.device)
        into[:, :L] = beta[t, :, :L] + first[t]
        left = torch.logaddexp(into[:, 1 : L + 1] + next1, into[:, 2 : L + 2] + next2)
        new = torch.logaddexp(beta[t, :, :L] + again[t], left)
        beta[t - 1, :, :L] = torch.where(live[t][:, None], new, beta[t, :, :L])
    b = beta[:, :, :L]
    z = total[None, :, None]
    stay = torch.full((T, B, L), NEG, device=y.device)
    stay[1:] = alpha[:-1, :, 2:] + again[1:] + b[1:] - z
    enter = torch.full((T, B, L), NEG, device=y.device)
    enter[0] = begin + first[0] + b[0] - z
    enter[1:] = torch.logaddexp(alpha[:-1, :, 1:-1] + step1, alpha[:-1, :, :-2] + step2) + first[1:] + b[1:] - z
    mask = live.unsqueeze(-1)
    grad = torch.zeros_like(y)
    grad.scatter_add_(2, index_first, (enter.exp() * mask).transpose(0, 1))
    grad.scatter_add_(2, index_first + 1, (stay.exp() * mask).transpose(0, 1))
    return total, grad


class MmiLoss(torch.autograd.Function):
    """Mean of (denominator − numerator) per frame over the utterances that fit their reference."""

    @staticmethod
    def forward(ctx, y, lengths, units, count, skip, A, start):  # type: ignore[no-untyped-def]
        y = y.detach().float()
        if y.is_cuda:
            import mmi_cuda as passes
        else:
            passes = sys.modules[__name__]
        den, grad_den = passes.denominator(y, lengths, A, start)
        num, grad_num = passes.numerator(y, lengths, units, count, skip, A.log(), start.log())
        fits = (num > -1e20) & torch.isfinite(den)
        frames = (lengths * fits).sum().clamp(min=1)
        use, none = fits[:, None, None], torch.zeros((), device=y.device)
        ctx.save_for_backward(torch.where(use, grad_den - grad_num, none) / frames)
        return torch.where(fits, den - num, none).sum() / frames, torch.where(use, grad_num, none), frames

    @staticmethod
    def backward(ctx, grad, _posterior, _frames):  # type: ignore[no-untyped-def]
        return ctx.saved_tensors[0] * grad, None, None, None, None, None, None
