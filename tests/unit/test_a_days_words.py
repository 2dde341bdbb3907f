"""The words of a whole day: ordinary calls, typed as crews write them, each with what it means (common practice).

A call of :data:`DAY` is right, or asks with the right one among its readings; it is never refused
and never taken for another one.
"""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Change, Command, Reading, read
from cutmemo.wording import explain_error

# what was typed | count × inches | section | piece | place | the rest, as the list shows it
DAY = """
92-5/8 | 92-5/8
92 5/8 | 92-5/8
101-1/2" | 101-1/2
7' 8-5/8" | 92-5/8
7'-8 5/8" | 92-5/8
14-1/2 | 14-1/2
36 | 36
36 even | 36
exactly 36 | 36
dead 48 | 48
48 on the dot | 48
60-1/4 on the button | 60-1/4
rip 3-1/2 | 3-1/2 | | | | rip
22-9/16 | 22-9/16
8' | 96
8 ft | 96
8ft. 2-3/16in. | 98-3/16
ten foot ten and five eighths | 130-5/8
one oh one and a half | 101-1/2
a hundred and a half | 100-1/2
forty-two and three-eighths | 42-3/8
thirty-six and one-half | 36-1/2
inch and a half | 1-1/2
three and a half | 3-1/2
half an inch | 1/2
three quarters of an inch | 3/4
5/8 | 5/8
foot and a half | 18 ?
4 @ 14-5/8 | 4 × 14-5/8
4 at 14-5/8 | 4 × 14-5/8
6 pcs 22-1/2 | 6 × 22-1/2
6 pcs @ 22-1/2 | 6 × 22-1/2
(6) 22-1/2 | 6 × 22-1/2
3 ea 36-1/4 | 3 × 36-1/4
3ea 36-1/4 | 3 × 36-1/4
36-1/2 ea 3 | 3 × 36-1/2
36-1/2 3 pcs | 3 × 36-1/2
36-1/2 (3) | 3 × 36-1/2
36-1/2 x 3 | 3 × 36-1/2
3x36-1/2 | 3 × 36-1/2
36-1/2 times 3 | 3 × 36-1/2
a pair at 40-1/2 | 2 × 40-1/2
a dozen at 14-1/2 | 12 × 14-1/2
half a dozen of 22-1/2 | 6 × 22-1/2
both at 37 | 2 × 37
need six at 92-5/8 | 6 × 92-5/8
i need 6 at 92-5/8 | 6 × 92-5/8
give me four at 36 | 4 × 36
gimme 2 at 19-1/4 | 2 × 19-1/4
cut me two at 16-1/2 | 2 × 16-1/2
okay, 4 at 30-1/2 | 4 × 30-1/2
then 88-1/4 | 88-1/4
next one 71-1/2 | 71-1/2
i need a 47-3/8 | 47-3/8
um, 61-5/8 please | 61-5/8
36-1/4 please | 36-1/4
let's do 3 at 52 | 3 × 52
another 36-1/4 | 36-1/4
two forty twos | 2 × 42
four fourteen and a halfs | 4 × 14-1/2
92-5/8 2x4 | 92-5/8 | 2x4
92-5/8 2x4 stud | 92-5/8 | 2x4 | stud
2x4 92-5/8 | 92-5/8 | 2x4
2x4 @ 92-5/8 | 92-5/8 | 2x4
2x4x96 | 96 | 2x4
2x4 x 96 | 96 | 2x4
2x6x14' | 168 | 2x6
two by four by ninety six | 96 | 2x4
two by six by fourteen | 168 | 2x6 | ?
2x6x14 | 168 | 2x6 | ?
2x10 16' | 192 | 2x10
6 pcs 2x6 x 14' | 6 × 168 | 2x6
6 2x6 x 14' | 6 × 168 | 2x6
(6) 2x6 @ 93-1/2 | 6 × 93-1/2 | 2x6
2-2x10 @ 51 | 2 × 51 | 2x10
8 2x4 studs 92-5/8 | 8 × 92-5/8 | 2x4 | stud
8 studs at 92-5/8 | 8 × 92-5/8 | | stud
8 2x4 studs @ 104-5/8 | 8 × 104-5/8 | 2x4 | stud
two by four at ninety three | 93 | 2x4
two by four at ninety-three | 93 | 2x4
six one by sixes at 30 | 6 × 30 | 1x6
two two by fours at 92-5/8 | 2 × 92-5/8 | 2x4
2x4 - 92-5/8 | 92-5/8 | 2x4
2 by 4 at 36-1/2 | 36-1/2 | 2x4
5/4x6 36-1/2 | 36-1/2 | 5/4x6
five quarter by six 40-1/2 | 40-1/2 | 5/4x6
treated 2x6 93 | 93 | 2x6 treated
2x6 treated 93 | 93 | 2x6 treated
PT 2x6 93 | 93 | 2x6 treated
2x6 PT mud sill 143-1/2 | 143-1/2 | 2x6 treated | mud sill
pressure treated 4x4 post 91 | 91 | 4x4 treated | post
1-3/4x11-7/8 LVL 144 | 144 | 1-3/4x11-7/8 LVL
1-3/4 x 9-1/2 LVL header 75 | 75 | 1-3/4x9-1/2 LVL | header
2 @ 75 1-3/4x11-7/8 LVL | 2 × 75 | 1-3/4x11-7/8 LVL
2 @ 75-1/2 LVL header | 2 × 75-1/2 | LVL | header
rim board 142 | 142 | rim board
glulam beam 15' 6" | 186 | glulam | beam
14' I-joist | 168 | I-joist
2x10 cedar 93 | 93 | 2x10 | | | cedar
2x4 SPF stud 92-5/8 | 92-5/8 | 2x4 | stud | | SPF
4x4 doug fir post 96 | 96 | 4x4 | post | | fir
#2 2x10 joist 143 | 143 | 2x10 | joist | | #2
two ply header 75 | 75 ? | | header | | 2 ply
2-ply 2x10 header 75 | 75 ? | 2x10 | header | | 2 ply
36 header | 36 | | header
36-1/2 hdr | 36-1/2 | | header
14-1/2 crip | 14-1/2 | | cripple
6 crips at 13-1/4 | 6 × 13-1/4 | | cripple
12 blks @ 14-1/2 | 12 × 14-1/2 | | block
14-1/2 fire block | 14-1/2 | | fire block
6 fire blocks at 14-1/2 | 6 × 14-1/2 | | fire block
93-1/2 king | 93-1/2 | | king stud
80-1/2 trimmer | 80-1/2 | | trimmer
2 jack studs at 80-1/2 | 2 × 80-1/2 | | trimmer
37 rough sill | 37 | | rough sill
37-1/2 sill plate | 37-1/2 | | sill
143 top plate | 143 | | top plate
2 top plates at 143 | 2 × 143 | | top plate
2 sole plates at 96 | 2 × 96 | | sole plate
2 hip rafters at 219-1/8 | 2 × 219-1/8 | | hip rafter
two hips at 180 | 2 × 180 | | hip rafter
two valleys at 175-1/2 | 2 × 175-1/2 | | valley rafter
165-3/4 common | 165-3/4 | | common rafter
10 commons at 165-3/4 | 10 × 165-3/4 | | common rafter
collar tie 88 | 88 | | collar tie
4 collar ties at 88 | 4 × 88 | | collar tie
ledger 141 | 141 | | ledger
2x10 ledger 141 | 141 | 2x10 | ledger
floor joist 143-1/4 | 143-1/4 | | floor joist
9 floor joists at 143-1/4 2x10 | 9 × 143-1/4 | 2x10 | floor joist
ceiling joist 139 | 139 | | ceiling joist
band joist 144 | 144 | | band joist
rim joist 141 | 141 | | rim
gable stud 43-1/2 | 43-1/2 | | gable stud
rake plate 101-1/4 | 101-1/4 | | rake plate
barge rafter 171 | 171 | | barge rafter
fly rafter 171 | 171 | | fly rafter
purlin 96 | 96 | | purlin
ridge board 192 | 192 | | ridge board
sub fascia 187-1/2 | 187-1/2 | | sub fascia
nailer 44-1/2 | 44-1/2 | | nailer
backing 22-1/2 | 22-1/2 | | backing
cleat 16 | 16 | | cleat
furring strip 93 | 93 | | furring
gusset 14 | 14 | | gusset
decking 121-1/2 | 121-1/2 | | decking
16 deck boards at 121-1/2 | 16 × 121-1/2 | | decking
30 balusters at 33-3/4 | 30 × 33-3/4 | | baluster
rail 71-1/8 | 71-1/8 | | rail
newel post 41 | 41 | | newel
baseboard 57-3/16 | 57-3/16 | | baseboard
casing 81-1/4 | 81-1/4 | | casing
stringer 139 2x12 | 139 | 2x12 | stringer
11 treads at 36 | 11 × 36 | | tread
5 risers at 36 | 5 × 36 | | riser
tread 36-1/4 | 36-1/4 | | tread
36-1/2 strong | 36-1/2 | | | | strong
36-1/2 heavy | 36-1/2 | | | | heavy
36-1/2 shy | 36-1/2 | | | | shy
36-1/2 a hair under | 36-1/2 | | | | a hair under
strong 36 | 36 | | | | strong
just under 40 | 40 | | | | a hair under
a hair under thirty six | 36 | | | | a hair under
thirty six and a strong quarter | 36-1/4 | | | | strong
a strong quarter | 1/4 | | | | strong
36 full | 36 | | | | full
36-1/4 leave the line | 36-1/4 | | | | leave the line
36 plus a sixteenth | 36-1/16
36 less an eighth | 35-7/8
an eighth under forty | 39-7/8
a sixteenth shy of 40 | 39-15/16
thirty six minus three and a half | 32-1/2
36 less an inch | 35
forty eight minus inch and a half | 46-1/2
14-1/2 + 3-1/2 | 18
48 - 1-1/2 | 46-1/2
36 1/2 - 1/8 | 36-3/8
37-3/4 plus a kerf | 37-7/8
half of 73 | 36-1/2
36 plus one and a half | 37-1/2
half an inch under 40 | 39-1/2
36 45 both ends long to long | 36 | | | | 45° miter long point both ends
36 forty five degrees both ends long to short | 36 | | | | 45° miter long point · 45° miter short point
36 45° both ends LL | 36 | | | | 45° miter long point both ends
36 45 deg both ends long to long | 36 | | | | 45° miter long point both ends
36-1/2 45° miter long point | 36-1/2 | | | | 45° miter long point · square
36-1/2 @ 45° long point | 36-1/2 | | | | 45° miter long point · square
36-1/2 22.5° mitre to the long point | 36-1/2 | | | | 22.5° miter long point · square
36 with forty fives long to long | 36 | | | | 45° miter long point both ends
36 with a forty five long point | 36 | | | | 45° miter long point · square
57 30 degree bevel both ends long to long | 57 | | | | 30° bevel long point both ends
165-3/4 plumb cut 7/12 long point | 165-3/4 | | | | plumb 7/12 long point · square
165-3/4 7:12 plumb long point | 165-3/4 | | | | plumb 7/12 long point · square
165-3/4 seven twelve plumb to the long point | 165-3/4 | | | | plumb 7/12 long point · square
165-3/4 plumb 7.5/12 long point | 165-3/4 | | | | plumb 7-1/2/12 long point · square
165-3/4 plumb 7-1/2/12 long point | 165-3/4 | | | | plumb 7-1/2/12 long point · square
165-3/4 plumb seven and a half twelve long point | 165-3/4 | | | | plumb 7-1/2/12 long point · square
165-3/4 plumb cut 30° long point | 165-3/4 | | | | plumb 30° miter long point · square
165-3/4 22.5 degree plumb long point | 165-3/4 | | | | plumb 22.5° miter long point · square
36 square both ends | 36
36 square one end | 36
38-1/4 birdsmouth rafter | 38-1/4 | | rafter | | birdsmouth
61-5/16 2x6 for W3 north king L | 61-5/16 | 2x6 | | W3 north king L
36 for W3 north, king L | 36 | | | W3 north, king L
93-1/2 king for W3 | 93-1/2 | | king stud | W3
93-1/2 king for W3 north | 93-1/2 | | king stud | W3 north
93-1/2 king for the north wall | 93-1/2 | | king stud | north wall
93-1/2 king W3 | 93-1/2 | | king stud | W3
93-1/2 king north wall | 93-1/2 | | king stud | north wall
93-1/2 king, W3 north | 93-1/2 | | king stud | W3 north
93-1/2 king L | 93-1/2 | | king stud | L
37 sill window 2 | 37 | | sill | window 2
37 sill for window 2 left | 37 | | sill | window 2 left
36-1/2 for bedroom 2 | 36-1/2 | | | bedroom 2
36-1/2 for bed 2 | 36-1/2 | | | bed 2
36-1/2 for garage door | 36-1/2 | | | garage door
36-1/2 for W3 stud | 36-1/2 | | stud | W3
36-1/2 for front door header | 36-1/2 | | header | front door
36-1/2 for W3 leave the line | 36-1/2 | | | W3 | leave the line
2400 mm | 94-62/127
2438mm | 95-125/127
2.4 m | 94-62/127
60 cm | 23-79/127
two metres forty | 94-62/127
45 mil | 1-98/127
4 at 6' 8-1/2" 2x4 trimmer W2 | 4 × 80-1/2 | 2x4 | trimmer | W2
6 2x6 studs 92 5/8 for W1 | 6 × 92-5/8 | 2x6 | stud | W1
twelve at fourteen and a half 2x4 block | 12 × 14-1/2 | 2x4 | block
3 at 45-3/8 2x10 header for window 1 | 3 × 45-3/8 | 2x10 | header | window 1
90-1/2 - 8 pcs | 8 × 90-1/2
qty 8 90-1/2 | 8 × 90-1/2
a pair of 61s | 2 × 61
three 61's | 3 × 61
a dozen 14-1/2 blocks | 12 × 14-1/2 | | block
10 92-5/8 2x4s | 10 × 92-5/8 | 2x4
only two at 30-1/2 | 2 × 30-1/2
one more 30-1/2 | 30-1/2
blocks: 18 @ 14-1/2 | 18 × 14-1/2 | | block
studs: 22 @ 92-5/8 2x6 | 22 × 92-5/8 | 2x6 | stud
2"x6" 92-5/8 | 92-5/8 | 2x6
2x6: 30-1/2 | 30-1/2 | 2x6
PT ledger 2x8 @ 12' | 144 | 2x8 treated | ledger
3 6x6 posts at 100-1/4 treated | 3 × 100-1/4 | 6x6 treated | post
4x10 df beam 138 | 138 | 4x10 | beam | | fir
LVL 1-3/4x9-1/2 75 | 75 | 1-3/4x9-1/2 LVL
9-1/2 I-joist 14'-2" | 170 | 9-1/2 I-joist
1/2 plywood 36 | 36 | 1/2 plywood
2 @ 24 x 48 3/4 plywood | 2 × 48 ? | 3/4 plywood | | | 24" wide
15-1/2 x 48 plywood | 48 ? | plywood | | | 15-1/2" wide
3 @ 4 x 8 plywood | 3 × 96 ? | plywood | | | 48" wide
36 1/2 plywood | 36 ? | 1/2 plywood
double 2x10 header 39 | 39 ? | 2x10 | header | | double
52 just shy | 52 | | | | a hair under
41-3/8 45's long to long | 41-3/8 | | | | 45° miter long point both ends
41-3/8 45 45 long to long | 41-3/8 | | | | 45° miter long point both ends
41-3/8 mitered both ends 45 long to long | 41-3/8 | | | | 45° miter long point both ends
a 30-1/2 header | 30-1/2 | | header
nine and a half inch lvl 12' | 144 | 9-1/2 LVL
41-3/8 lp 45 | 41-3/8 | | | | 45° miter long point · square
41-3/8 both ends at 45 long to long | 41-3/8 | | | | 45° miter long point both ends
41-3/8 22-1/2° both ends lp to lp | 41-3/8 | | | | 22.5° miter long point both ends
88 single cheek plumb 8/12 lp | 88 | | | | plumb 8/12 single cheek long point · square
165-3/4 hip 7-1/2/12 lp | 165-3/4 | | | | hip 7-1/2/12 long point · square
97-1/8 less three plates | 92-5/8 ?
36 less a plate | 34-1/2
a third of 12' | 48
closet stud 92-5/8 | 92-5/8 | | stud | closet
9 closet studs 92-5/8 | 9 × 92-5/8 | | stud | closet
36 wall nailer for W2 | 36 | | nailer | W2 wall
door header 38 for W2 | 38 | | header | W2 door
30-1/2 upstairs bath | 30-1/2 | | | upstairs bath
30-1/2 for porch, left side | 30-1/2 | | | porch, left side
30-1/2 (W4) | 30-1/2 | | | W4
W4: 30-1/2 | 30-1/2 | | | W4
king L 92-5/8 | 92-5/8 | | king stud | L
36 2x4. | 36 | 2x4
could you cut me a 30-1/2 | 30-1/2
three and a half metres | 137-101/127
half a metre | 19-87/127
three 57-3/4s | 3 × 57-3/4
give me three 57-3/4 | 3 × 57-3/4
33 x5 | 5 × 33
5x 33 | 5 × 33
header 39 x 2 | 2 × 39 | | header
header 39 x 7 | 7 × 39 | | header
39 x 2 | 2 × 39 ?
cleat 39 x 2 | 2 × 39 ? | | cleat
ceiling joists 166 x 12 | 12 × 166 | | ceiling joist
41" of 2x4 | 41 | 2x4
3 2x6's @ 77-1/2 | 3 × 77-1/2 | 2x6
a 2x6 at 77-1/2 | 77-1/2 | 2x6
4 - 2x6 @ 33 | 4 × 33 | 2x6
2x6 no. 2 61-3/8 | 61-3/8 | 2x6 | | | #2
3/4 ply 24 x 96 | 96 ? | 3/4 plywood | | | 24" wide
LVL header 1-3/4x9-1/2 99 | 99 | 1-3/4x9-1/2 LVL | header
I-joist 11-7/8 18'-2" | 218 | 11-7/8 I-joist
40 lp to sp 45 | 40 | | | | 45° miter long point · 45° miter short point
40, 45 on one end, long point | 40 | | | | 45° miter long point · square
40 w/ 45 on both ends long to long | 40 | | | | 45° miter long point both ends
40 45 lp both | 40 ? | | | | 45° miter long point both ends
8 solid blocks 14-1/2 | 8 × 14-1/2 | | block | | solid
soffit nailer 36 | 36 | | nailer | soffit
2nd floor stud 36 | 36 | | stud | 2nd floor
fireblocks 14-1/2 x 6 | 6 × 14-1/2 | | fire block
W1 top plate 36 | 36 | | top plate | W1
44-1/4 + a hair | 44-1/4 | | | | plus a hair
36 less the blade | 35-7/8
and a 30-1/2 | 30-1/2
and 33 | 33
and 3 at 57-3/4 | 3 × 57-3/4
""".strip().splitlines()


