"""The trade's words: what each stands for, and how often it is said beside the others of its class.

Grammar, speaker and sampler all read these tables. A form with the weight 0 is only ever typed.
The weights are our estimate (common practice; nothing was counted).
"""

from __future__ import annotations

from typing import Final, Literal

from cutmemo.domain.cut import Point, Side
from cutmemo.domain.units import Unit
from cutmemo.language.intent import Command, Verb
from cutmemo.language.lexicon.table import Table
from cutmemo.language.sets import Framing

# --- numbers and parts of an inch ----------------------------------------------------------------

ONES: Final = {
    word: n
    for n, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen".split()
    )
}
TENS: Final = {
    word: n * 10
    for n, word in enumerate(
        "twenty thirty forty fifty sixty seventy eighty ninety".split(), start=2
    )
}
PLURALS: Final = {
    **{f"{word}s": n for word, n in ONES.items() if n not in (0, 6)},
    "sixes": 6,
    **{f"{word[:-1]}ies": n for word, n in TENS.items()},
}
"""A number said as a plural: "two forty twos"."""
NOUGHT: Final = Table({0: "oh*8, zero*3"})
"""A nought among figures: "one oh four"."""

DENOMINATORS: Final = Table(
    {
        2: "half",
        4: "quarter*10, fourth, qtr*0",
        8: "eighth",
        16: "sixteenth",
        32: "thirty second",
        64: "sixty fourth",
        3: "third*0",
        5: "fifth*0",
        6: "sixth*0",
        7: "seventh*0",
        9: "ninth*0",
        10: "tenth*0",
        12: "twelfth*0",
        100: "hundredth*0",
    },
    hint="eighths",
)
"""Names of parts of an inch; those no tape has are read too, so that the refusal can say why."""
DENOMINATOR_PLURALS: Final = Table(
    {
        2: "halfs, halves",
        4: "quarters*4, fourths, qtrs*0",
        8: "eighths",
        16: "sixteenths",
        32: "thirty seconds",
        64: "sixty fourths",
        3: "thirds*0",
        5: "fifths*0",
        6: "sixths*0",
        7: "sevenths*0",
        9: "ninths*0",
        10: "tenths*0",
        12: "twelfths*0",
        100: "hundredths*0",
    },
    hint="eighths",
)
TAPE_DENOMINATORS: Final = {2: 3.0, 4: 4.0, 8: 6.0, 16: 7.0, 32: 1.6, 64: 0.3}
"""Parts of an inch that tapes have, and how often each is said."""

UNITS: Final[Table[Unit]] = Table(
    {
        "inch": "inches*6, inch*5, in*0",
        "foot": "foot*4, feet, ft*0",
        "millimetre": "millimetres, millimeters, mil*0.5, mils*0.2, millimetre*0.2, millimeter*0.2, mm*0",
        "centimetre": "centimetres, centimeters, centimetre*0.2, centimeter*0.2, cm*0",
        "metre": "metres, meters, metre, meter, m*0",
    }
)

# --- a touch more or less, and the line ----------------------------------------------------------

ALLOWANCES: Final[Table[Side]] = Table(
    {
        "over": "strong, heavy, full, fat, plus, proud",
        "under": "light, shy, scant, weak, minus, short, bare*0",
    }
)
READ_BACK_AS: Final = {"bare": "scant"}
"""Words that are typed only, and what the voice says for them: it has no clip of theirs."""
LEADING_ALLOWANCES: Final[Table[Side]] = Table(
    {
        "over": "strong*2, heavy, full, fat, proud*0.1, a strong*0.5, a heavy*0.3, a full*0.3, a fat*0.3",
        "under": "light, shy, scant, bare*0, a light*0.2, a shy*0.2, a scant*0.2",
    }
)
"""Those that are said before a length or inside it as well: "a strong quarter"."""
LEADING_SLIGHT: Final[Table[Side]] = Table(
    {
        "over": "a hair over, a tad over, a skosh over, just over, just a hair over*0.2",
        "under": "a hair under*2, just under*2, a tad under, a skosh under, just shy of, a hair shy of*0.5, just a hair under*0.2",
    }
)
"""A touch that is said before the length it changes: "just under forty"."""
SLIGHT: Final = Table({"slight": "hair*2, skosh, tad"})
"""A touch that is smaller still; "a hair under"."""
SLIGHT_SIDES: Final[Table[Side]] = Table({"over": "over*4, past*0.2", "under": "under*4"})
"""What may stand behind "a hair" beside the words of :data:`ALLOWANCES`."""
EXACT: Final = Table(
    {
        "exact": "even*2, flat*2, exactly, on the money, on the nose, on the button*0.5, "
        "on the dot*0.5, dead on*0.5, right on*0.5, dead*0, net*0, long*0.3"
    }
)
LEADING_EXACT: Final = Table({"exact": "exactly*2, dead, an even*0.5, an exact*0.2, right at*0.2"})
"""The same before the length."""
NOTES: Final = Table(
    {
        "leave the line": "leave the line*3, leave the pencil line*0.2, leave the mark*0.2",
        "take the line": "take the line*3, take the pencil line*0.2, take the mark*0.2",
        "split the line": "split the line*3, split the pencil line*0.2",
        "birdsmouth": "birdsmouth*4, with a birdsmouth*0.3, with birdsmouth*0.2",
        "parallel": "parallel*2",
        "opposing": "opposing*2",
        "cedar": "cedar",
        "fir": "fir, doug fir*0.3, df*0",
        "hem-fir": "hem fir*0.3",
        "T&G": "t and g*0.3, tongue and groove*0.3",
        "shiplap": "shiplap*0.2",
        "rough sawn": "rough sawn*0.2",
        "select": "select*0.3",
        "#1": "number one*0.2, #1*0",
        "SPF": "s p f, spf*0, spruce*0.3",
        "pine": "pine",
        "white pine": "white pine*0",
        "yellow pine": "yellow pine*0.2, southern yellow pine*0.1, southern pine*0.1, syp*0",
        "on edge": "on edge*0",
        "on the flat": "on the flat*0.3, laid flat*0, lay flat*0",
        "let in": "let in*0.3",
        "scrap": "scrap*0",
        "#2": "number two, #2*0",
        "kiln dried": "kiln dried*0.3, kd*0",
        **{
            each: f"{each}*0.2"
            for each in "maple poplar redwood hardwood primed composite larch birch".split()
        },
        "oak": "oak*0",
        "MSR": "msr*0",
        "PVC": "p v c*0.2, pvc*0",
        "stud grade": "stud grade*0.5",
        "double": "double*0.3, doubled*0.3, dbl*0",
        "triple": "triple*0.2",
        "solid": "solid*0.3",
        "temporary": "temporary*0.3, temp*0",
        "crown up": "crown up, crowned up*0.2",
        "rip": "rip*0.2",
        **{each: f"{each}*0.2" for each in "snug tight loose".split()},
    }
)
"""What is kept in words."""
NEEDS_A_PIECE: Final = ("double", "triple", "solid", "temporary")
"""Notes that only a piece may follow: "double header"; before a length they could double it."""
PLIES_IN_WORDS: Final = ("double", "triple")
"""Notes that say that one piece is made of several."""

