"""The office in words: how a memo stands to it, and why it cannot be reached."""

from __future__ import annotations

from collections.abc import Mapping

from cutmemo.errors import OfficeTrouble
from cutmemo.office.link import Link

_PREPARE = "At the office, “cutmemo office prepare” does that"
TROUBLES: Mapping[OfficeTrouble, str] = {
    OfficeTrouble.NO_PACKAGE: (
        "The parts for the office are missing ({why}). In the folder you cloned: "
        ".venv/bin/pip install '.[office]'"
    ),
    OfficeTrouble.NO_ADDRESS: (
        "That is no address of an office ({why}). It looks like postgresql://maple@host/cutmemo."
    ),
    OfficeTrouble.PASSWORD_IN_ADDRESS: (
        "The address holds a password. Leave it out: others can read a command line. It is asked"
        " for, once."
    ),
    OfficeTrouble.WEAK_TLS: (
        "sslmode={why} lets others read along, or be taken for the office. Leave it out: the"
        " certificate is verified then."
    ),
    OfficeTrouble.NO_LINK: (
        "This memo is not connected to an office. “cutmemo office connect ADDRESS” does that."
    ),
    OfficeTrouble.LINKED_ALREADY: (
        "This memo is connected to {why}. “cutmemo office disconnect” comes first."
    ),
    OfficeTrouble.BAD_LINK: "The link to the office cannot be used: {why}.",
    OfficeTrouble.OPEN_PASSWORD_FILE: (
        "Others may read the passwords in {why}. “chmod 600” it, and change them at the office."
    ),
    OfficeTrouble.NO_PASSWORD: "No password is kept for the office. Connect again to give it.",
    OfficeTrouble.NOT_HERE: (
        "No office on this machine is open to you ({why}). Memos on this machine are read with"
        " --from MEMO MEMO; an office elsewhere with --at postgresql://pat@office.example/cutmemo,"
        " for whom it let in with “cutmemo office orderer pat”. Where the office is kept, its user"
        " reads it: runuser -u postgres -- cutmemo office …. A memo begins to send with “cutmemo"
        " office connect ADDRESS”."
    ),
    OfficeTrouble.NO_NETWORK: "The office does not answer: {why}",
    OfficeTrouble.BAD_CERTIFICATE: (
        "{why} holds no certificate of an office, or a key that belongs there and nowhere else."
    ),
    OfficeTrouble.NOT_VERIFIED: (
        "Whoever answers could not be verified as the office: {why}. Nothing was sent."
    ),
    OfficeTrouble.NOT_LET_IN: "The office does not let this site in: {why}",
    OfficeTrouble.NOT_PREPARED: f"The database is not laid out for an office. {_PREPARE}.",
    OfficeTrouble.NEWER: (
        "The office is laid out for a newer cutmemo (layout {why}). Install that one; this site"
        " keeps its entries until then."
    ),
    OfficeTrouble.OLDER: (
        f"The office is laid out for an older cutmemo (layout {{why}}). {_PREPARE}; this site"
        " keeps its entries until then."
    ),
    OfficeTrouble.NO_SUCH_SITE: (
        "“{why}” cannot be the name of a site: small letters, digits, - and _, a letter first, and"
        " no name that the database knows for something else."
    ),
    OfficeTrouble.BROKEN: "The office's database refuses: {why}",
}
_IN_SHORT: Mapping[OfficeTrouble, str] = {
    OfficeTrouble.NO_NETWORK: "no network",
    OfficeTrouble.NOT_LET_IN: "it does not let this site in",
    OfficeTrouble.NOT_VERIFIED: "its certificate is not verified",
    OfficeTrouble.NEWER: "it needs a newer cutmemo",
    OfficeTrouble.OLDER: "it waits to be laid out anew",
    OfficeTrouble.NO_PASSWORD: "no password is kept",
    OfficeTrouble.NO_PACKAGE: ".venv/bin/pip install '.[office]'",
    OfficeTrouble.OPEN_PASSWORD_FILE: "others may read the passwords",
    OfficeTrouble.NOT_PREPARED: "it is not laid out",
}
"""Beside what is not sent, on every screen."""


