"""The verb ``office`` in words: what each of its actions does, and what it takes."""

from __future__ import annotations

from cutmemo.wording.verb_text import VerbText

_AT = "the office's database (postgresql:///cutmemo, on this machine)"
_MEMOS = "names or files of memos on this machine, in place of the office's database"

OFFICE = VerbText(
    "the office of several sites: connect this memo, send, and keep its database",
    actions={
        "connect": VerbText(
            "let this memo's entries go to an office from now on",
            {
                "address": "postgresql://maple@office.example/cutmemo; no password in it",
                "certificate": "by which the office is known; a copy is kept",
            },
        ),
        "disconnect": VerbText("send nothing more; what was sent stays there"),
        "status": VerbText("what is sent, and why it is not"),
        "send": VerbText("send what is not sent yet, now, and take in what came"),
        "yard": VerbText(
            "what all sites lack, with prices, waste and what is left over where",
            {
                "by-site": "each site laid out by itself",
                "as": "text, csv for a spreadsheet, or html to read or print, with a chart of days",
                "csv": "the same as --as csv",
                "page": "write the page to a file",
                "from": _MEMOS,
                "at": _AT,
            },
        ),
        "handoff": VerbText(
            "what the next one has to know, of every site",
            {
                "as": "text, or html to read or print",
                "page": "write the page to a file",
                "from": _MEMOS,
                "at": _AT,
            },
        ),
        "page": VerbText(
            "the same in a browser on this machine, which renews itself",
            {
                "port": "another than 8770",
                "share": "over HTTPS to devices on the network that join, as with “site”",
                "host": "with --share: the name of this machine on the network",
                "devices": "list the devices that have joined, and end",
                "remove": "put a device out by its name, and end",
                "from": _MEMOS,
                "at": _AT,
            },
        ),
        "pass-on": VerbText(
            "without an office: tell memos on this machine of each other's loads",
            {"memos": "names or files of the memos"},
        ),
        "prepare": VerbText(
            "at the office: lay out the database, or bring it up to this program",
            {"at": _AT},
        ),
        "site": VerbText(
            "at the office: let a site in, or give it a new password",
            {"name": "its name: maple", "title": "what people call it", "at": _AT},
        ),
        "orderer": VerbText(
            "at the office: let somebody in who reads all sites",
            {"name": "who", "at": _AT},
        ),
        "bar": VerbText("at the office: let a site in no longer", {"name": "its name", "at": _AT}),
        "tally": VerbText(
            "at the office: keep the tally of all sites, until Ctrl-C",
            {
                "once": "tally what is new, and end",
                "anew": "make the tally anew from what happened",
                "at": _AT,
            },
        ),
    },
)
