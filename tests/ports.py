"""Ports for servers in processes of their own."""

from __future__ import annotations

import random
import socket

# below what systems hand out for a connection that asks for no port (Linux 32768, IANA 49152):
# nobody takes one of these between the asking here and the server's opening
FIRST, LAST = 20_000, 32_000


def free_port() -> int:
    """Return a port that nobody listens on, nor on the one behind it."""
    draw = random.SystemRandom()  # never the same in two workers
    while True:
        port = draw.randrange(FIRST, LAST)
        try:
            with socket.socket() as one, socket.socket() as two:
                one.bind(("", port))
                two.bind(("", port + 1))
        except OSError:
            continue
        return port
