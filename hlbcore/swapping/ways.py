"""The ways to go on after a swap: each objective, the dose, one emulsifier more or less."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hlbcore.blending.choice import choose_emulsifiers, openers
from hlbcore.counting.counted import TABLE, Counted
from hlbcore.errors import HlbError, InvalidInput
from hlbcore.formula.lines import Line
from hlbcore.swapping.exchange import Exchanged
from hlbcore.swapping.rebalance import SAME, Rebalance
from hlbcore.swapping.results import FOLLOWS, NO_CHANGE, Option
from hlbcore.swapping.substitutes import shut_out

OBJECTIVES = ("least change", "fewest changes", "keep total", "cheapest")
"""What `swap` can be asked for."""

ADDED_MOST = 4
"""Emulsifiers of the tables that are tried beside those of the formula. [-] Our convention."""


def choices_of(
    bench: Rebalance,
    objective: str,
    dose: str,
    gone: Exchanged,
    wishes: Sequence[str],
    shelf: Sequence[str] | None,
) -> tuple[tuple[Option, ...], str]:
    """Every option, and the one that is taken."""
    found = [bench.option(NO_CHANGE, bench.held, bench.now)]
    role = bench.plain.product.role
    able = (
        bench.plain.required is not None
        and role != "none"
        and not bench.plain.required.soap > 0
        and (found[0].blend is not None or not bench.held)
        and (any(m.movable for m in bench.held) or not bench.held)
    )
    if able:
        priced = [m for m in bench.held if m.movable]
        for one in OBJECTIVES:
            if (
                one == "cheapest"
                and one != objective
                and (any(m.key not in bench.cost for m in priced) or not priced)
            ):
                continue
            if bench.held:
                found.append(_solved(bench, one))
        follows = _follows(bench)
        if follows is not None:
            found.append(follows)
        if role == "governs":
            found += _without(bench)
            found += _added(bench, gone, wishes, shelf)
    keys = {o.key: o for o in found}
    wanted = FOLLOWS if dose == "follow" and FOLLOWS in keys else objective
    chosen = wanted if wanted in keys and keys[wanted].formula is not None else NO_CHANGE
    if keys[chosen].formula == found[0].formula:
        chosen = NO_CHANGE
    return tuple(found), chosen


def _solved(bench: Rebalance, objective: str) -> Option:
    try:
        if objective == "fewest changes":
            held, amounts = bench.fewest()
        elif objective == "keep total":
            now = math.fsum(bench.start)
            held, amounts = bench.solve("least change", total=(now, now))
        else:
            held, amounts = bench.solve(objective)
    except HlbError as error:
        if isinstance(error, InvalidInput) and objective in ("least change", "cheapest"):
            raise
        return bench.failed(objective, error)
    return bench.option(objective, held, amounts)


def _follows(bench: Rebalance) -> Option | None:
    """The total that keeps its share of the oil phase; None where the oil phase did not move."""
    old, new = bench.before.required, bench.plain.required
    now, was = math.fsum(bench.now), math.fsum(m.active for m in bench.old)
    if old is None or new is None or was <= 0 or now <= 0:
        return None
    wanted = was * new.mass / old.mass
    if abs(old.mass - new.mass) <= SAME or abs(wanted - now) <= SAME:
        return None
    start = [x * wanted / now for x in bench.now]
    try:
        held, amounts = bench.solve("least change", total=(wanted, wanted), start=start)
    except HlbError as error:
        return bench.failed(FOLLOWS, error)
    remark = (
        f"{wanted:.3g} % instead of {now:.3g} %: {100 * was / old.mass:.3g} % of the oil phase as "
        "before; the rest goes to the line that fills"
    )
    return bench.option(FOLLOWS, held, amounts, remark)


def _without(bench: Rebalance) -> list[Option]:
    found = []
    movable = [n for n, m in enumerate(bench.held) if m.movable]
    for n in movable if len(bench.held) > 1 else ():
        key = f"without {bench.held[n].label}"
        try:
            held, amounts = bench.solve("least change", without=n)
        except HlbError as error:
            found.append(bench.failed(key, error))
            continue
        found.append(bench.option(key, held, amounts))
    return found


def _added(
    bench: Rebalance, gone: Exchanged, wishes: Sequence[str], shelf: Sequence[str] | None
) -> list[Option]:
    required, library = bench.plain.required, bench.library
    assert required is not None
    barred = shut_out(wishes)
    shut = {x.key for x in gone.went} | {m.key for m in bench.held}
    if shelf is not None:
        names = list(shelf)
    else:
        figures = [m.estimate.value for m in bench.held if m.estimate]
        plain = [i.common_name for i in library.emulsifiers if i.hlb and not barred(i)]
        choice = choose_emulsifiers(
            required, bench.plain.product, shelf=plain, at_hand=bench.before.shelf, library=library
        )
        names = list(choice.names)
        if figures:
            reach = openers(
                required.value,
                figures,
                library,
                allowed=lambda c: c.ingredient is None or not barred(c.ingredient),
            )
            names += [n.rpartition(" (")[0] for n in reach]
    found: list[Option] = []
    for name in dict.fromkeys(names):
        i = library.emulsifier(name)
        if i.id in shut or barred(i) or (shelf is None and len(found) >= ADDED_MOST):
            continue
        label = f"add {i.common_name}"
        new = Counted(Line(i.common_name), i, "emulsifier", 0.0, 100.0, i.hlb, TABLE, label=i.common_name)
        if i.hlb is None:
            found.append(Option(label, None, remark="No HLB is known for it."))
            continue
        try:
            held, amounts = bench.solve("least change", added=new)
        except HlbError as error:
            found.append(bench.failed(label, error))
            continue
        found.append(bench.option(label, held, amounts))
    return found
