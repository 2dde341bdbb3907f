"""The site in words: its doors, what is refused, what the terminal that serves it tells."""

from __future__ import annotations

from cutmemo.memo.rows import RowState

# --- somebody else was first ----------------------------------------------------------------------

_DONE: dict[RowState, str] = {
    "open": "was answered already",
    "doubtful": "asks now",
    "cut": "is cut already",
    "struck": "was struck already",
}


def was_first(number: int, state: RowState, by: str, at: str) -> str:
    """Return that somebody else did something with a row first: *by* whom and when (ISO 8601)."""
    return f"Row {number} {_DONE[state]}: {by}, {_clock(at)}. Nothing was changed."


def changed_since(number: int, now: str, by: str, at: str) -> str:
    """Return that a row is another one than the page showed: what it is *now*, *by* whom."""
    return (
        f"Row {number} was changed to {now}: {by}, {_clock(at)}. "
        "Nothing was done; look at it and do it again."
    )


def _clock(at: str) -> str:
    return at[11:16]


# --- the ear --------------------------------------------------------------------------------------

LOAD_ANEW = "This page is of another version: load it anew. Nothing that was called is lost."


def kept_for(memo: str, here: str) -> str:
    """Return that what a device keeps was called for another *memo* than the one served *here*."""
    return (
        f"What this device keeps was called for the memo “{memo}”, and this is “{here}”. "
        f"Nothing was taken. It is sent once the site serves “{memo}” again."
    )


NOT_NOW = "This cannot be taken now. It is kept here, and sent again."


def broke(error: object) -> str:
    """Return that the program itself is at fault, and what went wrong."""
    return f"This could not be taken: the program broke ({error}). Say it again, or type it."


TAKEN_BEFORE = "Done already."
GONE = "This device was put out, or was not used for a day. Join again; what is kept here is sent."


# --- devices --------------------------------------------------------------------------------------

UNNAMED_DEVICE = "phone"


def too_many_devices(most: int) -> str:
    """Return that no more devices can join."""
    return f"{most} devices have joined, which is the most. Put one out: cutmemo site remove NAME."


def file_unreadable(path: object, why: object) -> str:
    """Return that a file of the site cannot be used."""
    return f"{path} cannot be used: {why}."


# --- who is not answered --------------------------------------------------------------------------

OTHER_NAME = "This memo is open under another name."
ANOTHER_SITE = "This was asked for by another site."
NOT_FROM_HERE = "This memo is open on its own network only."
JOIN_FIRST = "Join first."
THIS_MACHINE = "this machine"


# --- the terminal ---------------------------------------------------------------------------------


def parts_missing(package: str | None) -> str:
    """Return that a *package* is missing, and how all that are needed are installed."""
    return (
        f"The parts for the site are missing ({package}). "
        "In the folder you cloned: .venv/bin/pip install '.[site]'"
    )


def port_taken(port: int, why: object) -> str:
    """Return that *port* cannot be opened, and *why*."""
    return f"Port {port} cannot be opened ({why}). Try another: --port 8760."


def open_here(port: int) -> str:
    """Return where to look on this machine."""
    return f"Open http://localhost:{port} in a browser on this machine. Ctrl+C stops."


GO_TO_SITE = "Phones and tablets join with “cutmemo site”: encrypted, each with its own microphone."


def authority_name(host: str) -> str:
    """Return how the site's authority is called in a device's settings."""
    return f"cutmemo site {host}"


def another_host(host: str, known: str, folder: object) -> str:
    """Return that the devices trust the site under another name."""
    return (
        f"The devices of this site trust it as {known}, not as {host}. Leave --host out. "
        f"For another name every device has to trust it anew: remove {folder} first."
    )


def no_host(host: str) -> str:
    """Return that *host* is no name for a machine."""
    return f"“{host}” is no name for a machine. One that works: --host saw-laptop.local"


def phrase_too_short(least: int) -> str:
    """Return that a pass phrase has fewer characters than the *least*."""
    return f"The pass phrase is too short: {least} characters or more, a few words are best."


# --- joining --------------------------------------------------------------------------------------

JOIN_TITLE = "Join the site"
HOW_TO_JOIN = (
    "Scan the second code on the screen of the machine that serves, or on a phone that has joined. "
    "Or type what stands below it."
)
JOIN_BY_LINK = "This lets one device in. It counts once you press the button."
BY_CODE, BY_PHRASE = "With the short code", "With the pass phrase"
CODE, PHRASE = "Short code", "Pass phrase"
DEVICE_NAME, PERSON_NAME = "Name of this device (ladder phone)", "Your name"
JOIN = "Join"
INVITE_OVER = "This invitation was used or is over. Ask for another: each lets one device in."
WRONG_CODE = "That is not the code, or it was used or is over."
WRONG_PHRASE = "That is not the pass phrase."


