"""Pictures that a page draws by itself: data and marks as Vega-Lite takes them, from the same numbers.

Colours are those of the other figures; what is asked is round, what is brought a diamond.
"""

from __future__ import annotations

from typing import Any

from hlbcore.blending.worked import Worked
from hlbcore.estimate import Estimate
from hlbcore.library import Library
from hlbcore.plots.style import BLEND, EMULSIFIER, TARGET, short
from hlbcore.swapping.results import Swap
from hlbcore.swapping.sheet import amounts_table

HLB_TOP = 20.0
"""End of the axis unless something lies beyond. [HLB]"""

ROW = 34
"""Height of one row of a picture. [px]"""


def axis_chart(worked: Worked) -> dict[str, Any] | None:
    """The HLB axis with window, what is asked and what is brought, with their doubt.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    dict or None
        A Vega-Lite specification with its data; None where nothing is asked for.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [row["row"] for row in axis_chart(work_out(example_formula()))["data"]["values"]]
    ['oils ask for 8.1', 'blend brings 8.2']
    """
    target = worked.target
    if target is None:
        return None
    blend = None if worked.blend is None else worked.blend.estimate
    rows = [_row(f"oils ask for {target.value:.1f}", target, "asked")]
    if blend is not None:
        rows.append(_row(f"blend brings {blend.value:.1f}", blend, "brought"))
    low, high = max(0.0, target.value - worked.window), target.value + worked.window
    top = max(HLB_TOP, target.high, 0.0 if blend is None else blend.high)
    scale = {"domain": [0, top], "nice": False}
    x = {"type": "quantitative", "scale": scale, "axis": {"title": "HLB", "tickCount": 5, "grid": False}}
    y = {
        "field": "row",
        "type": "nominal",
        "sort": None,
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 200},
    }
    colour = {
        "field": "side",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": ["asked", "brought"], "range": [TARGET, BLEND]},
    }
    shape = {**colour, "scale": {"domain": ["asked", "brought"], "range": ["circle", "diamond"]}}
    told = [
        {"field": "row", "title": "what"},
        {"field": "range", "title": "doubt of the tables"},
        {"field": "window", "title": "window"},
    ]
    window = f"{low:.1f} to {high:.1f}"
    for row in rows:
        row["window"] = window
    return {
        "data": {"values": rows},
        "height": ROW * len(rows),
        "layer": [
            {
                "data": {"values": [{"low": low, "high": high, "window": window}]},
                "mark": {
                    "type": "rect",
                    "color": TARGET,
                    "opacity": 0.18,
                    "stroke": TARGET,
                    "strokeDash": [4, 3],
                },
                "encoding": {
                    "x": {**x, "field": "low"},
                    "x2": {"field": "high"},
                    "tooltip": [{"field": "window", "title": "window"}],
                },
            },
            {
                "mark": {"type": "rule", "strokeWidth": 3},
                "encoding": {
                    "x": {**x, "field": "low"},
                    "x2": {"field": "high"},
                    "y": y,
                    "color": colour,
                    "tooltip": told,
                },
            },
            {
                "mark": {"type": "point", "filled": True, "size": 130, "opacity": 1},
                "encoding": {
                    "x": {**x, "field": "value"},
                    "y": y,
                    "color": colour,
                    "shape": shape,
                    "tooltip": told,
                },
            },
        ],
    }


def axis_words(worked: Worked) -> str:
    """The numbers of `axis_chart` as text, for those who do not see it.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> axis_words(work_out(example_formula()))
    'The oils ask for 8.2 (6.4 to 9.3), window 7.2 to 9.2. The blend brings 8.2 (7.7 to 8.7).'
    """
    target = worked.target
    if target is None:
        return ""
    low, high = max(0.0, target.value - worked.window), target.value + worked.window
    said = (
        f"The oils ask for {target.value:.1f} ({target.low:.1f} to {target.high:.1f}), "
        f"window {low:.1f} to {high:.1f}."
    )
    if worked.blend is None:
        return said
    e = worked.blend.estimate
    return f"{said} The blend brings {e.value:.1f} ({e.low:.1f} to {e.high:.1f})."


def _row(label: str, e: Estimate, side: str) -> dict[str, Any]:
    span = f"{e.low:.1f} to {e.high:.1f}"
    return {"row": label, "value": e.value, "low": e.low, "high": e.high, "side": side, "range": span}


def contributions_chart(worked: Worked) -> dict[str, Any] | None:
    """What each oil brings to what the oil phase asks for, as bars.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    dict or None
        A Vega-Lite specification with its data; None where there is no oil phase.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> len(contributions_chart(work_out(example_formula()))["data"]["values"])
    6
    """
    if worked.required is None:
        return None
    rows = [
        {
            "oil": short(r["ingredient"]),
            "part": r["contribution"],
            "share": f"{r['share_pct']:.0f} % of the oils",
            "asks": f"{r['required_hlb']:.1f}",
            "from": r["basis"],
        }
        for r in worked.required.contributions.to_dict("records")
    ]
    return {
        "data": {"values": rows},
        "height": {"step": 26},
        "mark": {"type": "bar", "color": TARGET},
        "encoding": {
            "x": {
                "field": "part",
                "type": "quantitative",
                "axis": {"title": "brings to the sum [HLB]", "grid": False},
            },
            "y": {
                "field": "oil",
                "type": "nominal",
                "sort": None,
                "axis": {"title": None, "labelLimit": 180},
            },
            "tooltip": [
                {"field": "oil", "title": "oil"},
                {"field": "share", "title": "share"},
                {"field": "asks", "title": "asks for [HLB]"},
                {"field": "from", "title": "figure from"},
            ],
        },
    }


CHANGED = 1e-6
"""Lines that a swap moves by no more than this are left out of its bars. [% of formula]"""


def amounts_chart(made: Swap, library: Library | None = None) -> dict[str, Any]:
    """The lines that a swap changes, before and after, as bars.

    Parameters
    ----------
    made : Swap
        Result of `swap`.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    dict
        A Vega-Lite specification with its data.

    Examples
    --------
    >>> from hlbcore import example_formula, swap
    >>> made = swap(example_formula(), out="cocoa butter", into="mango butter")
    >>> rows = amounts_chart(made)["data"]["values"]
    >>> rows[0]["line"], rows[0]["when"], rows[0]["pct"]
    ('cocoa butter', 'before', 3.0)
    """
    rows = []
    held = amounts_table(made, library)
    for name, before, after in zip(
        held["ingredient"].tolist(), held["before"].tolist(), held["after"].tolist(), strict=True
    ):
        if abs(after - before) > CHANGED:
            rows += [
                {"line": short(name), "when": when, "pct": pct}
                for when, pct in (("before", before), ("after", after))
            ]
    return {
        "data": {"values": rows},
        "height": {"step": 15},
        "mark": {"type": "bar"},
        "encoding": {
            "x": {
                "field": "pct",
                "type": "quantitative",
                "axis": {"title": "% of the formula", "grid": False},
            },
            "y": {
                "field": "line",
                "type": "nominal",
                "sort": None,
                "axis": {"title": None, "labelLimit": 170},
            },
            "yOffset": {"field": "when", "sort": ["before", "after"]},
            "color": {
                "field": "when",
                "type": "nominal",
                "sort": ["before", "after"],
                "scale": {"domain": ["before", "after"], "range": [EMULSIFIER, TARGET]},
                "legend": {"title": None, "orient": "top"},
            },
            "tooltip": [
                {"field": "line", "title": "line"},
                {"field": "when", "title": "when"},
                {"field": "pct", "title": "% of the formula", "format": ".2f"},
            ],
        },
    }
