"""Every word of the pages of the site, but what the server makes of the memo.

What a terminal and a page both show is called the same: those words are taken from
:mod:`cutmemo.wording.screens`. Where a page puts in a fact, its name stands in braces.
"""

from __future__ import annotations

from cutmemo.wording import screens
from cutmemo.wording.verbs import CAUTIONS

_STRIKE, _STRIKE_YES = screens.strike_asks("{row}", "{cut}")
_ALL, _ALL_YES = screens.clear_all_asks("{row}", "{cut}", "{left}")
_NO = screens.confirm_keys("")[1][1]

WORDS: dict[str, str] = {
    # the views, and keys
    "work": "Work",
    "saw": screens.SAW,
    "boards": screens.BOARDS,
    "more": "More",
    "views": "Pages",
    "undo": screens.UNDO,
    "redo": screens.REDO,
    "strike": screens.STRIKE,
    "putBack": screens.PUT_BACK,
    "sayAgain": screens.SAY_AGAIN,
    "look": screens.DARK_OR_LIGHT,
    "voice": screens.VOICE,
    "order": screens.ORDER,
    "skip": screens.SKIP,
    "hold": screens.HOLD,
    "release": "Off hold",
    "trouble": screens.TROUBLE,
    "cut": "Cut",
    "cutAll": screens.CUT_ALL,
    "back": screens.BACK,
    "byBoard": "By board",
    "eyes": screens.EYES,
    "take": "Take",
    "typeCall": "Type a call, for example 4 @ 14-5/8 2x6 header",
    "typeHint": "4 @ 14-5/8 2x6 header",
    "typeAnswer": "A choice, or its length",
    # hearing
    "talk": "Hold and talk",
    "talkOpen": "Tap to open the microphone",
    "talkOpening": "Opening: allow the microphone",
    "talkHeld": "Let go when you have said it",
    "talkFree": "Hands-free: just talk",
    "handsFree": "Hands-free",
    "earOff": screens.ear("off", reading_back=False).strip(),
    "earOpening": screens.ear("opening", reading_back=False).strip(),
    "earHeld": screens.ear("on", reading_back=False).strip(),
    "earFree": f"{screens.ear('on', reading_back=False).strip()}, hands-free",
    "earOrders": screens.saw_keys("on")[0][1],
    "earHidden": f"{screens.ear('off', reading_back=False).strip()}: the page was hidden",
    "lostHidden": "The page was hidden, so it stopped listening. Tap to go on.",
    "lostTaken": "The microphone was taken away, by a telephone call perhaps. Tap to go on.",
    "lostFull": "Half an hour of sound waits here: no more is kept until it is sent. Type instead.",
    "micNotAllowed": (
        "The microphone is not allowed here. "
        "Allow it in the browser's settings for this page, then tap again."
    ),
    "micNotFound": "There is no microphone here. Type, or join a headset and tap again.",
    "micNotSupported": (
        "The browser gives this page no microphone: "
        "trust the site's certificate first, then open the page by its https address."
    ),
    "micFailed": "The microphone cannot be opened ({why}). Typing goes on.",
    "heard": screens.partial("{words}"),
    "nothingSaid": "Nothing was read back here yet.",
    "voiceOn": screens.read_back_is(on=True),
    "voiceOff": screens.read_back_is(on=False),
    # what waits
    "sending": "sending: {seconds} s",
    "notSent": "not sent yet: {seconds} s",
    "notSentActs": "not sent yet: {count}",
    "notSentBoth": "not sent yet: {seconds} s and {count}",
    "connected": "● connected",
    "apart": "○ no connection: all is kept here",
    "waits": "◌ {what} · waits to be sent",
    "waitSay": screens.quoted("{text}"),
    "waitRow": "{verb}: row {row}",
    "waitAnswer": "Answer {choice}: row {row}",
    "noKeeping": (
        "This browser keeps nothing for this page, as in a private window: "
        "what is said without a connection would be lost. Open it in a usual window."
    ),
    "notKept": "Something could not be kept here ({why}): say it again.",
    "keptSafe": "What waits to be sent is safe on this device.",
    "keptUnsafe": (
        "What waits to be sent is kept on this device; "
        "it is safer there once the page is put on the home screen."
    ),
    "out": "This device has not joined, or was put out. What was kept here stays kept.",
    "join": "Join",
    "old": "The page is older than the site. Load it anew; what was kept here stays kept.",
    "loadAnew": "Load it anew",
    "moved": "The site has another address now. What was kept here is delivered there.",
    "openThere": "Open it there",
    # rows
    "rows": "The list",
    "noCall": "No call yet. Hold the button and say a length, or type one.",
    "noRow": "Choose a row of the list first.",
    "rowAsks": screens.row_head("{row}", "doubtful"),
    "rowIs": screens.row_head("{row}", "{state}"),
    "stateOpen": "open",
    "stateHeld": "on hold",
    "stateGoesOn": "more may be said",
    "stateCut": "cut",
    "stateStruck": "struck",
    "said": screens.quoted("{words}"),
    "by": "{who} at {station}",
    "pieces": screens.pieces("{count}"),
    "again": screens.again(("{reasons}",)),
    "moreRows": "{count} rows more, cut or struck",
    "signAsks": screens.ASKS,
    "signOpen": screens.SIGNS["open"],
    "signHeld": screens.HELD,
    "signGoesOn": screens.GOES_ON,
    "signAgain": screens.AGAIN,
    "signCut": screens.GOOD,
    "signStruck": screens.WRONG,
    "good": f"{screens.GOOD} {{sentence}}",
    "asks": screens.question("{sentence}"),
    "wrong": f"{screens.WRONG} {{sentence}}",
    "caution": screens.caution("{sentence}"),
    "choices": "What it may mean",
    "notRight": screens.NOT_RIGHT,
    "strikeAsks": _STRIKE,
    "strikeYes": _STRIKE_YES,
    "allAsks": _ALL,
    "allYes": _ALL_YES,
    "no": _NO,
    # the saw
    "nothingToCut": screens.NOTHING_TO_CUT,
    "left": screens.left_of("{left}", "{count}"),
    "leftOne": screens.left_of(1, 1),
    "then": screens.then("{cut}"),
    "forPlace": "for {place}",
    "noPiece": screens.NO_PIECE,
    "sawnAway": "Without a connection: this piece comes next in the list as it was last seen.",
    "noTrouble": screens.NO_TROUBLE,
    "pieceDrawn": "The piece: left end {left}, right end {right}",
    # boards
    "toBuy": screens.TO_BUY.capitalize(),
    "onTheRack": screens.ON_THE_RACK.capitalize(),
    "emptyRack": screens.EMPTY_RACK,
    "nothingOpen": screens.NOTHING_OPEN,
    "nothingToBuy": "Nothing.",
    "planning": screens.PLANNING,
    "notPlanned": screens.NOT_PLANNED,
    "boardDrawn": "{name}, drawn to scale: {pieces}",
    # the device
    "devices": "Devices of the site",
    "deviceOff": "{name}: not listening",
    "deviceHeld": "{name}: listening",
    "deviceFree": "{name}: listening, hands-free",
    "deviceHidden": "{name}: NO LONGER LISTENING, its page was hidden",
    "deviceAway": "{name}: no connection",
    "awake": "This screen stays on while the page is up.",
    "asleep": "This browser lets the screen go dark: set the device to stay on.",
    "guard": "Guard",
    "guardOn": "Guarded against touches. Hold the key below for a second to open it.",
    "unlock": "Hold to open",
    "invite": "Let a phone in",
    "aloneHere": (
        "This page is for this machine alone. "
        "End it there with Ctrl+C, and start “cutmemo site” for phones."
    ),
    "inviteHow": (
        "Point its camera here, or open {url} there and type {code}. Good for ten minutes."
    ),
    "qr": "QR code of the way in",
    "cautions": " ".join(CAUTIONS.splitlines()),
}
"""What each place of a page says, by the names that the page has for them."""