def inches(text: str) -> F:
    whole, _, part = text.partition("-")
    return F(whole) + (F(part) if part else 0)


def shown(cut: Cut) -> tuple[int, F, str, str, str, str]:
    rest = [str(cut.allowance or ""), cut.ends_shown(), cut.note or ""]
    return (
        cut.count,
        cut.length.inches,
        str(cut.section or ""),
        cut.piece or "",
        cut.place or "",
        " ".join(part for part in rest if part),
    )


def meant(line: str) -> tuple[str, tuple[int, F, str, str, str, str], bool]:
    """Return what was typed, what it means, and whether it may ask."""
    typed, length, *rest = (part.strip() for part in line.split("|"))
    asks = "?" in (length + "".join(rest))
    count, _, inch = length.rstrip(" ?").rpartition("×")
    section, piece, place, more = (*(part.rstrip(" ?") for part in rest), "", "", "", "")[:4]
    return typed, (int(count or 1), inches(inch.strip()), section, piece, place, more), asks


def readings(typed: str) -> tuple[Reading, ...]:
    return read(typed, Settings())


@pytest.mark.parametrize("line", DAY)
def test_a_days_words_are_read(line: str) -> None:
    typed, expected, asks = meant(line)
    found = readings(typed)
    cuts = [shown(each.intent) for each in found if isinstance(each.intent, Cut)]
    assert expected in cuts, cuts
    if not asks:
        assert cuts == [expected]
        assert not found[0].doubts, found[0].doubts
    else:
        assert len(cuts) > 1 or found[0].doubts


