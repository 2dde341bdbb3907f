"""Word strings that the grammar of calls takes, drawn from its rules and not from the sampler of phrases.

The rules below are written down from the docstrings of ``cutmemo.language.grammar``; every way of a
rule is as likely as any other, so what is seldom said comes as often as what is common. What the
grammar itself then refuses is left out.
"""

from __future__ import annotations

import random
from collections.abc import Iterator

from cutmemo.errors import CutmemoError
from cutmemo.language import read
from cutmemo.language.lexicon.en import ALLOWANCES, EXACT, PIECES

RULES = """
call       = length | length | counted | fielded | correction | order | boards | derived
counted    = count length | length after
fielded    = length field | counted field | section at length | count section at length
digit      = one | two | three | four | five | six | seven | eight | nine
teen       = ten | eleven | twelve | thirteen | fourteen | fifteen | sixteen | seventeen | eighteen | nineteen
ten        = twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety
nothing    = oh | zero
small      = digit | teen | ten | ten digit
hundreds   = digit hundred | a hundred | digit hundred small | digit hundred and small | a hundred and small
run        = digit nothing digit | digit teen | digit ten | digit ten digit
figures    = digit digit digit | digit digit nothing
whole      = small | hundreds | run | figures | a buck small
fraction   = a half | one half | half | a quarter | one quarter | three quarters | three quarter | eighths | sixteenths | thirtysec
eighths    = an eighth | one eighth | three eighths | five eighths | seven eighths
sixteenths = a sixteenth | one sixteenth | odd sixteenths_
odd        = three | five | seven | nine | eleven | thirteen | fifteen
sixteenths_ = sixteenths!
thirtysec  = odd thirty seconds | nineteen thirty seconds | twenty three thirty seconds
inches     = whole | whole and fraction | whole and fraction | whole fraction | whole inches! | fraction | an inch and fraction
feet       = small foot | small feet! | small foot digit | small foot digit and fraction | small foot fraction | small foot and fraction
decimal    = small point digit | small point digit digit | point digit digit
metric     = whole millimetres | whole centimetres
length     = inches | inches | inches | feet | feet | decimal | metric | sum
sum        = whole and fraction minus fraction | whole and fraction plus fraction | whole and fraction less fraction | fraction under whole | fraction over whole and fraction
count      = small at | small of | small pieces at | a pair at | a couple of | need small at | half a dozen at | a dozen at
after      = times small | make it small | need small | small pieces | small of them | a pair
nominal    = three | four | six | eight | ten | twelve
section    = two by nominal | one by nominal | four by four | six by six | five quarter by six | l v l | treated two by nominal
field      = section | piece | section piece | shade | exact | end | for place | leave the line
place      = wall digit | window digit | door digit | north wall | garage | bay digit | w digit
exact      = even | flat | exactly | on the money
end        = plumb cut | plumb cut small twelve | plumb digit and a half twelve | square both ends | small degree miter | small degrees bevel | long point | short point | long to short
correction = no length | no make that length | make that length | change it to length | make it small | need small | scratch the length | cancel the length
order      = scratch that | undo | next | read it back | how many left | the first | the second | hold | stop | too short | bad board | same again | small more | yes | no
boards     = small section small footers | put small section small footers on the rack | small section small footers at digit ten each | a section small footer bad from small to hundreds
derived    = same as the last one minus fraction | row small plus a kerf | half of row small | row digit less fraction inch | same but fraction inch shorter
"""
_WAYS = {
    name.strip(): [way.split() for way in ways.split("|")]
    for name, ways in (line.split("=") for line in RULES.split("\n") if line)
}
_WORDS = {
    "piece": PIECES.said_aloud(),
    "shade": ALLOWANCES.said_aloud(),
    "exact": EXACT.said_aloud(),
}


def drawn(r: random.Random, rule: str = "call") -> str:
    """Return words that *rule* makes; a name with ! behind it, or of no rule, is a word."""
    if rule in _WORDS:
        return r.choice(_WORDS[rule])
    if rule not in _WAYS:
        return rule.rstrip("!")
    return " ".join(drawn(r, part) for part in r.choice(_WAYS[rule]))


def strings(seed: int) -> Iterator[str]:
    """Yield for ever word strings that are taken by voice."""
    r = random.Random(seed)
    while True:
        words = drawn(r)
        try:
            read(words, by_voice=True)
        except CutmemoError:
            continue
        yield words
