"""Verbs for browsers: the site of the crew, its devices, and the page on this machine."""

from __future__ import annotations

import argparse
import os
import sys
from typing import TYPE_CHECKING

from cutmemo.cli.run import (
    DONE,
    Run,
    argument,
    common_options,
    model_option,
    print_json,
    secret,
    verb,
)
from cutmemo.errors import NoBrowser, NoSite
from cutmemo.memo import open_store
from cutmemo.wording import site as words
from cutmemo.wording.verbs import does, no_port

if TYPE_CHECKING:
    from cutmemo.site.devices import Devices

PORT = 8750


def port_number(text: str) -> int:
    """Return a port that can be opened. Raises :class:`argparse.ArgumentTypeError`."""
    if not (text.isascii() and text.isdecimal() and 1 <= int(text) <= 65_535):
        raise argparse.ArgumentTypeError(no_port(text))
    return int(text)


def tell(text: str) -> None:
    """Print what somebody at the terminal waits for."""
    print(text, flush=True)


@verb(
    "browser",
    model_option,
    argument("--port", type=port_number, default=PORT),
    argument("--site", action="store_true"),
)
def _browser(run: Run) -> int:
    if run.arguments.site:
        raise NoBrowser(words.GO_TO_SITE)
    try:
        from cutmemo.site.run import serve_here  # deferred: only this verb needs a web server
    except ImportError as error:
        raise NoBrowser(words.parts_missing(error.name)) from error
    open_store(run.memo).close()
    serve_here(run.memo, run.arguments.port, run.default("model"), tell)
    return DONE


def _actions(parser: argparse.ArgumentParser) -> None:
    """Let *parser* take what can be done to the devices; without an action it serves."""
    actions = parser.add_subparsers(dest="action", metavar="ACTION")
    common = common_options()
    for name in ("devices", "remove", "untrust"):
        action = actions.add_parser(name, parents=[common], help=does("site", name))
        if name == "remove":
            argument("device")(action)


@verb(
    "site",
    model_option,
    argument("--port", type=port_number, default=PORT),
    argument("--host", metavar="NAME"),
    argument("--name", metavar="NAME"),
    _actions,
)
def _site(run: Run) -> int:
    try:
        import cutmemo.site.run  # noqa: F401 - deferred: only this verb needs a web server
    except ImportError as error:
        raise NoBrowser(words.parts_missing(error.name)) from error
    return {None: _serve, "devices": _devices, "remove": _remove, "untrust": _untrust}[
        run.arguments.action
    ](run)


def _serve(run: Run) -> int:
    from cutmemo.site.names import usual_host
    from cutmemo.site.run import Wish, serve_site

    phrase = os.environ.get("CUTMEMO_PHRASE") or secret(words.ASK_PHRASE)
    open_store(run.memo).close()
    wish = Wish(
        run.memo,
        run.arguments.port,
        phrase,
        run.arguments.host or usual_host(),
        run.arguments.name or "",
        run.default("model"),
        asks=sys.stdin.isatty(),
    )
    serve_site(wish, tell)
    return DONE


def _known() -> Devices:
    from cutmemo.site.devices import Devices
    from cutmemo.site.folder import site_folder

    return Devices(site_folder() / "devices.json")


def _devices(run: Run) -> int:
    return show_devices(run, _known())


def show_devices(run: Run, known: Devices) -> int:
    """Print the devices that have joined."""
    found = known.all()
    if run.arguments.json:
        names = ("id", "name", "who", "joined", "used")
        print_json([{name: getattr(each, name) for name in names} for each in found])
    else:
        for each in found:
            print(words.device_line(each.name, each.who, each.used[:16].replace("T", " ")))
        if not found:
            print(words.NO_DEVICES, file=sys.stderr)
    return DONE


def _remove(run: Run) -> int:
    return put_out(run, _known(), run.arguments.device)


def put_out(run: Run, known: Devices, name: str) -> int:
    """Put out the device called *name*. Raises :class:`NoSite` where there is none."""
    if not known.remove(name):
        raise NoSite(words.no_device(name))
    if run.arguments.json:
        print_json({"removed": name})
    else:
        print(words.removed(name))
    return DONE


def _untrust(run: Run) -> int:
    from cutmemo.site.certificates import known_authority
    from cutmemo.site.folder import site_folder

    folder = site_folder()
    known = known_authority(folder)
    if known is None:
        raise NoSite(words.NO_AUTHORITY)
    name, fingerprint = known
    if run.arguments.json:
        print_json({"authority": name, "fingerprint": fingerprint, "folder": str(folder)})
    else:
        print(words.UNTRUST.format(name=name, folder=folder, fingerprint=fingerprint))
    return DONE
