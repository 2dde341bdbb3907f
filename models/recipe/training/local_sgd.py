"""Nets that train side by side, one on each GPU, and meet every few steps at their mean.

Started by ``torchrun --nproc-per-node GPUS train.py …``; alone, nothing is sent.
Source: Stich, Local SGD converges fast and communicates little, ICLR 2019.
"""

from __future__ import annotations

import os

import torch
from torch import distributed, nn

STEPS = 10
"""Steps that each takes alone."""


class Together:
    """All the copies of one net; *rank* tells them apart and *first* speaks for all."""

    def __init__(self, device: str) -> None:
        self.rank, self._size = int(os.environ.get("RANK", 0)), int(os.environ.get("WORLD_SIZE", 1))
        self.first = self.rank == 0
        self.device = f"{device}:{self.rank}" if device == "cuda" else device
        if self._size > 1:
            if device == "cuda":
                torch.cuda.set_device(self.rank)
            distributed.init_process_group("nccl" if device == "cuda" else "gloo")

    def begin(self, net: nn.Module) -> None:
        """Give every copy the weights of the first."""
        if self._size > 1:
            for tensor in net.state_dict().values():
                distributed.broadcast(tensor, 0)

    def meet(self, net: nn.Module, step: int, seconds: float) -> float | None:
        """Take the mean of all copies where it is time; return how long the slowest has trained, or ``None`` between meetings."""
        if self._size == 1:
            return seconds
        if step % STEPS:
            return None
        floats = [tensor for tensor in net.state_dict().values() if tensor.is_floating_point()]
        flat = torch.cat([tensor.flatten() for tensor in floats])
        distributed.all_reduce(flat)
        flat /= self._size
        for tensor, mean in zip(floats, flat.split([tensor.numel() for tensor in floats]), strict=True):
            tensor.copy_(mean.view_as(tensor))
        longest = torch.tensor(seconds, device=self.device)
        distributed.all_reduce(longest, distributed.ReduceOp.MAX)
        return float(longest)

    def part(self) -> None:
        """Wait for the others and go."""
        if self._size > 1:
            distributed.barrier()
            distributed.destroy_process_group()
