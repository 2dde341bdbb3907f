"""The page of the one who orders, in a browser."""

from __future__ import annotations

import os
import sys

from cutmemo.cli.office import action
from cutmemo.cli.office_yard import FROM, sites_of, telling_where
from cutmemo.cli.run import DONE, Run, argument, secret
from cutmemo.cli.site import port_number, put_out, show_devices, tell
from cutmemo.errors import NoBrowser
from cutmemo.office.known import FromOffice
from cutmemo.wording import site as site_words

PORT = 8770
"""Not that of a site, nor the one behind it: both may run on one machine."""


@action(
    "page",
    argument("--port", type=port_number, default=PORT),
    argument("--share", action="store_true"),
    argument("--host", metavar="NAME"),
    argument("--devices", action="store_true"),
    argument("--remove", metavar="DEVICE"),
    *FROM,
)
def _page(run: Run) -> int:
    a = run.arguments
    try:
        from cutmemo.site.office_run import (  # deferred: it brings a web server
            office_devices,
            serve_office,
            serve_office_here,
        )
    except ImportError as error:
        raise NoBrowser(site_words.parts_missing(error.name)) from error
    if a.devices:
        return show_devices(run, office_devices())
    if a.remove is not None:
        return put_out(run, office_devices(), a.remove)
    sites = sites_of(run)
    if isinstance(sites, FromOffice):
        with telling_where(run):
            sites.check()
    if not a.share:
        serve_office_here(sites, a.port, tell)
        return DONE
    from cutmemo.site.names import usual_host
    from cutmemo.site.run import Wish

    phrase = os.environ.get("CUTMEMO_PHRASE") or secret(site_words.ASK_PHRASE)
    host = a.host or usual_host()
    wish = Wish(run.memo, a.port, phrase, host, asks=sys.stdin.isatty())
    serve_office(sites, wish, tell)
    return DONE