@pytest.mark.parametrize(
    ("typed", "intent"),
    [
        ("no wait, 37", Change(length=None)),
        ("actually 37", Change(length=None)),
        ("i mean 37", Change(length=None)),
        ("sorry, 37", Change(length=None)),
        ("correction 37", Change(length=None)),
        ("no, make that 37", Change(length=None)),
        ("correction: 37", Change(length=None)),
        ("oops, 37", Change(length=None)),
        ("delete that", Command("strike")),
        ("never mind", Command("strike")),
        ("another one", Command("same")),
        ("same thing", Command("same")),
        ("yeah", Command("yes")),
        ("2 more", Command("more", 2)),
    ],
)
def test_corrections_and_orders_in_a_days_words(typed: str, intent: object) -> None:
    (reading,) = readings(typed)
    if isinstance(intent, Change):
        assert isinstance(reading.intent, Change)
        assert reading.intent.length is not None
        assert reading.intent.length.inches == 37
    else:
        assert reading.intent == intent


@pytest.mark.parametrize(
    "typed",
    [
        "thirty six for wall three forty eight",
        "36 for W3 4 @ 40",
        "36 for wall 3 48",
        "36 stud 48 stud",
        "36 for window 48",
    ],
)
def test_two_cuts_are_never_one(typed: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(typed)


@pytest.mark.parametrize(
    "typed",
    [
        "thirty six stud forty",
        "10 16' 2x4s",
        "ten sixteen foot two by fours",
        "forty two by six one hundred forty four",
        "36 @ 45",
        "36 stud 48",
        "92-5/8 heel cut 7/12 long point",
        "2x6x14",
        "36 2x4 stud 40",
        "give me 4",
        "I need 12",
        "okay 3",
    ],
)
def test_what_may_mean_something_else_asks(typed: str) -> None:
    found = read(typed)
    assert len(found) > 1 or found[0].doubts


def test_a_long_line_is_not_said_back_whole() -> None:
    with pytest.raises(NotACall) as caught:
        read("flub " * 1500)
    assert len(explain_error(caught.value)) < 400


def test_a_refusal_gives_an_example_of_what_would_fit() -> None:
    with pytest.raises(NotACall) as caught:
        read("4 @ 2x4")
    assert "92-5/8" in explain_error(caught.value)


def test_both_faces_of_a_heel_cut_are_put_forward() -> None:
    ends = {
        each.intent.ends[0].kind for each in read("92 heel 7/12") if isinstance(each.intent, Cut)
    }
    assert ends == {"plumb", "seat"}


@pytest.mark.parametrize(
    "typed", ["forty eight both ends forty five long to long", "48 both ends 45 long to long"]
)
def test_a_length_and_a_usual_angle_around_both_ends_are_never_changed_over_in_silence(
    typed: str,
) -> None:
    found = read(typed, Settings())
    lengths = [each.intent.length.inches for each in found if isinstance(each.intent, Cut)]
    assert lengths[0] == 48
    assert len(lengths) == len(found)


@pytest.mark.parametrize("typed", ["make it 2x8", "make it two by eight", "no make it 2x8"])
def test_make_it_takes_a_size_too(typed: str) -> None:
    (reading,) = read(typed, Settings())
    assert isinstance(reading.intent, Change)
    assert (str(reading.intent.section), reading.intent.count) == ("2x8", None)


@pytest.mark.parametrize("said", ["and a half", "and 5/8", "and three quarters", "and an eighth"])
def test_the_rest_of_a_length_is_no_call_of_its_own(said: str) -> None:
    with pytest.raises(NotACall):
        read(said)


def test_what_may_be_the_rest_of_a_spoken_number_is_no_call() -> None:
    """ "One hundred", "and thirty six"."""
    with pytest.raises(NotACall):
        read("and thirty six", by_voice=True)
