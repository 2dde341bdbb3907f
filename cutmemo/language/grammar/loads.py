"""Loads between sites: what is sent where, what arrived."""

from __future__ import annotations

from collections.abc import Iterator

from cutmemo.domain.length import Length
from cutmemo.language.grammar.fields import amount_words
from cutmemo.language.grammar.places import place_words
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.intent import Command, OnRow
from cutmemo.language.lexicon.en import (
    BOARD,
    LEFT_OVERS,
    LOAD_LEADS,
    LOAD_ORDERS,
    SEND,
    SITE_WORDS,
)


def load(scan: Scan) -> Iterator[tuple[Command, int]]:
    """load = "load" n ( "arrived" | "refused" … ) | "refuse load" n"""
    for verb, start in scan.find(LOAD_LEADS, 0):
        named = scan.take(start, "load")
        for number, end in scan.every(any_number, named) if named is not None else ():
            yield Command(verb, number), end
    named = scan.take(0, "load")
    for number, after in scan.every(any_number, named) if named is not None else ():
        for verb, end in scan.find(LOAD_ORDERS, after):
            yield Command(verb, number), end


def send_row(scan: Scan) -> Iterator[tuple[OnRow, int]]:
    """send_row = "send" [amount "of"] "row" n "to" site"""
    for count, start in _counted(scan):
        row = scan.take(start, "row")
        for number, after in scan.every(any_number, row) if row is not None else ():
            for site, end in _to_site(scan, after):
                yield OnRow(number, Command("send", to=site, count=count)), end


def send_boards(scan: Scan) -> Iterator[tuple[Command, int]]:
    """send_boards = "send" [amount "of"] "board" n "to" site
    | "send" ["the"] length [section] "left over" "to" site
    """
    for count, start in _counted(scan):
        for _, named in scan.find(BOARD, start):
            for number, after in scan.every(any_number, named):
                for site, end in _to_site(scan, after):
                    yield Command("send boards", number, to=site, count=count), end
    for _, start in scan.find(SEND, 0):
        begin = scan.take(start, "the", "a") or start
        for amount, after in scan.every(length, begin):
            sections = [(None, after), *scan.every(section, after)]
            for size, behind in sections:
                for _, named in scan.find(LEFT_OVERS, behind):
                    for site, end in _to_site(scan, named):
                        sent = Length(amount.inches)
                        yield Command("send boards", length=sent, to=site, section=size), end


def _counted(scan: Scan) -> Iterator[tuple[int, int]]:
    """counted = "send" [amount ["of"]]"""
    for _, start in scan.find(SEND, 0):
        yield 0, start
        for count, after in scan.every(amount_words, start):
            if count:
                yield count, scan.take(after, "of") or after


def _to_site(scan: Scan, at: int) -> Iterator[tuple[str, int]]:
    """to_site = "to" ["the"] name, to the end; by voice of the words of places and sites"""
    start = scan.take(at, "to")
    if start is None:
        return
    tokens = scan.tokens[start:]
    if not tokens:
        scan.missed(start, "a site")
        return
    end = len(scan.tokens)
    if scan.by_voice:
        begin = scan.take(start, "the") or start
        names = [name for name, after in place_words(scan, begin, SITE_WORDS) if after == end]
        yield from ((name, end) for name in names)
        return
    joined = tokens[0].text
    for before, token in zip(tokens, tokens[1:], strict=False):
        joined += ("" if token.span[0] == before.span[1] else " ") + token.text
    yield joined, end
