"""Pictures of what the tables hold: where sources disagree most, and how well figures are founded.

Data and marks as Vega-Lite takes them, from the tables of `blending.held`.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pandas as pd

from hlbcore.plots.style import BLEND, TARGET, short

SHOWN = 15
"""Rows in the picture of disagreements. [-]"""

ASKED = {"required HLB, o/w": "asks, o/w", "required HLB, w/o": "asks, w/o"}
ROOTS = ("1 root", "2 roots", "3 or more")
COLOURS = ("#BBBBBB", "#56B4E9", TARGET)
"""From one root to many, told apart by lightness too."""


def disagreements_chart(figures: pd.DataFrame) -> dict[str, Any]:
    """The widest disagreements: lowest and highest reading, and the figure in use.

    Parameters
    ----------
    figures : DataFrame
        Result of `figures_held`.

    Returns
    -------
    dict
        A Vega-Lite specification with its data.

    Examples
    --------
    >>> from hlbcore.blending.held import figures_held
    >>> len(disagreements_chart(figures_held())["data"]["values"])
    15
    """
    rows = [
        {
            "what": f"{short(r['ingredient'])} ({ASKED.get(r['quantity'], 'brings')})",
            "least": r["least"],
            "most": r["most"],
            "used": r["HLB"],
            "apart": f"{r['apart']:.1f} HLB apart",
            "grade": r["grade"],
        }
        for r in figures.head(SHOWN).to_dict("records")
    ]
    y = {
        "field": "what",
        "type": "nominal",
        "sort": None,
        "axis": {"title": None, "labelLimit": 230, "ticks": False, "domain": False},
    }
    x = {"type": "quantitative", "axis": {"title": "HLB", "grid": False}}
    told = [
        {"field": "what", "title": "figure"},
        {"field": "least", "title": "lowest reading"},
        {"field": "most", "title": "highest reading"},
        {"field": "used", "title": "in use", "format": ".1f"},
        {"field": "apart", "title": "distance"},
        {"field": "grade", "title": "grade"},
    ]
    return {
        "data": {"values": rows},
        "height": {"step": 24},
        "layer": [
            {
                "mark": {"type": "rule", "strokeWidth": 4, "color": TARGET},
                "encoding": {"x": {**x, "field": "least"}, "x2": {"field": "most"}, "y": y, "tooltip": told},
            },
            {
                "mark": {"type": "point", "shape": "diamond", "filled": True, "size": 90, "color": BLEND},
                "encoding": {"x": {**x, "field": "used"}, "y": y, "tooltip": told},
            },
        ],
    }


def disagreements_words(figures: pd.DataFrame) -> str:
    """The numbers of `disagreements_chart` as text."""
    rows = figures.head(SHOWN).to_dict("records")
    return "Lowest to highest reading: " + "; ".join(
        f"{r['ingredient']} {r['least']:g} to {r['most']:g}" for r in rows
    )


def _coverage(figures: pd.DataFrame) -> list[tuple[str, str, int]]:
    """Grade, group of roots, count."""
    counted = Counter(
        (grade, ROOTS[min(max(roots, 1), len(ROOTS)) - 1])
        for grade, roots in zip(figures["grade"].tolist(), figures["roots"].tolist(), strict=True)
    )
    return [(grade, roots, n) for (grade, roots), n in sorted(counted.items())]


def coverage_chart(figures: pd.DataFrame) -> dict[str, Any]:
    """How many figures rest on which grade, parted by the number of independent roots.

    Parameters
    ----------
    figures : DataFrame
        Result of `figures_held`.

    Returns
    -------
    dict
        A Vega-Lite specification with its data.

    Examples
    --------
    >>> from hlbcore.blending.held import figures_held
    >>> held = figures_held()
    >>> sum(row["figures"] for row in coverage_chart(held)["data"]["values"]) == len(held)
    True
    """
    order = list(figures["grade"].value_counts().index)
    rows = [{"grade": g, "roots": r, "figures": n, "order": ROOTS.index(r)} for g, r, n in _coverage(figures)]
    return {
        "data": {"values": rows},
        "height": {"step": 26},
        "mark": "bar",
        "encoding": {
            "x": {"field": "figures", "type": "quantitative", "axis": {"title": "figures", "grid": False}},
            "y": {"field": "grade", "type": "nominal", "sort": order, "axis": {"title": None}},
            "color": {
                "field": "roots",
                "type": "nominal",
                "scale": {"domain": list(ROOTS), "range": list(COLOURS)},
                "legend": {"title": None, "orient": "top"},
            },
            "order": {"field": "order"},
            "tooltip": [{"field": "grade"}, {"field": "roots"}, {"field": "figures"}],
        },
    }


def coverage_words(figures: pd.DataFrame) -> str:
    """The numbers of `coverage_chart` as text."""
    return "Figures by grade: " + "; ".join(f"{g}, {r}: {n}" for g, r, n in _coverage(figures))