def too_soon(seconds: int) -> str:
    """Return that too many wrong ones came, and how long to wait."""
    return f"Too many wrong ones. Wait {seconds} s. Who has joined is not held up."


# --- trusting -------------------------------------------------------------------------------------

TRUST_TITLE = "Trust this site once"
WHY_TRUST = (
    "What you call goes to the machine of this site and nowhere else, encrypted. "
    "For that this device has to know the site's certificate authority. "
    "It can speak for this site and for private addresses alone."
)
GET_AUTHORITY = "Get the certificate"
COMPARE = (
    "Its fingerprint (SHA-256). It has to be the one on the screen of the machine that serves:"
)
TRUST = (
    (
        "Android",
        (
            "Press the button above. The file is saved.",
            "Settings, search for “CA certificate”. Choose “Install anyway”, and the file "
            "cutmemo-site.crt.",
            "Android asks for the lock of the device; it needs one.",
            "Firefox: menu, Settings, About, tap the logo five times; then Secret settings, "
            "“Use third party CA certificates”.",
        ),
    ),
    (
        "iPhone, iPad",
        (
            "Open this page in Safari and press the button above. Allow the profile.",
            "Settings, Profile downloaded, Install.",
            "Settings, General, About, Certificate Trust Settings: switch the site on.",
        ),
    ),
    (
        "Laptop",
        (
            "Press the button above.",
            "Chrome, Edge: Settings, search for “certificates”, Manage, Authorities or Trusted "
            "Root, Import.",
            "Firefox: Settings, search for “certificates”, View, Authorities, Import, for "
            "web sites.",
            "macOS: open the file, add it to the keychain, open it there, Trust: Always.",
        ),
    ),
)
THEN = "Then"
TO_SITE, TO_TRUST = "Go to the site", "Trust the site first"
NOT_HERE = "There is nothing here"
WITHOUT = "Without it"
WITHOUT_TRUST = (
    "The browser warns before every visit. On iPhone and iPad the page never reaches the memo; "
    "elsewhere there may be no microphone, and nothing is kept while the network is away."
)
TAKE_OFF = "Take it off again"
UNTRUST_SHORT = (
    "Android: Settings, search for “User certificates”, the site, Remove.",
    "iPhone, iPad: Settings, General, VPN and Device Management, the site, Remove.",
    "Laptop: where you put it, remove it.",
)


# --- the terminal of the site ---------------------------------------------------------------------

ASK_PHRASE = "Pass phrase for the site: "


def first_code(address: str, fingerprint: str) -> str:
    """Return what stands above the first QR code."""
    return (
        f"1. Once for each device: trust this site. Scan, or open {address}\n"
        f"   Its fingerprint: {fingerprint}"
    )


def second_code(address: str, code: str, minutes: int) -> str:
    """Return what stands above the second QR code."""
    return (
        f"2. Let one device in, within {minutes} minutes. Scan, or open {address}\n"
        f"   and type the short code {code}, or the pass phrase."
    )


def other_addresses(addresses: list[str]) -> str:
    """Return under what else the site is found, where its name is not."""
    return f"   Where that name is not found: {', '.join(addresses)}"


NAME_NOT_TOLD = (
    "   Nobody on the network can be told of that name here; the addresses work all the same."
)
ANOTHER_CODE = "Enter: a code for another device. Ctrl+C stops."
STOPS = "Ctrl+C stops."
NO_DEVICES = "No device has joined."


def device_line(name: str, who: str, used: str) -> str:
    """Return one device: its name, who carries it, and when it was used last."""
    return f"{name}  ·  {who}  ·  last used {used}"


def removed(name: str) -> str:
    """Return that a device was put out."""
    return f"{name} was put out. What it has not sent stays on it, and is sent once it joins again."


def no_device(name: str) -> str:
    """Return that no device has this name."""
    return f"No device is called “{name}”. “cutmemo site devices” lists them."


UNTRUST = """\
To take the site's authority off a device:
  Android: Settings, search for “User certificates” (or “Trusted credentials”, User),
    “{name}”, Remove.
  iPhone, iPad: Settings, General, VPN and Device Management, “{name}”, Remove Profile.
  Windows: run “certmgr.msc”, Trusted Root Certification Authorities, “{name}”, Delete.
  macOS: Keychain Access, “{name}”, Delete.
  Chrome on Linux: Settings, search for “certificates”, Manage, Authorities, “{name}”, Delete.
  Firefox: Settings, search for “certificates”, View Certificates, Authorities, “{name}”, Delete.
Once no device trusts it any more, remove {folder} on this machine:
its key is there, and “cutmemo site” makes a new one.
Its fingerprint: {fingerprint}"""
NO_AUTHORITY = "This machine has no authority yet: “cutmemo site” makes one."
