"""Faults that no test can see, each with the reason: the program does the same with them as without."""

from __future__ import annotations

_ONE_OF_TWO = "a pitch has a rise or degrees: the other value is for the type checker"
_FINER = "roots still finer, and a tape is a million times coarser"
_NOTHING_TO_EXCHANGE = (
    "boards with one length each have nothing to exchange: it only spares the look at them"
)
_LONGER_IS_MORE = "of two numbers that begin at one word the one of more words is the greater"

_NO_PEAK_BELOW_ONE = "a peak is 1 or more, and what was said six times that"

_STANDS_ON_IT = "where a mark is so far from the wood, a member stands on it, and no other has room"
_BY_SPACING = "beside other members of the gap the spacing asks for this one as well"
_WHOLE_COSTS = "costs are whole numbers: any part of one beyond them is as good a limit"
_NO_COST_SO_HIGH = "no boards cost so much, in whole units of length and price"
_NEAR_WHOLE = "what the solver means as a whole number is off by its tolerance, a ten-millionth, and all else by more"

EQUIVALENT: dict[tuple[str, str, str], str] = {
    (
        "cutmemo/framing/slope.py",
        "term dropped",
        "return _tangent_of(self.degrees or Fraction(0))\nreturn _tangent_of((self.degrees))",
    ): _ONE_OF_TWO,
    ("cutmemo/framing/slope.py", "limit moved by one", "FINE = 2**20\nFINE = 3**20"): _FINER,
    ("cutmemo/framing/slope.py", "limit moved by one", "FINE = 2**20\nFINE = 2**21"): _FINER,
    ("cutmemo/framing/slope.py", "limit moved by one", "_FINER = 2**40\n_FINER = 3**40"): _FINER,
    ("cutmemo/framing/slope.py", "limit moved by one", "_FINER = 2**40\n_FINER = 2**41"): _FINER,
    (
        "cutmemo/planning/arrange.py",
        "term dropped",
        "if len(set(out[a].items)) == len(set(out[b].items)) == 1 or out[a] == out[b]:\n"
        "if (out[a] == out[b]):",
    ): _NOTHING_TO_EXCHANGE,
    (
        "cutmemo/planning/arrange.py",
        "limit moved by one",
        "if len(set(out[a].items)) == len(set(out[b].items)) == 1 or out[a] == out[b]:\n"
        "if len(set(out[a].items)) == len(set(out[b].items)) == 0 or out[a] == out[b]:",
    ): _NOTHING_TO_EXCHANGE,
    (
        "cutmemo/planning/stock.py",
        "term dropped",
        "each.weight * (each.price if by_price and each.price is not None else each.inches)\n"
        "each.weight * (each.price if (by_price) else each.inches)",
    ): "boards are chosen by price only where each of them has one: the check is for the type checker",
    (
        "cutmemo/language/reading.py",
        "order ignored",
        "at = max(fillers)\nat = min(fillers)",
    ): "no filler begins as another does, so that one at most ends behind a word",
    **{
        ("cutmemo/framing/centres.py", "limit moved by one", f"{before}\n{after}"): _STANDS_ON_IT
        for before, after in (
            (
                "if room()[0] and any(mark < left + half for mark in in_air):",
                "if room()[0] and any(mark <= left + half for mark in in_air):",
            ),
            (
                "if room()[1] and any(mark > right - half for mark in in_air):",
                "if room()[1] and any(mark >= right - half for mark in in_air):",
            ),
        )
    },
    (
        "cutmemo/planning/highs.py",
        "constant halved",
        '*((("objective_target", enough + 0.5),) if enough is not None else ()),\n'
        '*((("objective_target", enough + 0.25),) if enough is not None else ()),',
    ): _WHOLE_COSTS,
    (
        "cutmemo/planning/highs.py",
        "constant halved",
        "solver.addRow(-infinity(), most + 0.5, len(columns), columns, values)\n"
        "solver.addRow(-infinity(), most + 0.25, len(columns), columns, values)",
    ): _WHOLE_COSTS,
    **{
        ("cutmemo/framing/centres.py", "limit moved by one", f"{before}\n{after}"): _BY_SPACING
        for before, after in (
            (
                "if room()[0] and any(mark < left + half for mark in in_air):",
                "if room()[1] and any(mark < left + half for mark in in_air):",
            ),
            (
                "if room()[1] and any(mark > right - half for mark in in_air):",
                "if room()[0] and any(mark > right - half for mark in in_air):",
            ),
        )
    },
    (
        "cutmemo/planning/column_generation.py",
        "term dropped",
        "if not any(self.todo):\nif False:",
    ): "to fill nothing gives nothing: it only spares the tries",
    **{
        (
            "cutmemo/planning/column_generation.py",
            "term dropped",
            f"if row is not None and available is not None:\nif ({left}):",
        ): "a stock type has a row where it can run out: the other check is for the type checker"
        for left in ("row is not None", "available is not None")
    },
    (
        "cutmemo/planning/column_generation.py",
        "limit moved by one",
        "limits = [0 if row is None else min(0, int(duals[row] * SCALE)) for row in rows]\n"
        "limits = [0 if row is None else min(1, int(duals[row] * SCALE)) for row in rows]",
    ): "what a board more would save is never below nothing: the least guards against rounding",
    (
        "cutmemo/planning/column_generation.py",
        "limit moved by one",
        "if self.left[k] is None and worth[k] * under > over * self.costs[k]:\n"
        "if self.left[k] is None and worth[k] * under >= over * self.costs[k]:",
    ): "equal rates give way alike",
    **{
        (
            "cutmemo/planning/enumeration.py",
            "limit moved by one",
            f"LEAST_SHARE = 30\nLEAST_SHARE = {share}",
        ): "shares go by threes: a 27th is tried, an 81st is not"
        for share in (29, 31)
    },
    **{
        (path, "limit moved by one", f"{line}\n{line.replace('62', power)}"): _NO_COST_SO_HIGH
        for path, line in (
            (
                "cutmemo/planning/solver.py",
                "boards = quick(small, cost_bound(small, 1 << 62), thorough=not has_highs()) or start",
            ),
            ("cutmemo/planning/model.py", "found = quick(problem, 1 << 62)"),
        )
        for power in ("61", "63")
    },
    **{
        (
            "cutmemo/planning/pricing.py",
            "limit moved by one",
            f"IMPOSSIBLE = -(1 << 60)\nIMPOSSIBLE = -({far})",
        ): "as far below every price of what a board holds"
        for far in ("1 << 59", "1 << 61", "2 << 60")
    },
    (
        "cutmemo/memo/loads.py",
        "limit moved by one",
        "return replace(state, rack=state.rack.with_lot(Lot(payload.lot, 0, *boards)))\n"
        "return replace(state, rack=state.rack.with_lot(Lot(payload.lot, 1, *boards)))",
    ): "the rack gives each lot its number",
    (
        "cutmemo/asr/endpointer.py",
        "limit moved by one",
        "self._loudest = 0\nself._loudest = 1",
    ): _NO_PEAK_BELOW_ONE,
    **{
        (
            "cutmemo/language/grammar/places.py",
            operator,
            f"number, end = max(numbered, key=lambda each: each[1])\nnumber, end = {changed}",
        ): _LONGER_IS_MORE
        for operator, changed in (
            ("order ignored", "max(numbered)"),
            ("limit moved by one", "max(numbered, key=lambda each: each[0])"),
        )
    },
    **{
        (
            "cutmemo/planning/column_generation.py",
            "constant halved",
            f"{line}\n{line.replace('1e-6', '5e-07')}",
        ): _NEAR_WHOLE
        for line in (
            "boards = cut_by(problem, patterns, [int(v + 1 - threshold + 1e-6) for v in values])",
            "partly.fix(master.patterns[k], max(1, int(values[k] + 1e-6)))",
            "whole = [k for k, value in enumerate(values) if value >= 1 - 1e-6]",
            "(k for k, value in enumerate(values) if value > 1e-6), key=lambda k: -values[k]",
        )
    },
    (
        "cutmemo/memo/loads.py",
        "term dropped",
        'row = state.rows.get(payload.row or "")\nrow = state.rows.get((payload.row))',
    ): "no row has an empty name, and none has no name: the check is for the type checker",
    **{
        (
            "cutmemo/memo/decide/rack.py",
            "limit moved by one",
            "lot = state.rack.lot(int(name)) if name.isdecimal() and len(name) < 10 else None\n"
            f"lot = state.rack.lot(int(name)) if name.isdecimal() and len(name) {fewer} else None",
        ): "no rack has a hundred million lots"
        for fewer in ("< 9", "< 11", "<= 10")
    },
}
"""By path, operator, and the changed lines before and after, each on a line of its own without spaces around it."""