QUALITIES: Final = Table({"short": "short*2", "long": "long*2", "flat": "flat"})
"""What a piece is, right before it or, flat, right behind it; behind a length they say how it is
measured.
"""

WORD_FIELDS: Final[dict[str, Table[str]]] = {"note": NOTES}
"""The words of each field that is kept in words (``domain.cut.WORD_FIELDS``)."""

# --- boards --------------------------------------------------------------------------------------

MATERIALS: Final = Table(
    {
        "LVL": "l v l*4, lvl*0, lvls*0",
        "rim board": "rim board*2",
        "glulam": "glulam, glu lam*0, glue lam*0",
        "I-joist": "i joist, i joists*0.3",
        "PSL": "p s l*0.2, psl*0",
        "LSL": "l s l*0.3, lsl*0",
        "OSB": "o s b*0.3, osb*0",
        "plywood": "plywood",
        "MDF": "m d f*0.2, mdf*0",
        "hardboard": "hardboard*0.2",
    }
)
SHEETS: Final = frozenset({"OSB", "plywood", "MDF", "hardboard"})
"""Materials that come in sheets, called by their thickness."""
TREATED: Final = Table({True: "treated*4, pressure treated, p t*0.3, pt*0, acq*0"})
NOMINAL: Final = frozenset({1, 2, 3, 4, 6, 8, 10, 12, 14})
"""What boards are named by, thickness and width, in inches."""
FOOTERS: Final = Table({1: "footer", 2: "footers"})

# --- pieces --------------------------------------------------------------------------------------

_SELDOM = """
apron, backer, band, barge, barge board, base cap, base shoe, batter board, beam pocket, bolster,
bottom rail, bracket, bridging, cant strip, carrying beam, chair rail, column, corbel, corner board,
corner post, corner stud, cribbing, cross brace, crown, deadwood, door stop, draft stop, drip cap,
eave block, end joist, fire stop, flooring, form board, gate post, gate rail, grade stake, guard
post, hanger block, head casing, head jamb, header joist, kick plate, kicker, king post, ladder
rail, lath, lattice, ledger strip, lintel, noggin, nosing, partition stud, pier block, plank, pony
stud, quarter round, queen post, rafter tail, rafter tie, rail cap, rail post, rake board, rake
rafter, ribbon, rod, rung, scab, screed, shear block, sheathing, shelf, shelf cleat, shim, shoe
plate, shore, siding, sister, sister joist, skirt, skirting, slat, spindle, splice, spreader, squash
block, stake, stall board, stool, strapping, subfloor, tail joist, threshold, tie beam, toe kick,
top rail, trim board, trimmer joist, truss, truss block, underlayment, vent block, waler, web
stiffener, wind brace
"""
"""Pieces that are seldom called (common practice); what is no countable thing has no plural."""
_NO_PLURAL = frozenset(
    "bridging cribbing deadwood flooring lath lattice nosing sheathing siding skirting strapping studding "
    "subfloor underlayment round".split()
)


def plural(word: str) -> str:
    """Return the plural of *word*: shelves, trusses, joists."""
    if word.endswith("f"):
        return f"{word[:-1]}ves"
    return f"{word}es" if word.endswith(("s", "ch", "sh", "x")) else f"{word}s"


def _seldom(name: str) -> str:
    """Return the forms of a piece that is seldom called."""
    *first, last = name.split()
    several = " ".join((*first, plural(last)))
    return f"{name}*0.1" if last in _NO_PLURAL else f"{name}*0.1, {several}*0.1"