def explain_trouble(trouble: OfficeTrouble, why: str) -> str:
    """Return the sentence that says why the office cannot be reached or used."""
    return TROUBLES[trouble].format(why=why)


def office_line(link: Link, not_sent: int) -> str:
    """Return how a memo stands to its office, in one line for every screen."""
    parts = [f"{not_sent:,} not sent yet" if not_sent else "all sent"]
    trouble = next((each for each in OfficeTrouble if each.value == link.trouble), None)
    if trouble is not None:
        parts.append(_IN_SHORT.get(trouble, "“cutmemo office status” tells why"))
    if link.disputed:
        count = link.disputed
        parts.append(f"{count} {'entry differs' if count == 1 else 'entries differ'} there")
    return f"office: {', '.join(parts)}"


def connected_to(address: str) -> str:
    """Return that the memo is connected."""
    return f"Connected to {address}. Entries go up by themselves whenever there is a network."


def disconnected_from(address: str) -> str:
    """Return that the memo is connected no longer."""
    return f"No longer connected to {address}. The memo keeps all it has; so does the office."


def password_kept(where: str) -> str:
    """Return where the password is kept."""
    return (
        "The password is in this machine's keyring."
        if where == "keyring"
        else f"The password is in {where}, for you alone."
    )


def status_lines(link: Link, not_sent: int) -> list[str]:
    """Return all that is known of the link."""
    lines = [link.url, office_line(link, not_sent)]
    lines.append(f"last exchange: {link.contact or 'none yet'}")
    trouble = next((each for each in OfficeTrouble if each.value == link.trouble), None)
    if trouble is not None:
        lines.append(f"since {link.since}: {explain_trouble(trouble, link.why)}")
    return lines


def exchanged(sent: int, received: int) -> str:
    """Return what an exchange came to."""
    return f"{sent:,} sent, {received:,} came in."


def disputed(count: int) -> str:
    """Return that entries differ at both ends."""
    which = "1 entry is" if count == 1 else f"{count:,} entries are"
    return (
        f"{which} at the office with the same name and other content. Each end keeps its own;"
        " “cutmemo day” shows what this one has."
    )


def refused(count: int) -> str:
    """Return that entries which came in were damaged."""
    return f"{'1 entry' if count == 1 else f'{count:,} entries'} came in damaged, and not taken."


def prepared(address: str, new: bool) -> str:
    """Return that the database is laid out."""
    return f"{address} is {'laid out' if new else 'up to date'}."


def let_in(name: str, database: str, password: str) -> list[str]:
    """Return how somebody enters who was let in."""
    return [
        f"{name} is let in. At its machine, with the name of this server for HOST:",
        f"  cutmemo office connect postgresql://{name}@HOST/{database}",
        f"  password: {password}",
        "It is shown this once. A site that lost it is let in again, with a new one.",
    ]


def let_in_to_read(name: str, password: str) -> list[str]:
    """Return how somebody enters who reads all sites."""
    return [
        f"{name} is let in, to read all sites.",
        f"  password: {password}",
        "It is shown this once.",
    ]


def shut_out(name: str) -> str:
    """Return that a site is let in no longer."""
    return f"{name} is not let in any more. What it sent stays."


def tallied(sites: int) -> str:
    """Return what one pass of the tally did."""
    return f"{sites} {'site' if sites == 1 else 'sites'} tallied"


ASK_PASSWORD = "Password of this site at the office: "  # noqa: S105 - a question
BUSY = "Another program on this machine is sending to the office at this moment."
TALLY_RUNS = "The tally is kept: Ctrl-C ends it."
TALLY_ELSEWHERE = "Another program keeps the tally of this office already."
LATER = "It does not answer yet; entries are sent once it does."
