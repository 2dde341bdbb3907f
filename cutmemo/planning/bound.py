"""What no layout can beat: the cheapest boards that hold the pieces' weight together."""

from __future__ import annotations

from cutmemo.planning.job import Job, Kind

MAX_STEPS = 60_000
"""Beyond this many steps of cost the exact bound gives way to a plain one."""


def _lots(kinds: tuple[Kind, ...], most: int) -> list[tuple[int, int, int]]:
    """Return (cost, capacity, boards) of 1, 2, 4 … boards of each kind, so that every number up to *most* can be made."""
    out = []
    for kind in kinds:
        left = most if kind.available is None else min(kind.available, most)
        lot = 1
        while left > 0:
            take = min(lot, left)
            out.append((kind.cost * take, kind.capacity * take, take))
            left -= take
            lot *= 2
    return out


def _plain_cost_bound(job: Job) -> int:
    """Return the weight at the lowest cost by weight of any kind, rounded up."""
    best = min(
        ((kind.cost, kind.capacity) for kind in job.kinds if kind.capacity > 0),
        key=lambda pair: pair[0] / pair[1],
    )
    step = job.cost_step
    return -(-(job.weight * best[0]) // (best[1] * step)) * step


def cost_bound(job: Job, enough: int) -> int:
    """Return the least cost of boards that together hold the weight of all pieces.

    *enough* is the cost of some layout, which ends the search. A min-cost knapsack cover,
    by dynamic programming over the cost.
    """
    step = job.cost_step
    top = enough // step
    plain = _plain_cost_bound(job)
    if top > MAX_STEPS or plain >= enough:
        return min(plain, enough)
    holds = [0] * (top + 1)
    for cost, capacity, _ in _lots(job.kinds, job.pieces):
        units = cost // step
        if units > top:
            continue
        if units == 0:
            holds = [held + capacity for held in holds]
            continue
        for spent in range(top, units - 1, -1):
            held = holds[spent - units] + capacity
            if held > holds[spent]:
                holds[spent] = held
    return next((spent * step for spent in range(top + 1) if holds[spent] >= job.weight), enough)


def boards_bound(job: Job, cost: int, boards: int) -> int:
    """Return the fewest boards that hold the weight of all pieces at no more than *cost*; *boards* is known to do.

    Dynamic programming over cost and number of boards.
    """
    step = job.cost_step
    top = cost // step
    largest = max(kind.capacity for kind in job.kinds)
    least = -(-job.weight // largest)
    if least >= boards or top * boards > MAX_STEPS // 2:
        return min(least, boards)
    nothing = -1
    holds = [[nothing] * (top + 1) for _ in range(boards)]
    holds[0] = [0] * (top + 1)
    for price, capacity, lot in _lots(job.kinds, boards):
        units = price // step
        for number in range(boards - 1, lot - 1, -1):
            before, now = holds[number - lot], holds[number]
            for spent in range(top, units - 1, -1):
                held = before[spent - units]
                if held != nothing and held + capacity > now[spent]:
                    now[spent] = held + capacity
    return next((number for number in range(boards) if holds[number][top] >= job.weight), boards)
