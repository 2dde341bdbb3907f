"""What a site shows at its office, and knows it by: the password in the keyring of this machine
where there is one, else in a file that only its owner may read; the certificate beside it.
"""

from __future__ import annotations

import contextlib
import json
import os
import stat
from pathlib import Path
from typing import Any
from urllib.parse import quote

from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.office.address import Address
from cutmemo.private_file import write_private

_SERVICE = "cutmemo office"
_OTHERS = stat.S_IRWXG | stat.S_IRWXO


def password_file() -> Path:
    """Return the file with the passwords: beside this machine's defaults."""
    chosen = os.environ.get("CUTMEMO_CONFIG")
    if chosen:
        return Path(chosen).with_name("office-passwords.json")
    import platformdirs  # deferred: only a connected memo needs it

    return Path(platformdirs.user_config_dir("cutmemo", appauthor=False)) / "office-passwords.json"


def keep_certificate(address: Address, file: Path) -> Path:
    """Keep a copy of the certificate in *file*, by which the office at *address* is known; return
    where. Raises :class:`NoOffice`.
    """
    try:
        text = file.read_text("ascii")
    except OSError as error:
        raise NoOffice(OfficeTrouble.BAD_CERTIFICATE, f"{file}: {error.strerror}") from error
    except UnicodeDecodeError as error:
        raise NoOffice(OfficeTrouble.BAD_CERTIFICATE, str(file)) from error
    if "-----BEGIN CERTIFICATE-----" not in text or "PRIVATE KEY" in text:
        raise NoOffice(OfficeTrouble.BAD_CERTIFICATE, str(file))
    kept = password_file().with_name(f"office-{quote(address.host, safe='')}.crt")
    write_for_owner(kept, text)
    return kept.absolute()


def _name(address: Address) -> str:
    """Return what the password belongs to: who, at which database."""
    return f"{address.user}@{address.host}:{address.port}/{address.database}"


def _keyring() -> Any:
    """Return the keyring of this machine, or ``None`` where none can keep a secret."""
    try:
        import keyring  # deferred: it is not required
        from keyring.backends import fail, null
    except ImportError:
        return None
    try:
        unfit = isinstance(keyring.get_keyring(), fail.Keyring | null.Keyring)
    except RuntimeError:
        return None
    return None if unfit else keyring


def keep_password(address: Address, password: str) -> str:
    """Keep *password*; return where: ``keyring``, or the file. Raises :class:`NoOffice`."""
    ring = _keyring()
    if ring is not None:
        with contextlib.suppress(ring.errors.KeyringError):
            ring.set_password(_SERVICE, _name(address), password)
            return "keyring"
    kept = _read()
    kept[_name(address)] = password
    _write(kept)
    return str(password_file())


def password_for(address: Address) -> str | None:
    """Return the password that is kept, or ``None``. Raises :class:`NoOffice` for a file that
    others may read.
    """
    ring = _keyring()
    if ring is not None:
        with contextlib.suppress(ring.errors.KeyringError):
            found = ring.get_password(_SERVICE, _name(address))
            if found is not None:
                return str(found)
    return _read().get(_name(address))


def forget_password(address: Address) -> None:
    """Keep the password no longer."""
    ring = _keyring()
    if ring is not None:
        with contextlib.suppress(ring.errors.KeyringError):
            ring.delete_password(_SERVICE, _name(address))
    kept = _read()
    if kept.pop(_name(address), None) is not None:
        _write(kept)


def _read() -> dict[str, str]:
    path = password_file()
    try:
        with path.open(encoding="utf-8") as file:
            if os.name == "posix" and os.fstat(file.fileno()).st_mode & _OTHERS:
                raise NoOffice(OfficeTrouble.OPEN_PASSWORD_FILE, str(path))
            plain = json.load(file)
    except FileNotFoundError:
        return {}
    except (ValueError, RecursionError) as error:
        raise NoOffice(OfficeTrouble.BAD_LINK, str(path)) from error
    except OSError as error:
        if isinstance(error, NoOffice):
            raise
        raise NoOffice(OfficeTrouble.BAD_LINK, f"{path}: {error.strerror}") from error
    return {str(name): str(value) for name, value in dict(plain).items()}


def _write(kept: dict[str, str]) -> None:
    write_for_owner(password_file(), json.dumps(kept, indent=1))


def write_for_owner(path: Path, text: str) -> None:
    """Write *text* to *path* whole or not at all, for its owner's eyes alone. Raises
    :class:`NoOffice`.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_private(path, text.encode())
    except OSError as error:
        raise NoOffice(OfficeTrouble.BAD_LINK, f"{path}: {error.strerror}") from error