_PIECES: Final = {
    **{name: _seldom(name) for name in " ".join(_SELDOM.split()).split(", ")},
    "stud": "stud*4, studs*4, std*0, stds*0",
    "king stud": "king stud, king studs, king, kings",
    "trimmer": "trimmer, trimmers, jack stud, jack studs, trm*0, trms*0, trmr*0, trmrs*0",
    "cripple": "cripple, cripples, crip*0.2, crips*0.2, cripple stud*0.3, cripple studs*0.3, "
    "top cripple*0.2, top cripples*0.2, bottom cripple*0.1, bottom cripples*0.1, sill cripple*0.2, sill cripples*0.2",
    "header": "header, headers, hdr*0, hdrs*0",
    "sill": "sill, sills, sill plate, sill plates",
    "rough sill": "rough sill, rough sills, saddle*0.2, saddles*0.1",
    "mud sill": "mud sill, mud sills",
    "sole plate": "sole plate, sole plates, bottom plate, bottom plates, sole*0.3, soles*0.2, btm plate*0, bp*0, bps*0",
    "top plate": "top plate, top plates, tp*0, tps*0",
    "cap plate": "cap plate, cap plates, cap*0.2, caps*0.1",
    "plate": "plate, plates, plt*0, plts*0, pl*0, pls*0",
    "rake plate": "rake plate, rake plates",
    "block": "block, blocks, blocking, blk*0, blks*0",
    "noggin": "noggin*0.1, noggins*0.1, nog*0.1, nogs*0.2",
    "fire block": "fire block, fire blocks, fire blocking*0.5",
    "joist": "joist, joists, jst*0, jsts*0",
    "floor joist": "floor joist, floor joists, fj*0, fjs*0",
    "ceiling joist": "ceiling joist, ceiling joists, cj*0, cjs*0",
    "rim": "rim, rims, rim joist, rim joists",
    "band joist": "band joist, band joists",
    "ledger": "ledger, ledgers, ledger board*0.3, ldgr*0",
    "backing": "backing",
    "nailer": "nailer, nailers",
    "cleat": "cleat, cleats",
    "furring": "furring, furring strip*0.3, furring strips*0.3",
    "gusset": "gusset, gussets",
    "spacer": "spacer, spacers",
    "brace": "brace, braces, bracing*0",
    "knee brace": "knee brace*0.3, knee braces*0.3",
    "strongback": "strongback*0.2, strongbacks*0.2",
    "sleeper": "sleeper*0.3, sleepers*0.3",
    "strut": "strut*0.2, struts*0.2",
    "girt": "girt*0.3, girts*0.3",
    "outrigger": "outrigger*0.3, outriggers*0.3",
    "bird block": "bird block*0.2, bird blocks*0.2, bird blocking*0.1",
    "ladder block": "ladder block*0.2, ladder blocks*0.2",
    "batten": "batten*0.3, battens*0.3",
    "soffit": "soffit*0.3, soffits*0.3",
    "frieze": "frieze*0.2, frieze board*0.1",
    "skirt board": "skirt board*0.2, skirt boards*0.2",
    "trim": "trim*0.3",
    "stop": "stop*0, stops*0",
    "picket": "picket*0.2, pickets*0.2",
    "sheet": "sheet*0.3, sheets*0.3",
    "common rafter": "common rafter, common rafters, common, commons",
    "hip rafter": "hip rafter, hip rafters, hip, hips",
    "valley rafter": "valley rafter, valley rafters, valley, valleys",
    "jack rafter": "jack rafter, jack rafters, hip jack*0.1, hip jacks*0.1, valley jack*0.1, valley jacks*0.1, "
    "cripple jack*0.1, cripple jacks*0.1",
    "rafter": "rafter, rafters, raft*0, rafts*0, rftr*0, rftrs*0",
    "barge rafter": "barge rafter, barge rafters",
    "fly rafter": "fly rafter, fly rafters",
    "gable stud": "gable stud, gable studs",
    "collar tie": "collar tie, collar ties, collar*0, collars*0",
    "ceiling tie": "ceiling tie*0.1, ceiling ties*0.1",
    "purlin": "purlin, purlins",
    "ridge": "ridge, ridges",
    "ridge board": "ridge board, ridge boards",
    "fascia": "fascia, fascias",
    "sub fascia": "sub fascia, sub fascias",
    "lookout": "lookout, lookouts, outlooker*0.1, outlookers*0.1",
    "stringer": "stringer, stringers, stair stringer*0.2, stair stringers*0.2",
    "tread": "tread, treads, stair tread*0.2, stair treads*0.2",
    "riser": "riser, risers",
    "casing": "casing, casings",
    "base": "base",
    "baseboard": "baseboard, baseboards",
    "decking": "decking, deck board, deck boards",
    "baluster": "baluster, balusters",
    "rail": "rail, rails, handrail*0.3, handrails*0.3",
    "newel": "newel, newels, newel post*0.3, newel posts*0.3",
    "post": "post, posts",
    "beam": "beam, beams, bm*0, bms*0",
    "girder": "girder*0.5, girders*0.5",
    "jamb": "jamb*0.5, jambs*0.5",
    **{
        each: f"{each}*0, {plural(each)}*0"
        for each in (
            *"upright crosspiece stile bearer packer chord buck curb strip filler".split(),
            *("post wrap", "beam wrap", "hanger board", "ridge post"),
        )
    },
}


def _with_joined(forms: dict[str, str]) -> dict[str, str]:
    """Return *forms* with those of two words in one word too, as some type them: fireblock."""
    said = {
        name: [each.split("*")[0].split() for each in text.split(",")]
        for name, text in forms.items()
    }
    taken = {" ".join(words) for several in said.values() for words in several}
    joined = {
        name: ["".join(words) for words in several if len(words) == 2]
        for name, several in said.items()
    }
    return {
        name: ", ".join([text, *(f"{each}*0" for each in joined[name] if each not in taken)])
        for name, text in forms.items()
    }


PIECES: Final = Table(_with_joined(_PIECES), hint="a piece")
PLATES_IN_SHORT: Final = Table({"top plate": "top", "sole plate": "bottom, btm*0"})
"""Plates without the word, beside a size: "2x6 bottom"."""
EITHER_PIECES: Final[Table[tuple[str, str]]] = Table({("trimmer", "jack rafter"): "jack, jacks"})
"""Words for a stud here and a rafter there: it asks."""
SHORT_PIECES: Final = frozenset(
    "block cleat spacer gusset shim cripple scab nailer backing backer stake splice sheet deadwood filler "
    "frieze kicker rung bracket".split()
)
"""Last words of pieces that may be a few inches long."""
LAST_WORDS: Final = frozenset(words[-1] for words in (*PIECES, *EITHER_PIECES))
PLURAL_PIECES: Final = LAST_WORDS & {plural(word) for word in LAST_WORDS}

# --- ends ----------------------------------------------------------------------------------------

PITCHED: Final[Table[Literal["plumb", "seat", "hip"]]] = Table(
    {"plumb": "plumb*4", "seat": "seat*2, level", "hip": "hip*2"}
)
EITHER_PITCHED: Final = Table({"heel": "heel"})
"""Some call the plumb face of a birdsmouth the heel cut, some the level one: it asks (common
practice).
"""
ANGLED: Final[Table[Literal["miter", "bevel"]]] = Table(
    {
        "miter": "miter*2, mitre*0, miters*0.3, mitres*0, mitered*0.5, miter cut*0.3, compound miter*0.2",
        "bevel": "bevel, bevels*0.2, beveled*0.3, bevel cut*0.3, bev*0",
    }
)
DEGREES: Final = Table({1: "degree, degrees, deg*0"}, hint="degrees")
REACHES: Final[Table[Literal["both", "one"]]] = Table(
    {
        "both": "both ends*4, each end, either end*0.3, on both ends*0.5, at both ends*0.3, on each end*0.2, both*0.2, ea end*0",
        "one": "one end*3, other end*0.3, the other end*0.3, on one end*0.5, on the other end*0.2, at one end*0.2",
    }
)
POINTS: Final[Table[Point]] = Table(
    {
        "long": "long point*4, to the long point, to long point*0.5, at the long point*0.2, "
        "long points*0.5, to long points*0, lp*0",
        "short": "short point*2, to the short point, to short point*0.5, at the short point*0.2, "
        "short points*0.5, to short points*0, sp*0",
    },
    hint="long point",
)
POINT_SIDES: Final[Table[Point]] = Table(
    {"long": "long, long point*0, lp*0", "short": "short, short point*0, sp*0"}
)
"""The points of "long to short"."""
POINT_PAIRS: Final[Table[tuple[Point, Point]]] = Table(
    {
        ("long", "long"): "ll*0, lp lp*0",
        ("long", "short"): "ls*0, lp sp*0",
        ("short", "short"): "ss*0, sp sp*0",
    }
)
END_LEADS: Final = Table(
    {"with": "with*2, with a*2, at a*0.2, at*0, with an*0.1, cut*0, w /*0, w / a*0"}
)
"""What an angle may begin with."""
CHEEKS: Final[Table[Literal["single", "double"]]] = Table(
    {"single": "single cheek", "double": "double cheek"}
)

