"""What people on a site say to each other that is no call: numbers of all kinds, and common words.

The word graph has a model of it, so that other people's numbers are heard as what they are. The
words and how often each kind is said are from memory (common English; nothing was counted).
"""

from __future__ import annotations

import random

_ONES = "one two three four five six seven eight nine".split()
_TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_MONTHS = (
    "january february march april may june july august september october november december"
).split()
_DAYS = "monday tuesday wednesday thursday friday saturday sunday".split()
_ORDINALS = (
    "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth "
    "fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth thirtieth"
).split()
_MONEY = "dollars dollar cents bucks grand".split()
_UNITS = (
    "pounds percent miles degrees gallons ounces minutes seconds hours days weeks months years "
    "people times points acres yards volts amps"
).split()
_LETTERS = "b c d e f g h j k l m n p q r s t u v w x y z".split()
_COMMON = """
about afternoon again ah all also always am another any anybody anything are aren't around ask
asked away baby bad bag been before began begin behind being believe best better big bit body book
boy bring broke brother brought build business busy but call called came can can't car care check
children clean close coffee cold come coming could couldn't country day dear did didn't different
do does doesn't doing don't down drive early eat else enough er even ever every everybody
everything eye eyes face fact family far fast father feel felt few find fine finish fix found
friend friends from front gave get getting girl give go goes going gone good got great guess guy
guys had hand happy hard has have he hear heard heart hello help her here he's hey hi him himself
his home honey hope hour house how i i'd i'll i'm i've idea if into is isn't it its it's job just
keep kind knew know known large last late later learn least leave lemme let let's life like little
live long look looked looking lot love lunch made man many married matter maybe me mean men might
mind minute mister mm morning most mother move much music must my myself name never new nice night
nobody nothing now number o'clock office often okay old once only other our out own paper park part
past pay perhaps phone pick play please pretty probably problem put question quick quite radio rain
read ready real really remember rest right road said same sat saw say says school see seen send she
she's should show since sister sit small so some somebody something sometimes son soon sorry sort
stay still story street stuff such suddenly summer sun sure take talk tell than thank thanks that
their them then there they they're thing things think this those though thought thousand through
till today together told tomorrow tonight took top town tried truck true try turn turned uh um
under until up upon us use used very wait walk want wanted was wasn't water way we weather week
well went were we're what when where which while white who why wife will winter wish with without
woman women won't word work working world would wouldn't write wrong yeah year yesterday yet you
young your you'd you'll you're
""".split()
WORDS = frozenset({*_MONTHS, *_DAYS, *_ORDINALS, *_MONEY, *_UNITS, *_LETTERS, *_COMMON})
"""Words that are no call by themselves; some are words of the grammar all the same."""


def _figure(r: random.Random) -> str:
    return r.choice([*_ONES, r.choice(["oh", "zero"])])


def _below_hundred(r: random.Random) -> str:
    tens = r.choice(_TENS)
    return r.choice([r.choice(_ONES), r.choice(_TEENS), tens, f"{tens} {r.choice(_ONES)}"])


def _hundreds(r: random.Random) -> str:
    said = f"{r.choice(_ONES)} hundred"
    return f"{said} {r.choice(['and ', ''])}{_below_hundred(r)}" if r.random() < 0.7 else said


def _figures(r: random.Random) -> str:
    """A number of a telephone, a house, an account or a part, figure by figure."""
    return " ".join(_figure(r) for _ in range(r.choice([4, 4, 5, 5, 5, 6, 7, 7, 8, 10, 11])))


def _pairs(r: random.Random) -> str:
    """A number of a house or a telephone, or a year, by twos."""
    kinds = (
        lambda: _below_hundred(r),
        lambda: f"{r.choice(['oh', 'zero'])} {r.choice(_ONES)}",
        lambda: f"{_figure(r)} {_figure(r)}",
        lambda: "hundred",
    )
    return " ".join(
        [_below_hundred(r), *(r.choice(kinds)() for _ in range(r.choice([1, 2, 2, 3])))]
    )


def _date(r: random.Random) -> str:
    ordinal = r.choice(_ORDINALS)
    day = r.choice([ordinal, ordinal, f"twenty {r.choice(_ORDINALS[:9])}", "thirty first"])
    year = r.choice(
        [
            f"nineteen {_below_hundred(r)}",
            f"nineteen {_below_hundred(r)}",
            f"two thousand and {_below_hundred(r)}",
            f"twenty {_below_hundred(r)}",
        ]
    )
    month = r.choice(_MONTHS)
    return r.choice(
        [
            f"{month} {day}",
            f"{month} {day} {year}",
            f"{month} the {day}",
            f"{day} of {month} {year}",
            f"{r.choice(_DAYS)} the {day}",
            year,
        ]
    )


def _clock(r: random.Random) -> str:
    hour = r.choice([*_ONES, "ten", "eleven", "twelve"])
    part = r.choice(["thirty", "fifteen", "forty five", "twenty", "oh five"])
    return r.choice(
        [
            f"{hour} {part}",
            f"{hour} o'clock",
            f"half past {hour}",
            f"quarter {r.choice(['past', 'to', 'till'])} {hour}",
            f"at {hour} {part} in the {r.choice(['morning', 'afternoon'])}",
        ]
    )


def _money(r: random.Random) -> str:
    many = r.choice([_below_hundred(r), _hundreds(r), f"{r.choice(_ONES)} thousand"])
    return r.choice(
        [
            f"{many} {r.choice(_MONEY)}",
            f"{many} dollars and {_below_hundred(r)} cents",
            f"{r.choice(_ONES)} ninety nine",
        ]
    )


def _amount(r: random.Random) -> str:
    many = r.choice(
        [
            _below_hundred(r),
            _hundreds(r),
            f"{_below_hundred(r)} or {_below_hundred(r)}",
            f"{_below_hundred(r)} point {_figure(r)}",
        ]
    )
    return f"{many} {r.choice(_UNITS)}"


def _among_words(r: random.Random) -> str:
    words = [r.choice(_COMMON) for _ in range(r.randrange(1, 8))]
    number = r.choice([_below_hundred, _below_hundred, _hundreds, _clock, _amount, _figure])(r)
    words.insert(r.randrange(len(words) + 1), number)
    return " ".join(words)


def _spelt(r: random.Random) -> str:
    letters = " ".join(r.choice(_LETTERS) for _ in range(r.randrange(2, 7)))
    return f"{letters} {_below_hundred(r)}" if r.random() < 0.5 else letters


_KINDS = {
    _figures: 12.0,
    _pairs: 4.0,
    _date: 2.0,
    _clock: 2.0,
    _money: 2.0,
    _amount: 2.0,
    _among_words: 5.0,
    _spelt: 1.0,
    _hundreds: 0.5,
}


def numbers(r: random.Random) -> str:
    """Return something with a number in it that somebody says to somebody else."""
    return r.choices(list(_KINDS), list(_KINDS.values()))[0](r)
