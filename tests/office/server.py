"""A real PostgreSQL of the tests' own: in a folder of its own, over TCP with TLS on the loopback, with
certificates made for it.
"""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
from dataclasses import replace
from pathlib import Path

from ports import free_port

from cutmemo.office.address import Address

FOLDERS = (*sorted(Path("/usr/lib/postgresql").glob("*/bin"), reverse=True), Path("/usr/bin"))
"""Where Debian keeps the server's programs."""
USER = "postgres"
"""The package's user: the server refuses to run as root."""


def programs() -> Path | None:
    """Return the folder with the server's programs, or ``None`` where it is not installed."""
    found = next((folder for folder in FOLDERS if (folder / "initdb").exists()), None)
    on_path = shutil.which("initdb")
    return found or (Path(on_path).parent if on_path else None)


def missing() -> str:
    """Return what of this machine the tests of the office lack; empty where they can run."""
    lacks = []
    try:
        import alembic  # noqa: F401
        import psycopg  # noqa: F401
    except ImportError as error:
        lacks.append(f"the extra [office] ({error.name})")
    if programs() is None:
        lacks.append("PostgreSQL (Debian: postgresql)")
    if shutil.which("openssl") is None:
        lacks.append("openssl")
    return ", ".join(lacks)


class Server:
    """A server that is started, stopped and killed by the test."""

    def __init__(self, fsync: bool = False, buffers: str = "128MB") -> None:
        found = programs()
        assert found is not None
        self.bin = found
        self.folder = Path(tempfile.mkdtemp(prefix="office-"))
        self.data, self.root_certificate = self.folder / "data", self.folder / "root.crt"
        self.port = free_port()
        self.password = ""
        self._own()
        self._run(
            "initdb", "-N", "-D", self.data, "-E", "UTF8", "--locale=C", "-A", "trust", "-U", USER
        )
        self._certificates()
        (self.data / "postgresql.auto.conf").write_text(
            f"listen_addresses = '127.0.0.1'\nport = {self.port}\n"
            f"unix_socket_directories = '{self.folder}'\n"
            f"ssl = on\nssl_cert_file = '{self.folder}/server.crt'\n"
            f"ssl_key_file = '{self.folder}/server.key'\n"
            "password_encryption = 'scram-sha-256'\nmax_connections = 60\n"
            f"shared_buffers = '{buffers}'\nmax_wal_size = '1GB'\nlog_min_messages = fatal\n"
            # What a killed server wrote is kept by the system, and no test cuts the power.
            f"fsync = {'on' if fsync else 'off'}\n"
        )
        (self.data / "pg_hba.conf").write_text(
            "local all all trust\n"
            "hostssl all all 127.0.0.1/32 scram-sha-256\n"
            "hostnossl all all all reject\n"
        )
        self._own()
        self.start()

    def _as_user(self) -> list[str]:
        return ["runuser", "-u", USER, "--"] if os.getuid() == 0 else []

    def _own(self) -> None:
        if os.getuid() == 0:
            subprocess.run(["chown", "-R", USER, self.folder], check=True)

    def _run(self, program: str, *arguments: object) -> str:
        command = [*self._as_user(), str(self.bin / program), *map(str, arguments)]
        done = subprocess.run(command, capture_output=True, text=True, cwd=self.folder, timeout=120)
        log = self.folder / "log"
        said = log.read_text() if done.returncode and log.exists() else ""
        assert done.returncode == 0, f"{program}: {done.stderr}\n{done.stdout}\n{said}"
        return done.stdout

    def _certificates(self) -> None:
        """Make an authority, and a certificate of it for the loopback."""
        here = self.folder
        (here / "names").write_text("subjectAltName=IP:127.0.0.1,DNS:localhost\n")

        def openssl(*arguments: object) -> None:
            command = ["openssl", *map(str, arguments)]
            subprocess.run(command, check=True, capture_output=True, cwd=here)

        new = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes")
        openssl(
            "req",
            "-x509",
            *new,
            "-keyout",
            "root.key",
            "-out",
            "root.crt",
            "-days",
            "3650",
            "-subj",
            "/CN=root of the tests",
            "-addext",
            "keyUsage=critical,keyCertSign",
        )
        openssl("req", *new, "-keyout", "server.key", "-out", "server.csr", "-subj", "/CN=office")
        openssl(
            "x509",
            "-req",
            "-in",
            "server.csr",
            "-CA",
            "root.crt",
            "-CAkey",
            "root.key",
            "-CAcreateserial",
            "-out",
            "server.crt",
            "-days",
            "3650",
            "-extfile",
            "names",
        )
        (here / "server.key").chmod(0o600)

    def start(self) -> None:
        """Start it, and wait until it takes connections."""
        log = self.folder / "log"
        self._run("pg_ctl", "-D", self.data, "-l", log, "-w", "-t", "60", "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it; immediate is as if it had crashed."""
        self._run("pg_ctl", "-D", self.data, "-m", how, "-w", "stop")

    def kill(self) -> None:
        """Kill the server with SIGKILL, with all that it runs for its connections."""
        main = int((self.data / "postmaster.pid").read_text().split()[0])
        children = Path(f"/proc/{main}/task/{main}/children").read_text().split()
        for each in (main, *map(int, children)):
            os.kill(each, signal.SIGKILL)
        for each in (main, *map(int, children)):
            _wait_for_end(each)
        # Where nobody takes note of the end of an orphan, its number still looks like a server's.
        for lock in (self.data / "postmaster.pid", self.folder / f".s.PGSQL.{self.port}.lock"):
            lock.unlink(missing_ok=True)

    def remove(self) -> None:
        """Stop it, and leave nothing."""
        self.stop("immediate")
        shutil.rmtree(self.folder, ignore_errors=True)

    def dump(self, database: str) -> bytes:
        """Return a backup of *database*, as pg_dump makes it."""
        return self._client("pg_dump", "-Fc", database)

    def roles(self) -> bytes:
        """Return who is let in, as pg_dumpall makes it."""
        return self._client("pg_dumpall", "--roles-only")

    def restore(self, backup: bytes, database: str) -> None:
        """Make *database* of a backup."""
        self._client("createdb", "-O", "cutmemo_office", database)
        self._client("pg_restore", "--exit-on-error", "-d", database, given=backup)

    def restore_all(self, roles: bytes, backup: bytes) -> None:
        """Make roles and database of a backup on a server that has neither, as the guide says it."""
        self._client("psql", "-q", "-d", "postgres", given=roles)
        self._client("pg_restore", "-C", "--exit-on-error", "-d", "postgres", given=backup)

    def _client(self, program: str, *arguments: str, given: bytes = b"") -> bytes:
        """Run a program of the package as the administrator, and return what it prints."""
        at = ["-h", str(self.folder), "-p", str(self.port), "-U", USER]
        command = [*self._as_user(), str(self.bin / program), *at, *arguments]
        done = subprocess.run(
            command, input=given, check=True, capture_output=True, cwd=self.folder
        )
        return done.stdout

    def office(self, database: str) -> Address:
        """Return the address of the office itself: the local socket, as the administrator."""
        return Address.of(f"postgresql://{USER}@:{self.port}/{database}?host={self.folder}")

    def site(self, name: str, database: str, port: int | None = None) -> Address:
        """Return the address of a site: over TCP with TLS, the certificate verified."""
        return replace(
            Address.of(f"postgresql://{name}@127.0.0.1:{port or self.port}/{database}"),
            sslrootcert=str(self.root_certificate),
        )


def _wait_for_end(process: int) -> None:
    """Wait until *process*, which is no child of this one, has ended."""
    try:
        handle = os.pidfd_open(process)
    except ProcessLookupError:
        return
    import select

    select.select([handle], [], [], 30)
    os.close(handle)