# --- counts --------------------------------------------------------------------------------------

AMOUNTS: Final = Table(
    {
        2: "a pair*2, pair, a couple*2, couple, pr*0",
        6: "half a dozen, half dozen, a half dozen",
        12: "a dozen, dozen",
    }
)
"""Words for a number of pieces."""
VAGUE: Final = Table({"few": "a few", "bunch": "a bunch"})
"""Words for a number that are none: said, so that the refusal can ask for a number."""
COUNT_MARKS: Final = Table(
    {
        "at": "at*8, of them at*0.5, times*0.3, pieces at, pieces*1, more at*0.3, more*0.1, piece*0, each*0.2, each at*0.2, "
        "pcs*0, pc*0, ea*0, pcs at*0, pc at*0, ea at*0",
        "of": "of*3, pieces of, lengths of*0.2, more of*0.2, each of*0, pcs of*0, of these at*0.2, of those at*0.2",
    }
)
"""What stands between a count and its length."""
COUNT_LEADS: Final = Table(
    {
        "times": "times",
        "make": "make it",
        "need": "need, i need*0.5, qty*0, quantity*0.2, ea*0, pcs*0, pc*0",
    }
)
"""What stands before a count behind its length."""
COUNT_FIRST: Final = Table({"need": "need, make*0.2, qty*0, quantity*0.1, just*0.3, only*0.2"})
"""What stands before a count that nothing else follows but the length."""
COUNT_ENDS: Final = Table(
    {
        "pieces": "pieces, piece*0, pcs*0, pc*0, ea*0",
        "of them": "of them, of those*0.2, of these*0.2, of em*0, each*0.3, times*0",
    },
    hint="pieces",
)
"""What stands behind a count behind its length."""

# --- places --------------------------------------------------------------------------------------

ROOMS: Final = Table(
    {
        "room": "wall*3, window*2, door*2, opening, room, chase*0.1, niche*0.1, hatch*0.1, vent*0.1, cabinet*0.1, bay, gable, stair, porch, deck, line, garage, "
        "kitchen, bath, bathroom*0.3, bedroom, bed*0, hall, closet*0.5, loft*0.3, basement*0.3, dormer*0.3, landing*0.3, "
        "unit*0.2, suite*0, apartment*0, apt*0, bldg*0, walls*0, closets*0, windows*0.2, doors*0.2, pantry*0.2, office*0.2, shed*0.2, shop*0.3, attic*0.3, mud room*0.2, mudroom*0, patio*0.3, barn*0.3, laundry*0.3, stairs*0.3, stairwell*0.3, hallway*0.3, entry*0.3, foyer*0.2, den*0, nook*0.2, carport*0.2, roof*0.3, ceiling*0.2, eave*0.2, shower*0.2, tub*0.2, addition*0.2, slider*0.2, partition*0.2, floor*0.3, wdw*0, wdws*0, kit*0, rm*0, mbr*0, upstairs*0, downstairs*0, win*0, dr*0, drs*0, fl*0, flr*0, 1fl*0, 2fl*0, 3fl*0, bdrm*0, bedrm*0"
    }
)
HALF_ROOMS: Final = Table({"room": "half wall*0, half bath*0"})
"""Rooms whose name begins like a part of an inch: "38 half wall" asks."""
ROOMS_OF_TWO_WORDS: Final = Table(
    {
        "half": ", ".join(
            f"{side} half*0"
            for side in "front back rear left right top bottom upper lower north south east west other".split()
        ),
        "room": "lean to*0",
    }
)
"""Halves of a building, and a room of two words."""
NUMBERED_ROOMS: Final = frozenset(
    "wall window windows door doors opening room bay bedroom bed bath closet unit suite apartment apt bldg slider "
    "line".split()
)
"""Rooms that have numbers or a size: "window 36" may be one of 36 in."""
SINGLE_ROOMS: Final = frozenset(
    "stairs stairwell hallway entry foyer den carport roof ceiling attic garage basement laundry patio pantry "
    "addition mudroom barn".split()
)
"""Rooms that a house has one of: a number behind them is not theirs (common practice)."""
SIDES: Final = Table(
    {
        "side": "north, south, east, west, left, right, front, back, upper, lower, top, bottom, upstairs*0.3, downstairs*0.3, party*0.2, living*0.2, dining*0.2, family*0.2, master*0.2, rear*0.2, first*0.2, second*0.2, third*0.2, main*0.2, 1st*0, 2nd*0, 3rd*0, inside*0.2, outside*0.2"
    }
)
WALL_KINDS: Final = Table({"kind": "knee*2, pony*2, linen"})
"""Spoken right before a room these say which one: "knee wall". Typed, any word may."""
HANDS: Final = Table(
    {
        **{
            each: each for each in "left right north south east west front back upper lower".split()
        },
        "L": "l*0",
        "R": "r*0",
    }
)
"""Sides that a piece has by itself: "king left"; all but the letters name a place by themselves."""
PLACE_LEADS: Final = Table(
    {
        "the": "the, on the*0.5, in the*0.5, at the*0.2, on*0.3, in*0, under*0.3, under the*0.3, over*0, "
        "over the*0.3, above*0.2, above the*0, below*0, below the*0.2, behind*0, behind the*0.2, by the*0.2, next to*0.2, next to the*0.2"
    }
)
"""What a place without "for" may begin with."""
SPOTS: Final = Table(
    {
        "spot": "chimney*2, corner*3, corners*0.5, side, sides*0.2, fireplace, island*0.5, counter*0.5, "
        "sink*0, middle, center, skylight, gutter*0.3, flue*0, panel*0.3, column, wing*0, alcove*0, balcony*0, bar*0, "
        "bench*0, boiler*0, cellar*0, crawlspace*0, duct*0, furnace*0, lobby*0, pool*0, "
        "pump*0, ramp*0, shaft*0, stove*0, toilet*0, vanity*0.1, vestibule*0"
    }
)
"""What names a place and has no number: behind "at the" and its like, or typed beside a side."""
SPOTS_OF_ROOMS: Final = frozenset({"side", "sides", "middle", "center"})
"""Spots that name no place without what they are of."""
WHERE: Final[Table[str]] = Table(
    {
        "": "at, by, in*0, on*0, inside*0",
        **{
            each: each if each in ("under", "over", "above", "below", "behind") else f"{each}*0"
            for each in (
                "under over above below behind beside near along across around against between btwn to from".split()
            )
        },
        "next to": "next to, down to*0, up to*0, in front of*0, on top of*0, across from*0, left of*0, right of*0, north of*0, south of*0, east of*0, west of*0, foot of*0, head of*0",
    }
)
"""What a place of nouns begins with: "at the chimney"; all but the first are kept with it."""
LETTERS: Final = Table({"letter": "w*2, d, a, b"})
"""Letters a spoken place begins with: "w three" is W3."""

