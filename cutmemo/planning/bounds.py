"""What no solution can beat: the cheapest boards that hold the sizes of all pieces together."""

from __future__ import annotations

from cutmemo.planning.problem import Problem, StockType

MAX_STEPS = 8_000
"""Beyond this many steps of cost the exact bound gives way to a plain one."""


def _lots(stock: tuple[StockType, ...], most: int) -> list[tuple[int, int, int]]:
    """Return (cost, capacity, boards) of 1, 2, 4 … boards of each type, so that every number up to *most* can be made."""  # noqa: E501 - one sentence
    out = []
    for each in stock:
        left = most if each.available is None else min(each.available, most)
        lot = 1
        while left > 0:
            take = min(lot, left)
            out.append((each.cost * take, each.capacity * take, take))
            left -= take
            lot *= 2
    return out


def _plain_cost_bound(problem: Problem) -> int:
    """Return the total size bought at the best rates there are, limited stock first used up, rounded up."""  # noqa: E501 - one sentence
    rates = sorted(
        (each for each in problem.stock if each.capacity > 0),
        key=lambda each: each.cost / each.capacity,
    )
    left, cost, step = problem.total_size, 0, problem.cost_step
    for each in rates:
        held = each.capacity * each.available if each.available is not None else left
        if held >= left:
            cost += -(-(left * each.cost) // each.capacity)
            return -(-cost // step) * step
        left -= held
        cost += each.cost * (each.available or 0)
    return -(-cost // step) * step


def cost_bound(problem: Problem, enough: int) -> int:
    """Return the least cost of boards that together hold the size of all pieces.

    *enough* is the cost of some solution, which ends the search. A min-cost knapsack cover,
    by dynamic programming over the cost.
    """
    step = problem.cost_step
    top = enough // step
    plain = _plain_cost_bound(problem)
    if top > MAX_STEPS or plain >= enough:
        return min(plain, enough)
    holds = [0] * (top + 1)
    for cost, capacity, _ in _lots(problem.stock, problem.pieces):
        units = cost // step
        if units > top:
            continue
        if units == 0:
            holds = [held + capacity for held in holds]
            continue
        for spent in range(top, units - 1, -1):
            holds[spent] = max(holds[spent], holds[spent - units] + capacity)
    return next(
        (spent * step for spent in range(top + 1) if holds[spent] >= problem.total_size), enough
    )


def boards_bound(problem: Problem, cost: int, boards: int) -> int:
    """Return the fewest boards that hold the size of all pieces at *cost*, the least there is.

    *boards* is known to do.

    Boards of the least cost are no fewer than that cost over the dearest board. Beyond that,
    dynamic programming over cost and number of boards.
    """
    step = problem.cost_step
    top = cost // step
    whole: dict[tuple[bool, int], list[StockType]] = {}
    for k, each in enumerate(problem.stock):
        key = (each.board is None, k if each.board is None else each.board)
        whole.setdefault(key, []).append(each)
    largest = max(sum(each.capacity for each in stretches) for stretches in whole.values())
    dearest = max(sum(each.cost for each in stretches) for stretches in whole.values())
    least = -(-problem.total_size // largest)
    if dearest > 0:
        least = max(least, -(-cost // dearest))
    if least >= boards or top * boards > MAX_STEPS * 4 or not problem.whole_boards:
        return min(least, boards)
    nothing = -1
    holds = [[nothing] * (top + 1) for _ in range(boards)]
    holds[0] = [0] * (top + 1)
    for price, capacity, lot in _lots(problem.stock, boards):
        units = price // step
        for number in range(boards - 1, lot - 1, -1):
            before, now = holds[number - lot], holds[number]
            for spent in range(top, units - 1, -1):
                held = before[spent - units]
                if held != nothing:
                    now[spent] = max(now[spent], held + capacity)
    return next(
        (number for number in range(least, boards) if holds[number][top] >= problem.total_size),
        boards,
    )
