"""Where the files are that travel with the program: speech model, read-back clips, demo and
guide.
"""

from __future__ import annotations

from pathlib import Path

_HERE = Path(__file__).resolve().parent


def bundled(name: str) -> Path:
    """Return the folder of ``model``, ``clips``, ``demo`` or ``guide``, in the wheel or in the
    checkout.
    """
    in_wheel = _HERE / "bundled" / name
    if in_wheel.is_dir():
        return in_wheel
    checkout = _HERE.parent
    return {"model": checkout / "models" / "en"}.get(name, checkout / "assets" / name)