# --- sums ----------------------------------------------------------------------------------------

PLUS_MINUS: Final[Table[Literal[1, -1]]] = Table({1: "plus*2", -1: "minus*2, less*2"})
"""Between a length and what is added or taken off."""
OFF_A_LENGTH: Final[Table[Literal[1, -1]]] = Table(
    {-1: "under*2, shy of, short of, less than, off", 1: "over*2, past, more than"}
)
"""Between a small amount and the length it changes."""
SAW_CUTS: Final = Table({"kerf": "kerf*4, blade"})
"""What the saw takes off, as the crew set it: "less a kerf"."""
BURNING: Final = Table(
    {"burning": "burning*4, burned*0.4, burnt*0, burn*0.2"}, hint="burning an inch"
)

# --- corrections and orders ----------------------------------------------------------------------

CHANGE_LEADS: Final = Table(
    {
        "change": "no make that*3, make that*2, no*4, change it to*2, change that to, no make it*0.2, "
        "no change it to*0.2, no change that to*0.2, scratch that*0.5, no wait*0.5, wait no*0.3, "
        "wait*0.3, i mean*0.5, sorry*0.5, actually*0.5, correction*0.5, i meant*0.3, "
        "that should be*0.3, should be*0, shd be*0, change the last one to*0.3, make the last one*0.2, "
        "change that one to*0.2, that should have been*0.1, oops*0.2, my mistake*0.1, my bad*0.1, scratch that make it*0.2, nope*0.2, whoops*0.2, wrong*0.2, it should be*0.2, change last to*0.1, change the last to*0.1, change last one to*0.1, make that last one*0.1, fix that to*0.1, should've been*0.1, last one should be*0.1, the last one should be*0.1, the last should be*0.1,  i said*0.2, "
        "not that*0.2, change to*0.2"
    }
)
"""What a correction begins with."""
STRIKE_LEADS: Final = Table(
    {"strike": "cancel the, scratch the, strike the*0.3, delete the*0.2, remove the*0.2"}
)
"""Before the length of a row that is to go."""
ROW_ORDERS: Final[Table[Verb]] = Table(
    {
        "strike": "strike, scratch, cancel, delete*0.5, remove*0.3, drop*0, kill*0, lose*0",
        "hold": "hold",
        "release": "release*0.5",
        "skip": "skip*0.5",
        "clear": "clear*0.5",
        "clear all": "clear all of*0.2, clear all*0",
        "put back": "put back*0.5",
    }
)
"""Orders that may name a row: "hold row three"."""
ORDERS_ON_ROWS: Final[Table[Command]] = Table(
    {
        Command("clear"): "cut*0.5, i cut*0.1",
        Command(
            "clear all"
        ): "done with*0.2, finished*0.5, all done with*0, cut all of*0.1, i'm done with*0.1",
        Command(
            "hold"
        ): "hold off on*0.2, hold up on*0.1, put on hold*0.1, wait on*0.1, wait with*0.1, wait for*0",
        Command("release"): "let go of*0.1, take off hold*0.1",
        Command("put back"): "bring back*0.1",
        Command("skip"): "skip over*0.1",
        Command("strike"): "scrap*0.2, forget*0.2, forget about*0.1, never mind*0.1, "
        "take off*0.1, don't need*0.5, we don't need*0.1",
        Command("trouble", reason="short"): "short on*0.1, cut short on*0.1, too short on*0.1",
        Command("trouble", reason="long"): "long on*0.1, cut long on*0.1, too long on*0.1",
        Command("trouble", reason="wrong angle"): "wrong angle on*0.1, bad angle on*0.1",
        Command(
            "trouble", reason="bad stock"
        ): "bad board on*0.1, bad stock on*0.1, bad board for*0",
    }
)
"""Orders that the word "row" and its number follow: a bare number behind "cut" is a length."""
BEHIND_ROWS: Final[Table[Command]] = Table(
    {
        Command(
            "clear all"
        ): "done*0.3, is done*0.3, all done*0.1, is all done*0.1, is cut*0.3, cut*0.2, "
        "all cut*0.1, is all cut*0.1, finished*0.1, is finished*0.1, that's done*0.1, are done*0, are all done*0, "
        "are cut*0, are all cut*0, are finished*0",
        Command("hold"): "on hold*0.3, is on hold*0.1, can wait*0.1, hold*0, are on hold*0",
        Command("release"): "off hold*0.1, is off hold*0.1, can go*0.1",
        Command("strike"): "is scrap*0.1",
        Command(
            "trouble", reason="short"
        ): "too short*0.2, is too short*0.1, was too short*0.1, came out "
        "short*0.1, came out too short*0.1, cut short*0.1",
        Command(
            "trouble", reason="long"
        ): "too long*0.2, is too long*0.1, was too long*0.1, came out "
        "long*0.1, came out too long*0.1, cut long*0.1",
    }
)
"""Orders behind a row and its number: "row four is done"."""
AROUND_ROWS: Final[dict[tuple[str, str], Verb]] = {
    ("put", "on hold"): "hold",
    ("set", "aside"): "hold",
    ("take", "off hold"): "release",
    ("let", "go"): "release",
    ("take", "off"): "strike",
    ("take", "off the list"): "strike",
    ("put", "back"): "put back",
    ("put", "back on"): "put back",
    ("bring", "back"): "put back",
    ("put", "last"): "skip",
    ("cut", "last"): "skip",
}
"""Orders around a row: "put row three on hold"."""
LAST_CALLED: Final = Table(
    {
        "last": "that*2, that one*2, the last one*2, last one*0.3, the last row*0.3, last row*0, the last*0.3, last*0"
    }
)
"""The row called last, where an order or a change names it; at the saw the one in hand."""
SAID_OF_LAST: Final = Table(
    {
        "last": "that's*2, that was*2, that is*0.2, those are*0.5, those were*1, they're*1.5, these are*1, "
        "it's*1, it was*0.2, it is*0.1, that one's*1, that one is*0.3, that one was*0.1, the last one is*0.5, "
        "the last one was*0.3, last one is*0.1, last one was*0, last one's*0, the last one's*0"
    }
)
"""What says what the row called last is, where no length follows: "that's a two by four"."""
OF_THOSE: Final = Table({"those": "of those*2, of these*0.5, of them*1, of em*0, of that*0.2"})
"""Behind how many there are to be of the row called last."""
ROW_CHANGES: Final = Table({"change": "change*2, make, fix*0.2"})
"""What may stand before a row that is changed: "change row three to …"."""
SEND: Final = Table({"send": "send"})
LEFT_OVERS: Final = Table({"left-over": "left over, offcut*0.2, drop*0.2, leftover*0"})
BOARD: Final = Table({"board": "board*3, boards*0.3, lot*0.3"})
"""What is sent to another site: a board by its length, or by its number on the rack."""
SITE_WORDS: Final = Table({"site": "house*3, site*2, yard, lot"})
"""What the name of a site may have beside the words of a place, by voice."""
LOAD_ORDERS: Final = Table({"arrived": "arrived*2, is here", "refuse load": "refused*0.3"})
LOAD_LEADS: Final = Table({"refuse load": "refuse"})
"""What may stand behind "load" and its number, and before it."""
_STRIKES = ", ".join(
    [
        "scratch that*2, cancel that*1, strike that*1, cancel*0, forget that*0.5, never mind*0.5, forget it*0.2",
        *(
            f"{verb} {what}*{0.1 if what in ('the last one', 'it', 'that one', 'last one') else 0}"
            for verb in "scratch cancel strike delete remove drop kill lose scrap".split()
            for what in (
                "it",
                "that one",
                "the last one",
                "last one",
                "last",
                "the last",
                "the last row",
                "last row",
                "that last one",
                "the last call",
                *(["that"] if verb not in ("scratch", "cancel", "strike") else []),
            )
        ),
    ]
)
"""Orders to strike the row called last, with and without the article."""
COMMANDS: Final = Table(
    {
        Command("strike"): _STRIKES,
        Command("undo"): "undo, undo that",
        Command("redo"): "redo, redo that*0.2",
        Command("read back"): "say again, read it back, read that back, say that again*0.5, "
        "repeat that*0.3, what was that*0.2",
        Command(
            "same"
        ): "same again*2, same thing*0.3, ditto*0.2, another one*0.5, same as last*0.2, same as the last one*0.3, same as before*0.2",
        Command(
            "put back"
        ): "put it back, put that back, bring it back*0.2, bring that back*0.2, put that one back*0.2, put the last one back*0.1, bring that one back*0.1",
        Command("clear"): "next, next piece, next one, done, cut, that's cut, clear, clear it",
        Command("clear all"): "clear all",
        Command("answer", 1): "the first, first, the first one*0.5",
        Command("answer", 2): "the second, second, the second one*0.5",
        Command("answer", 3): "the third, third, the third one*0.3",
        Command("yes"): "yes*2, correct, yeah*0.5, yep*0.5, that's right*0.5",
        Command("no"): "no*2, nope*0.5",
        Command("listen"): "listen, resume, start listening*0.3",
        Command("pause"): "pause, stop, stop listening*0.3",
        Command("hold"): "hold, hold it",
        Command("release"): "release, release it*0.2",
        Command("skip"): "skip, skip it",
        Command(
            "how many"
        ): "how many left, how many, what's left*0.3, what is left*0.1, what's left to cut*0.2, "
        "what is left to cut*0.1, how many to go*0.1, how many more*0.1, how much is left*0.1, how much left*0.1, "
        "how many are left*0.1, how many left to cut*0.1, what do we have left*0.1, what do i have left*0.1,  whats left*0, whats left to cut*0, "
        "what's left on the list*0, what is left on the list*0, whats left on the list*0",
        Command(
            "what next"
        ): "what's next, what is next*0.1, what's the next one*0.1, whats next*0",
        Command("play"): "play it again",
        Command("total"): "total",
        Command("acknowledge"): "ten four*0",
        Command("arrived"): "the load is here*0.3, the load arrived*0.2, arrived*0.2",
        Command("refuse load"): "refuse the load*0.3, refuse load*0.1",
        Command("trouble", reason="short"): "cut short, too short",
        Command("trouble", reason="long"): "cut long, too long",
        Command("trouble", reason="wrong angle"): "wrong angle, bad angle",
        Command("trouble", reason="bad stock"): "bad stock, bad board",
    }
)

