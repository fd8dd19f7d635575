"""Pictures of the page of the shelf: where good systems lie, and what a shelf reaches.

Data and marks as Vega-Lite takes them, from the numbers of the tables beside them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from hlbcore.plots.style import BLEND, EMULSIFIER, TARGET, short
from hlbcore.shelf.buying import AXIS, Buying, Reach
from hlbcore.shelf.results import Screening

ROW = 34
"""Height of one row of a picture. [px]"""

SHOWN = 150
"""Systems in the picture, the first ones of the order. [-]"""

OFFERED = 5
"""Emulsifiers to buy in the picture of the reach. [-]"""

COLOURS = (TARGET, BLEND, "#009E73", "#CC79A7", "#E69F00", "#56B4E9", EMULSIFIER)
"""Of the families, told apart by colour-blind eyes (Okabe and Ito 2008)."""

PICK = "pick"
"""Name of the selection; it gives the number of a system."""


def systems_chart(found: Screening, chosen: int | None = None) -> dict[str, Any] | None:
    """Tolerance of the ratio against cost, dose or margin; a mark a system, pressed to open it.

    Parameters
    ----------
    found : Screening
        A screen.
    chosen : int, optional
        Number of the system that is open. [-]

    Returns
    -------
    dict or None
        A Vega-Lite specification with its data, the selection `PICK` gives ``nr``; None where
        there is no system.

    Examples
    --------
    >>> from hlbcore.shelf.screening import screened
    >>> chart = systems_chart(screened({"a": 4.0, "b": 15.0}, 10.0))
    >>> [(row["nr"], row["tolerance"]) for row in chart["data"]["values"]]
    [(1, 9.1)]
    """
    if not found.possible:
        return None
    against, title, form = _against(found)
    rows = []
    for nr, n in enumerate(found.every[:SHOWN].tolist(), start=1):
        value = against(n)
        if value is None:
            continue
        families = found.families(n).split(" + ")
        rows.append(
            {
                "nr": nr,
                "system": short(" + ".join(found.amounts(n))),
                "low": families[0] or "own figure",
                "high": families[-1] or "own figure",
                "tolerance": round(found.tolerance_pct(n), 2),
                "against": value,
                "hlb": round(float(found.solved.hlb[n]), 2),
                "open": nr == chosen,
            }
        )
    scale = {"zero": False, "padding": 12}
    return {
        "data": {"values": rows},
        "height": 400,
        "params": [{"name": PICK, "select": {"type": "point", "fields": ["nr"]}}],
        "mark": {"type": "point", "filled": True, "opacity": 0.8, "cursor": "pointer"},
        "encoding": {
            "x": {
                "field": "tolerance",
                "type": "quantitative",
                "scale": scale,
                "axis": {"title": "ratio may be off by [% of the blend]", "grid": False},
            },
            "y": {
                "field": "against",
                "type": "quantitative",
                "scale": scale,
                "axis": {"title": title, "grid": True},
            },
            "color": {
                "field": "low",
                "type": "nominal",
                "scale": {"range": list(COLOURS)},
                "legend": {"title": "lower HLB", "orient": "top", "columns": 2},
            },
            "shape": {
                "field": "high",
                "type": "nominal",
                "legend": {"title": "higher HLB", "orient": "bottom", "columns": 2},
            },
            "size": {"condition": {"test": "datum.open", "value": 420}, "value": 120},
            "tooltip": [
                {"field": "nr", "title": "number"},
                {"field": "system", "title": "system"},
                {"field": "hlb", "title": "HLB"},
                {"field": "tolerance", "title": "ratio may be off by, %"},
                {"field": "against", "title": title, "format": form},
            ],
        },
    }


def _against(found: Screening) -> tuple[Any, str, str]:
    """What stands upward: cost where prices are known, the dose where it differs, else the margin."""
    solved, every = found.solved, found.every[:SHOWN]
    cost = dict(zip(every.tolist(), (solved.cost(every) / 100).tolist(), strict=True))
    if any(not math.isnan(c) for c in cost.values()):
        return (lambda n: None if math.isnan(cost[n]) else round(cost[n], 4), "cost per kg of formula", ".3f")
    if float(solved.total[every].max() - solved.total[every].min()) > 0.01:
        return lambda n: round(float(solved.total[n]), 3), "dose [% of formula]", ".2f"
    margin = dict(zip(every.tolist(), solved.margin(every).tolist(), strict=True))
    return lambda n: round(margin[n], 3), "window left by all doubts [HLB]", ".2f"


def systems_words(found: Screening) -> str:
    """The picture of the systems in words, for those who do not see it.

    Examples
    --------
    >>> from hlbcore.shelf.screening import screened
    >>> systems_words(screened({"a": 4.0, "b": 15.0}, 10.0))
    '1 system; the most tolerant of the first ones, a + b, may be off by 9.1 % in its ratio.'
    """
    if not found.possible:
        return "No system."
    count = f"{found.possible:,} system{'s' if found.possible > 1 else ''}"
    several = [n for n in found.every[:SHOWN].tolist() if len(found.members(n)) > 1]
    if not several:
        return f"{count}, each of one emulsifier alone."
    best = max(several, key=found.tolerance_pct)
    return (
        f"{count}; the most tolerant of the first ones, {' + '.join(found.amounts(best))}, may be off by "
        f"{found.tolerance_pct(best):.1f} % in its ratio."
    )


def reach_chart(found: Buying) -> dict[str, Any]:
    """The HLB that the shelf reaches now and with one emulsifier more, and what is wanted.

    Parameters
    ----------
    found : Buying
        What the shelf reaches, and what one more would open.

    Returns
    -------
    dict
        A Vega-Lite specification with its data.

    Examples
    --------
    >>> from hlbcore.shelf.buying import buying
    >>> rows = reach_chart(buying(["sorbitan oleate", "sorbitan stearate"], 10.0))["data"]["values"]
    >>> rows[0]["row"], round(rows[0]["low"], 1), round(rows[0]["high"], 1)
    ('your shelf', 4.0, 5.7)
    """
    rows = _spans("your shelf", found.now, "now")
    for i, reach in found.offers[:OFFERED]:
        rows += _spans(f"with {i.common_name}", reach, "with one more")
    order = ["your shelf", *(f"with {i.common_name}" for i, _ in found.offers[:OFFERED])]
    y = {
        "field": "row",
        "type": "nominal",
        "sort": order,
        "scale": {"domain": order},
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 190},
    }
    x = {"type": "quantitative", "scale": {"domain": list(AXIS), "nice": False}}
    wanted = [{"hlb": t.hlb, "name": t.name} for t in found.targets]
    return {
        "data": {"values": rows},
        "height": ROW * len(order),
        "layer": [
            {
                "mark": {"type": "bar", "height": 14},
                "encoding": {
                    "x": {**x, "field": "low", "axis": {"title": "HLB in reach", "grid": False}},
                    "x2": {"field": "high"},
                    "y": y,
                    "color": {
                        "field": "what",
                        "type": "nominal",
                        "legend": None,
                        "scale": {"domain": ["now", "with one more"], "range": [BLEND, EMULSIFIER]},
                    },
                    "tooltip": [
                        {"field": "row", "title": "what"},
                        {"field": "low", "title": "from HLB", "format": ".1f"},
                        {"field": "high", "title": "to HLB", "format": ".1f"},
                    ],
                },
            },
            {
                "data": {"values": wanted},
                "mark": {"type": "rule", "strokeWidth": 2, "strokeDash": [4, 3], "color": TARGET},
                "encoding": {
                    "x": {**x, "field": "hlb"},
                    "tooltip": [
                        {"field": "name", "title": "asks for"},
                        {"field": "hlb", "title": "HLB", "format": ".1f"},
                    ],
                },
            },
        ],
    }


def _spans(row: str, reach: Reach, what: str) -> list[dict[str, Any]]:
    return [{"row": row, "low": low, "high": high, "what": what} for low, high in reach.parts]


def reach_words(found: Buying) -> str:
    """What the shelf reaches, and what one more would open first, in words.

    Examples
    --------
    >>> from hlbcore.shelf.buying import buying
    >>> reach_words(buying(["sorbitan oleate", "polysorbate 80"], 10.0))
    'Your shelf reaches HLB 4.4 to 14.9: 1 of 1 that is asked or kept.'
    """
    parts = " and ".join(f"{low:.1f} to {high:.1f}" for low, high in found.now.parts)
    count = len(found.targets)
    reached = f"{len(found.reached)} of {count} that {'is' if count == 1 else 'are'} asked or kept"
    said = f"Your shelf reaches HLB {parts}: {reached}." if parts else "Your shelf makes no pair yet."
    opened = [i.common_name for i, reach in found.offers if _opens(found, reach)]
    return f"{said} One more would open the rest: {_or(opened[:3])}." if opened else said


def _opens(found: Buying, reach: Reach) -> int:
    return sum(reach.holds(t.hlb) for t in found.targets if not found.now.holds(t.hlb))


def _or(names: Sequence[str]) -> str:
    return " or ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]
