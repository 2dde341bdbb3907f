"""A network between a site and its office that fails when the test says so."""

from __future__ import annotations

import contextlib
import socket
import struct
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

Fault = Literal["none", "reset", "close", "silent", "delay"]
_RESET = struct.pack("ii", 1, 0)
"""Closing with this linger sends a reset at once."""


def _nothing() -> None:
    """Do nothing."""


@dataclass
class Plan:
    """What happens to the next connections."""

    fault: Fault = "none"
    after: int = 0
    """So many bytes of both directions together pass first."""
    then: Callable[[], None] = _nothing
    """Done when that many have passed, before the fault."""


class Proxy:
    """Passes what comes on a port of its own on to the server's, both ways."""

    def __init__(self, port: int) -> None:
        self._to = port
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listener.getsockname()[1])
        self.plan = Plan()
        self.passed = 0
        """Bytes since the plan was made."""
        self._lock = threading.Lock()
        self._pairs: list[tuple[socket.socket, socket.socket]] = []
        threading.Thread(target=self._accept, daemon=True).start()

    def fail(self, fault: Fault, after: int = 0, then: Callable[[], None] = _nothing) -> None:
        """Let the connections to come fail after so many bytes; those that fell silent are given up."""
        with self._lock:
            self.plan, self.passed = Plan(fault, after, then), 0
        self._give_up()

    def _give_up(self) -> None:
        while self._pairs:
            for each in self._pairs.pop():
                with contextlib.suppress(OSError):
                    each.shutdown(socket.SHUT_RDWR)  # closing alone waits for whoever reads of it
                each.close()

    def _accept(self) -> None:
        while True:
            try:
                near, _ = self._listener.accept()
            except OSError:
                return
            try:
                far = socket.create_connection(("127.0.0.1", self._to))
            except OSError:
                near.close()
                continue
            self._pairs.append((near, far))
            for one, other in ((near, far), (far, near)):
                threading.Thread(target=self._pass, args=(one, other), daemon=True).start()

    def _pass(self, one: socket.socket, other: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while data := one.recv(4096):
                with self._lock:
                    plan, room = self.plan, self.plan.after - self.passed
                    self.passed += len(data)
                if plan.fault != "none" and room < len(data):
                    if room > 0:
                        other.sendall(data[:room])
                    if plan.fault == "delay":
                        threading.Event().wait(0.002)
                        other.sendall(data[max(room, 0) :])
                        continue
                    with self._lock:
                        then, plan.then = plan.then, _nothing
                    then()
                    self._end(plan.fault, one, other)
                    return
                other.sendall(data)
        for each in (one, other):
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)

    def _end(self, fault: Fault, one: socket.socket, other: socket.socket) -> None:
        if fault == "silent":
            return  # both stay open, and nothing passes
        for each in (one, other):
            with contextlib.suppress(OSError):
                if fault == "reset":
                    each.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, _RESET)
                    each.shutdown(socket.SHUT_RD)  # whoever waits for it wakes; nothing is sent
                else:
                    each.shutdown(socket.SHUT_RDWR)
            each.close()

    def close(self) -> None:
        """End all connections."""
        self._listener.close()
        self._give_up()