MORE_ALIKE: Final = Table(
    {
        "more": "same*0, of the same*0, the same*0, like that*0, like that one*0, like those*0, like the last*0, "
        "like the last one*0, same as last*0, same as the last*0, same as before*0, just like that*0"
    }
)
"""Behind how many more of the row called last are called."""
ALIKE: Final[Table[Literal["cut", "length"]]] = Table(
    {
        "cut": "same*0, the same*0, of the same*0, more of the same*0, same again*0, same thing*0, the same thing*0, "
        "same cut*0, same cuts*0, same piece*0, same pieces*0, same as last*0, same as the last*0, "
        "same as the last one*0, same as before*0, like the last*0, like the last one*0, ditto*0",
        "length": "same length*0, the same length*0, same lgth*0, same len*0",
    }
)
"""What says that a cut, or its length alone, is like the one called last, but for what else is
said.
"""
SAME_FOR: Final = Table({"same": "same*2, same again*2, the same*0.5, same thing*0.5"})
"""Before the place of a cut that is like the one called last: "same for w five"."""
LEFT_LEADS: Final = Table({"how many": "how many*0, how much*0, how many more*0"})
"""Before the piece or the size of which is asked how many are left."""
LEFT_OF_LEADS: Final = Table(
    {
        "how many": "what's left of*0, what is left of*0, whats left of*0, how many of*0, how much of*0, "
        "how many left of*0, how much left of*0, how much is left of*0, how many are left of*0"
    }
)
"""The same before "the" and what is asked about."""
OPEN_LEADS: Final = Table(
    {
        "how many": "what's left*0, whats left*0, what is left*0, what's open*0, whats open*0, what is open*0, "
        "what's still open*0, whats still open*0, show me what's left*0"
    }
)
"""The same before the words of the rows that are asked about: a wall, a room."""
LEFT_TRAILS: Final = Table(
    {
        "left": "left*0, are left*0, is left*0, left to cut*0, are left to cut*0, is left to cut*0, to go*0, "
        "to cut*0, do we have left*0, do i have left*0, have we got left*0, are there left*0"
    }
)
"""What may stand behind it."""

