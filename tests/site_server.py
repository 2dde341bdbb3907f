"""The site for its browser tests: a server in a process of its own, and a line to it that can be cut."""

from __future__ import annotations

import contextlib
import os
import selectors
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ports import free_port
from site_pages import open_port, trust, until

from cutmemo.memo import Projection, open_store
from cutmemo.memo.rows import Row
from cutmemo.wording import describe

PHRASE = "plumb and level all day"


class Line:
    """Carries bytes between browsers and a port of this machine until it is cut."""

    def __init__(self, to: int) -> None:
        """Carry to the port *to*."""
        self._to = to
        self._listening = socket.create_server(("127.0.0.1", 0))
        self.port = int(self._listening.getsockname()[1])
        self._select = selectors.DefaultSelector()
        self._select.register(self._listening, selectors.EVENT_READ)
        self._wake, self._woken = socket.socketpair()
        self._select.register(self._woken, selectors.EVENT_READ)
        self._whole = True
        self._answers = True
        self._ended = False
        self._dead: set[socket.socket] = set()
        self._far: set[socket.socket] = set()
        """Ends towards the server."""
        self._open = True
        self._thread = threading.Thread(target=self._carry, daemon=True)
        self._thread.start()

    def cut(self) -> None:
        """Carry nothing any more, and say so to nobody: as where a phone leaves the network."""
        self._whole = False
        self._wake.send(b"x")

    def lose_answers(self) -> None:
        """Carry to the server what comes, and nothing back, until it is cut."""
        self._answers = False

    def reset(self) -> None:
        """End what was open when it was cut, as the machine of a server does that was started again."""
        self._ended = True
        self._wake.send(b"x")

    def mend(self) -> None:
        """Carry again; what was open stays dead."""
        self._whole = self._answers = True
        self._wake.send(b"x")

    def close(self) -> None:
        """End it."""
        self._open = False
        self._wake.send(b"x")
        self._thread.join()
        for key in list(self._select.get_map().values()):
            key.fileobj.close()  # type: ignore[union-attr]
        self._wake.close()
        self._select.close()

    def _carry(self) -> None:
        while self._open:
            for key, _ in self._select.select():
                near = key.fileobj
                if near is self._woken:
                    self._woken.recv(64)
                    self._cut_and_reset()
                elif near is self._listening:
                    self._join()
                elif self._whole:
                    self._pass_on(near, key.data)  # type: ignore[arg-type]
        for each in self._dead:
            each.close()

    def _cut_and_reset(self) -> None:
        if not self._whole:
            open_now = [key.fileobj for key in self._select.get_map().values() if key.data]
            for each in open_now:
                self._select.unregister(each)
            self._dead |= set(open_now)  # type: ignore[arg-type]
        if self._ended:
            self._ended = False
            while self._dead:
                self._dead.pop().close()

    def _join(self) -> None:
        near, _ = self._listening.accept()
        if not self._whole:
            near.close()
            return
        try:
            far = socket.create_connection(("127.0.0.1", self._to), timeout=2)
        except OSError:
            near.close()
            return
        self._far.add(far)
        self._select.register(near, selectors.EVENT_READ, far)
        self._select.register(far, selectors.EVENT_READ, near)

    def _pass_on(self, near: socket.socket, far: socket.socket) -> None:
        try:
            data = near.recv(65_536)
            if data and near in self._far and not self._answers:
                return
            if data:
                far.sendall(data)
                return
        except OSError:
            pass
        self._far -= {near, far}
        for each in (near, far):
            with contextlib.suppress(KeyError, ValueError):
                self._select.unregister(each)
            each.close()


class Site:
    """A memo that is served, and a line to it."""

    def __init__(self, folder: Path) -> None:
        """Serve a fresh memo in *folder*."""
        self.folder, self.memo, self.port = folder, folder / "porch.cutmemo", free_port()
        self.authority = folder / "site" / "authority.pem"
        self.process: subprocess.Popen[bytes] | None = None
        self.start()
        self.line = Line(self.port)

    @property
    def address(self) -> str:
        """Return where a browser opens it."""
        return f"https://localhost:{self.port}/"

    @property
    def rules(self) -> str:
        """Return the rule by which a browser goes over the line."""
        return f"MAP localhost:{self.port} 127.0.0.1:{self.line.port}"

    def start(self, *program: str) -> None:
        """Start the server, or another *program* in its place, and wait until it answers."""
        with (self.folder / "server.log").open("ab") as log:
            self.process = subprocess.Popen(
                [
                    sys.executable,
                    *(program or ("-m", "cutmemo")),
                    "--memo",
                    str(self.memo),
                    "site",
                    "--port",
                    str(self.port),
                ],
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                env=os.environ | {"CUTMEMO_FOLDER": str(self.folder), "CUTMEMO_PHRASE": PHRASE},
            )
        until(self._answers, what=lambda: (self.folder / "server.log").read_text("utf-8")[-1000:])

    def _answers(self) -> bool:
        """Return whether the server is up; one that gave up is told at once."""
        assert self.process is not None
        assert self.process.poll() is None, (self.folder / "server.log").read_text("utf-8")[-1000:]
        return open_port(self.port)

    def open(self, driver: Any, name: str = "ladder phone") -> None:
        """Join in a browser that trusts the site, and open the page."""
        driver.get(self.address)
        driver.find_element("id", "phrase-phrase").send_keys(PHRASE)
        driver.find_element("id", "phrase-name").send_keys(name)
        driver.find_element("id", "phrase-who").send_keys("ann", "\n")

    def kill(self) -> None:
        """Kill the server as a power cut does."""
        assert self.process is not None
        self.process.kill()
        self.process.wait()

    def rows(self) -> list[Row]:
        """Return the rows of the memo as they are on disk."""
        with open_store(self.memo) as journal:
            return list(Projection(journal.events()).state.rows.values())

    def listed(self) -> list[str]:
        """Return each row in words, a question behind its sign."""
        with open_store(self.memo) as journal:
            state = Projection(journal.events()).state
            return [
                f"{'? ' if row.state == 'doubtful' else ''}{describe(row.cut, state.settings)}"
                for row in state.rows.values()
            ]

    def close(self) -> None:
        """End the server and the line."""
        self.line.close()
        self.kill()


@contextlib.contextmanager
def served(folder: Path) -> Iterator[Site]:
    """Serve a fresh memo in *folder*; a browser with its home there trusts it."""
    site = Site(folder)
    try:
        trust(folder, site.authority)
        yield site
    finally:
        site.close()
