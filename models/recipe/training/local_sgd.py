"""Local SGD: copies of one net train on a GPU each and are averaged every few steps.

Started by ``torchrun --nproc-per-node GPUS -m recipe train …``; a single process sends nothing.
Source: Stich, Local SGD converges fast and communicates little, ICLR 2019.
"""

from __future__ import annotations

import os

import torch
from torch import distributed, nn

AVERAGE_EVERY = 10
"""Steps between two averages."""


class LocalSgd:
    """All the copies of one net; ``rank`` tells them apart, ``first`` prints and saves."""

    def __init__(self, device: str) -> None:
        """Join the other processes that torchrun started, if it did."""
        self.rank, self._size = int(os.environ.get("RANK", 0)), int(os.environ.get("WORLD_SIZE", 1))
        self.first = self.rank == 0
        self.device = f"{device}:{self.rank}" if device == "cuda" else device
        if self._size > 1:
            if device == "cuda":
                torch.cuda.set_device(self.rank)
            distributed.init_process_group("nccl" if device == "cuda" else "gloo")

    def broadcast(self, net: nn.Module) -> None:
        """Give every copy the weights of the first."""
        if self._size > 1:
            for tensor in net.state_dict().values():
                distributed.broadcast(tensor, 0)

    def average(self, net: nn.Module, step: int, seconds: float) -> float | None:
        """Average all copies where it is time.

        Return how long the slowest has trained, or ``None`` between two averages.
        """
        if self._size == 1:
            return seconds
        if step % AVERAGE_EVERY:
            return None
        floats = [tensor for tensor in net.state_dict().values() if tensor.is_floating_point()]
        flat = torch.cat([tensor.flatten() for tensor in floats])
        distributed.all_reduce(flat)
        flat /= self._size
        for tensor, mean in zip(
            floats, flat.split([tensor.numel() for tensor in floats]), strict=True
        ):
            tensor.copy_(mean.view_as(tensor))
        longest = torch.tensor(seconds, device=self.device)
        distributed.all_reduce(longest, distributed.ReduceOp.MAX)
        return float(longest)

    def leave(self) -> None:
        """Wait for the others and end."""
        if self._size > 1:
            distributed.barrier()
            distributed.destroy_process_group()