# --- words that change nothing -------------------------------------------------------------------

LEAD_INS: Final = Table(
    {
        "lead in": "give me*3, i need*3, need*0.5, cut me*2, i need a*0.3, i need to cut*0.2, gimme*0.3, get me, "
        "let's do, let's cut*0.2, i want*0.5, we need, i'll need*0.5, i'll take*0.3, "
        "next one is*0.5, next one*0.2, next is*0.2, next up*0.3, next*0.2, then*0.5, and then*0.3, and the*0.2, okay, "
        "ok*0, alright*0.3, all right*0.2, so*0.3, now*0.3, can i get*0.2, could i get*0.1, could you get me*0.1, yo*0, can you get me*0.1, can you cut me*0.1, cut*0, "
        "that's*0.3, it's*0.3, another*0.5, another at*0.2, one more at*0.1, one more*0, and one more*0, i got*0.2, i've got*0.2, you need*0.2, we'll need*0.2, also*0.3, "
        "call it*0.2, can you*0.2, could you*0.2, gonna need*0.2, i'm gonna need*0.2, hey*0.2, make me*0.2, "
        "give us*0.2, lemme get*0.2, let me get*0.2, grab*0.2, get*0, cut at*0, cut to*0, length*0.2, um, uh, well*0.2, "
        "i could use*0.2, make me up*0.1, how about*0.1, cut us*0.2, we want*0.2, you'll need*0.2, fellas*0.1, boys*0.1, "
        "listen up*4"  # what the attention word may be, too
    }
)
"""What a call may begin with."""
FILLERS: Final = Table({"filler": "please*2, um*2, uh*2, er*0, uhm*0, thanks*0.3, thank you*0.2"})
"""What may stand anywhere."""

# --- boards for the rack, and rows that others are made from -------------------------------------

BOARD_LEADS: Final = Table({"rack": "rack*0.3, put*2, add*2, load*0.5"})
"""What boards for the rack may begin with; "footers" or the rack is named as well."""
BOARDS_CAME: Final = Table(
    {
        "rack": "got*2, we got*2, we have*0.5, i have*0.3, we've got*0.5, just got*0.3, picked up*0.2, "
        "we picked up*0.2, bought*0.2, we bought*0.1, there's*0.2, there are*0.2, delivery*0.1, stock*0"
    }
)
"""What says by itself that boards came, and no cut is called."""
BOARDS_PERHAPS: Final = Table({"rack": "i got*0.5, i've got*0.3, i picked up*0.1"})
"""What a cut may begin with as well: boards follow by the name lumber has, "two by six sixteens"."""
BOARD_TRAILS: Final = Table(
    {"rack": "on the rack*3, to the rack, in the rack*0.3, for the rack*0.5, onto the rack*0.5"}
)
"""What says behind them that they are for the rack."""
PRICE_LEADS: Final = Table({"price": "at*2, for, $*0, at $*0, for $*0"})
PRICE_ENDS: Final = Table(
    {"each": "each*2, apiece*0.5, a piece*0.5, a board*0.5, ea*0, per board*0.3"}
)
MONEY: Final = Table({"dollars": "dollars*2, dollar*0.5, bucks*0.3", "cents": "cents, cent*0.2"})
BAD_PARTS: Final = Table({"bad": "bad from*2, bad*0.5, with a bad part from*0.2"})
SAME_AS: Final = Table(
    {
        "same": "same as*2, the same as*0.5, like*0.3, same*0.3, same but*0.5, same again but*0.3, the same but*0.3, "
        "same thing*0.3, same thing but*0.3, the same thing but*0.1, another one*0.2, another one but*0.1, one more but*0.1"
    }
)
"""Before a row whose piece is called again with another length."""
LAST_ROW: Final = Table(
    {"last": "the last one*2, the last, last*0.2, last one*0.2, that one*0.5, before*0.3, it*0.2"}
)
CHANGED_BY: Final[Table[Literal[1, -1]]] = Table({1: "longer*2, more", -1: "shorter*2, less"})
LONGER: Final[Table[Literal[1, -1]]] = Table({1: "longer*2", -1: "shorter*2"})
"""What says of itself that a length is changed."""
MAKES_IT: Final = Table(
    {
        "make": "make it*2, make that*2, cut it*0.5, make the last one*0.2, make that one*0.2, make them*0.2, make those*0.2, that should be*0.1, no make it*0.2, no make that*0.1"
    }
)
"""Before how much longer the row called last is to be."""
TAKES: Final[Table[Literal[1, -1]]] = Table({1: "add", -1: "take*2, knock*0.7"})
"""Before what a row gains or loses: "take a quarter off row four"."""
TAKEN: Final[dict[int, Table[str]]] = {
    1: Table({"last": "to that*2, to it, to that one*0.5, to the last one*0.5"}),
    -1: Table(
        {
            "last": "off*2, off that*2, off of that*0.2, off it, off that one*0.5, off the last one*0.5"
        }
    ),
}
"""Behind it, where it is the row called last."""
TAKEN_OF: Final[dict[int, str]] = {1: "to", -1: "off"}
"""Behind it, before "row" and its number."""

# --- sets of cuts --------------------------------------------------------------------------------

SETS: Final[Table[Framing]] = Table(
    {
        "rafters": "rafters*5, rafter*0, common rafters*0.5",
        "hips": "hips*2, hip*0, hip rafters*0.5",
        "valleys": "valleys*0.5, valley*0, valley rafters*0.5",
        "jacks": "jacks*2, hip jacks*0.5",
        "valley jacks": "valley jacks*0.5",
        "cripple jacks": "cripple jacks*0.5",
        "valley cripples": "valley cripples*0.3",
        "gable studs": "gable studs",
        "rake wall": "rake wall*0.5",
        "wall": "wall*5",
        "floor": "floor*2",
        "deck": "deck",
        "stairs": "stairs*3, stair*0",
    }
)
LENGTH_MEASURES: Final = Table(
    {
        name: name
        for name in "span run overhang fascia ridge plate spacing length rake hip high rise width thick drop "
        "well deck board gap cantilever".split()
    }
    | {"spacing": "spacing*2, joists at*0.3"},
    hint="a measure",
)
"""Measures of sets that are lengths, each once in a call."""
CENTERS: Final = Table(
    {
        "centers": "on center*4, on centers, centers*0.5, center to center*0.2, on centre*0, "
        "on centres*0, centres*0, o c*0.3, oc*0"
    }
)
"""Behind a spacing: "sixteen on center"."""
NUMBER_MEASURES: Final = Table(
    {
        "stringers": "stringers",
        "blocking": "blocking",
        "landings": "landings*0.5, landing*0",
        "posts": "posts*0.5",
    }
)
"""Measures of sets that are counted, each once in a call."""
PITCHES: Final[Table[Literal["pitch", "end_pitch"]]] = Table(
    {"pitch": "pitch*4", "end_pitch": "end pitch"}
)
COMMONS: Final = Table({False: "commons", True: "between commons"})
"""What the commons of a hip roof are, and whether the hip is framed between them."""
OPENINGS: Final = Table({"opening": "door, window, opening"})
SIZES: Final = Table({each: each for each in "wide high long sill at from deep".split()})
"""What stands before or behind the measures of an opening or a header."""
HEADER: Final = Table({"header": "header"})
OPENING_SIDES: Final[Table[Literal["trimmers", "kings"]]] = Table(
    {"trimmers": "trimmers", "kings": "kings"}
)
BEAM: Final = Table({"beam": "beam*0.5"})
PLIES: Final = Table({1: "single", 2: "double*3", 3: "triple"})
PLY: Final = Table({1: "ply, plies*0.5"})
MEETINGS: Final[Table[Literal["corners", "butts"]]] = Table(
    {"corners": "corner, corners*0.2", "butts": "butt*0.5, butts*0.2"}
)
"""How a wall meets another at its ends."""
MEETING_SIDES: Final[Table[tuple[str, ...]]] = Table(
    {("left",): "left", ("right",): "right", ("left", "right"): "both"}, hint="left"
)
PARTITION: Final = Table({"partition": "partition"})
STOPS: Final[Table[Literal["tees", "backing"]]] = Table({"tees": "tee at", "backing": "backing at"})
"""What stands somewhere along a wall, or at a height."""


_NO_QUALIFIERS = (
    *(UNITS, DENOMINATORS, DENOMINATOR_PLURALS, NOUGHT, ALLOWANCES, LEADING_ALLOWANCES),
    *(LEADING_SLIGHT, SLIGHT, EXACT, LEADING_EXACT, PLUS_MINUS, OFF_A_LENGTH, BURNING, AMOUNTS),
    *(VAGUE, COUNT_MARKS, COUNT_LEADS, COUNT_FIRST, COUNT_ENDS, POINTS, POINT_SIDES, POINT_PAIRS),
    *(ANGLED, PITCHED, EITHER_PITCHED, DEGREES, REACHES, CHEEKS, CHANGE_LEADS, STRIKE_LEADS),
    *(ROW_ORDERS, ROW_CHANGES, COMMANDS, SAME_AS, LAST_ROW),
    *(FOOTERS, BOARD_LEADS, BOARDS_CAME, BOARD_TRAILS, SEND, LOAD_ORDERS, FILLERS),
)
MEANS_MORE: Final = frozenset().union(
    *(table.words() for table in _NO_QUALIFIERS if isinstance(table, Table)),
    (
        words[0]
        for table in (PIECES, NOTES, MATERIALS, TREATED)
        for words in table
        if len(words) == 1
    ),
    *(ONES, TENS, PLURALS),
    "hundred thousand point buck with for by to row than is square cut between twice kerf fewer".split(),
)
"""Words that say more than what a piece is for: none of them is kept as it was typed."""
MAY_CHANGE: Final = frozenset(
    "about again all almost another any apiece approx approximately big bigger change count cut cuts deep deeper "
    "different divided double doubles down dual duplicate dupe either every everything except extra fewer few "
    "full ganged half halved height high higher laminated lengthen less little longer longest lower many "
    "matched matching mating max maximum maybe measure measures min minimum mirrored missing more most "
    "multiple nearly neither none other oversize oversized overall pair paired pairs per plus quad quads "
    "gross score trio bunch bundle bundles bunk bunks pack packs crate crates stack stacks pile piles lift lifts "
    "load loads lineal linear lft bft yds yard yards quadruple remaining roughly same set sets several shorten shorter shortest single sistered size sized "
    "small smaller some spare stacked subtract sum tall taller third total trim trimmed tripled twin twinned "
    "twins undersize undersized up wide wider thick thicker thin thinner narrow wrong".split()
)
"""Words of no table that may say how long, how many or of which size: they are always asked about."""
QUALIFYING: Final = frozenset(
    "allowance apart ballpark circa circumference clearance deep degs depth diagonal gap gaps generous ish margin "
    "mark marks nominal number perimeter pitch run slope spacing tape unit units lengths cubits hands links paces rods "
    "spans boards check guess perhaps possibly probably recheck remeasure tbd tentative unsure dud ignore junk omit "
    "scrap void cutoff leftover offcut precut remnant waste blade notch notched ripped ripping ait ate fore nein sevn "
    "sicks tin tow won thrice whisker smidge smidgen handful tad skosh bit touch reversed tapered turned "
    "flipped".split()
)
"""Words that may say of a length behind which they stand how sure it is, what it measures, in what, or
what is to be done with it, or are like a number by ear: they are asked about there.
"""
PLACE_NAMES: Final = frozenset(
    "bars bearing brick bypass cased chimney clg cooler exterior ext face feed fireplace front garden grab guest int interior joint joints knee lean linen main master od party plumbing pocket pony "
    "fire foyer grid head hvac mech mud powder rake rear rung sewer shear sliding stairwell stall stem storage tack tail tee tees tile "
    "towel tub utility zone".split()
)
"""Typed words that say which room, wall or opening it is, and nothing of a cut (common practice)."""
COUNTING: Final = frozenset("both each every all pair pairs dozen".split())
"""Words of a place that say that there are several: "both windows"."""
SENTENCE_WORDS: Final = frozenset(
    "and as at because been being but can could did do does from had has have he her here his how i if is "
    "it its may me might must my never no nor not of off or our past plies ply shall she should so than that the "
    "their them then there these they this those till to until us was we were what when where which while "
    "who whom whose why will with without would yes you your".split()
)
"""Words that make a sentence: none of them is kept as it was typed."""
DENYING: Final = frozenset(
    "no not nor never none neither without except but or wait scratch forget mind sorry actually "
    "mean meant wrong instead isnt arent dont don't doesnt doesn't isn't aren't".split()
)
"""Typed words that deny, correct or leave open what stands beside them."""
TELLING: Final = frozenset("used broke broken ordered swap swapped moved took sent wants".split())
"""Typed words that tell what became of pieces and boards: what stands beside them is no call."""
