"""Pictures of the jar for a page: data and marks as Vega-Lite takes them, with the numbers as text.

What is known is drawn full, the doubt as a band; words stand beside the marks, so that no colour is needed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from hlbcore.plots.style import BLEND, EMULSIFIER, TARGET, short
from hlbcore.rules.jar.grains import PACKED, Grains
from hlbcore.rules.jar.pouring import Pouring, SetsAt
from hlbcore.rules.jar.softness import PLACES, WORD_FROM, WORDS, Softness

COLDEST_C, WARMEST_C = 0.0, 60.0
"""Ends of the temperature axis. [°C]"""

ROW = 34
"""Height of one row of a picture. [px]"""

GRAINS = "grains"

AXIS = 60
"""Height that the axis below a picture takes. [px]"""

SHOWN_MOST = 10
"""Fats in one picture. [-]"""


def softness_chart(softness: Softness) -> dict[str, Any]:
    """Solids of the fat phase against temperature, as a band, with the words and the places.

    Parameters
    ----------
    softness : Softness
        Of a fat phase.

    Returns
    -------
    dict
        A Vega-Lite specification with its data.

    Examples
    --------
    >>> from hlbcore import Formula, Line, work_out
    >>> from hlbcore.rules.jar import softness_of
    >>> f = Formula("x", "whipped butter", [Line("cocoa butter", 60), Line("olive oil", 40)])
    >>> softness_chart(softness_of(work_out(f)))["layer"][1]["data"]["values"][0]["t"]
    0.0
    """
    made = softness.band(np.linspace(COLDEST_C, WARMEST_C, 121))
    rows = [
        {"t": float(t), "low": round(float(low), 1), "high": round(float(high), 1)}
        for t, low, high in zip(made.temperature_c, made.low, made.high, strict=True)
    ]
    places = [
        {"from": a if a < b else a - 0.5, "to": b if a < b else b + 0.5, "place": name}
        for name, a, b in PLACES
    ]
    ends = [v**0.5 for v in (0.0, *WORD_FROM, 100.0)]
    words = [{"y": ((a + b) / 2) ** 2, "word": w} for w, a, b in zip(WORDS, ends, ends[1:], strict=False)]
    x = {
        "type": "quantitative",
        "scale": {"domain": [COLDEST_C, WARMEST_C]},
        "axis": {"title": "temperature [°C]", "grid": False, "tickCount": 6},
    }
    y = {
        "type": "quantitative",
        "scale": {"domain": [0, 100], "type": "sqrt"},  # the words lie close together at the foot
        "axis": {"title": "solid, % of the fats", "grid": False, "values": [0, 3, 12, 32, 60, 100]},
    }
    told = [
        {"field": "t", "title": "°C"},
        {"field": "low", "title": "at least solid %"},
        {"field": "high", "title": "at most solid %"},
    ]
    return {
        "height": 320,
        "layer": [
            {
                "data": {"values": places},
                "mark": {"type": "rect", "color": EMULSIFIER, "opacity": 0.13},
                "encoding": {
                    "x": {**x, "field": "from"},
                    "x2": {"field": "to"},
                    "tooltip": [{"field": "place", "title": "where"}],
                },
            },
            {
                "data": {"values": rows},
                "mark": {"type": "area", "color": TARGET, "opacity": 0.4, "stroke": TARGET, "strokeWidth": 2},
                "encoding": {
                    "x": {**x, "field": "t"},
                    "y": {**y, "field": "low"},
                    "y2": {"field": "high"},
                    "tooltip": told,
                },
            },
            {
                "data": {"values": [{"y": v} for v in WORD_FROM]},
                "mark": {"type": "rule", "color": EMULSIFIER, "strokeDash": [3, 4]},
                "encoding": {"y": {**y, "field": "y"}},
            },
            {
                "data": {"values": words},
                "mark": {"type": "text", "align": "right", "dx": -4, "fontSize": 12, "color": EMULSIFIER},
                "encoding": {
                    "x": {"datum": WARMEST_C, "type": "quantitative"},
                    "y": {**y, "field": "y"},
                    "text": {"field": "word"},
                },
            },
        ],
    }


def softness_words(softness: Softness) -> str:
    """The numbers of `softness_chart` as text.

    Parameters
    ----------
    softness : Softness
        Of a fat phase.

    Returns
    -------
    str
        Each place with its band.
    """
    said = [f"{p.place} {p.low:.0f} to {p.high:.0f} % solid, {p.word}" for p in softness.places]
    return f"Solid part of the fats: {'; '.join(said)}."


def settled_chart(grains: Grains) -> dict[str, Any] | None:
    """A jar just filled and two jars with everything settled: least and most clear layer.

    Parameters
    ----------
    grains : Grains
        What becomes of the grains.

    Returns
    -------
    dict or None
        A Vega-Lite specification; None where the volume is not known.
    """
    if grains.clear is None:
        return None
    rows = []
    for jar, clear in (
        ("just filled", 0.0),
        ("settled, least", grains.clear[0]),
        ("settled, most", grains.clear[1]),
    ):
        rows.append({"jar": jar, "what": "clear above", "from": 100 * (1 - clear), "to": 100.0})
        rows.append({"jar": jar, "what": GRAINS, "from": 0.0, "to": 100 * (1 - clear)})
    for row in rows:
        row["height"] = f"{row['to'] - row['from']:.0f} % of the height"  # type: ignore[operator]
    labels = [
        {"jar": r["jar"], "at": (r["from"] + r["to"]) / 2, "says": r["what"]}  # type: ignore[operator]
        for r in rows
        if r["to"] - r["from"] > 8  # type: ignore[operator]
    ]
    x = {
        "field": "jar",
        "type": "nominal",
        "sort": None,
        "axis": {"title": None, "labelAngle": 0, "ticks": False, "domain": False},
    }
    y = {
        "type": "quantitative",
        "scale": {"domain": [0, 100]},
        "axis": {"title": "height of the jar [%]", "grid": False, "tickCount": 5},
    }
    colour = {
        "field": "what",
        "type": "nominal",
        "legend": None,
        "scale": {"domain": ["clear above", GRAINS], "range": ["#F1E3C2", BLEND]},
    }
    return {
        "height": 260,
        "layer": [
            {
                "data": {"values": rows},
                "mark": {"type": "bar", "opacity": 0.75, "stroke": EMULSIFIER},
                "encoding": {
                    "x": x,
                    "y": {**y, "field": "from"},
                    "y2": {"field": "to"},
                    "color": colour,
                    "tooltip": [{"field": "what"}, {"field": "height"}],
                },
            },
            {
                "data": {"values": labels},
                "mark": {"type": "text", "fontSize": 12, "color": "#222222"},
                "encoding": {"x": x, "y": {**y, "field": "at"}, "text": {"field": "says"}},
            },
        ],
    }


def settled_words(grains: Grains) -> str:
    """The numbers of `settled_chart` as text.

    Parameters
    ----------
    grains : Grains
        What becomes of the grains.

    Returns
    -------
    str
        The clear layer.
    """
    if grains.clear is None:
        return "The volume of the grains is not known."
    least, most = (100 * c for c in grains.clear)
    if most <= 0:
        return "The grains fill the jar as a bed: no clear layer."
    if grains.word == PACKED:
        return f"Packed; shaken down it may show up to {most:.0f} % of the height clear."
    return f"If all settles, {least:.0f} to {most:.0f} % of the height is clear above the grains."


def pouring_chart(pouring: Pouring, sets: Sequence[SetsAt]) -> dict[str, Any] | None:
    """Where each fat melts or sets, and the temperature after mixing as a line.

    Parameters
    ----------
    pouring : Pouring
        Temperature after parts met.
    sets : sequence of SetsAt
        Melting and setting of the fats, the highest first.

    Returns
    -------
    dict or None
        A Vega-Lite specification; None where no fat has a figure.
    """
    rows = []
    for s in sets[:SHOWN_MOST]:
        for kind, span in (("melts", s.melts), ("sets", s.sets)):
            if span is not None:
                rows.append(
                    {
                        "fat": short(s.name),
                        "kind": kind,
                        "low": span[0] - 0.3,
                        "high": span[1] + 0.3,
                        "range": f"{span[0]:g} to {span[1]:g} °C",
                    }
                )
    if not rows:
        return None
    m = pouring.mixed
    x = {
        "type": "quantitative",
        "scale": {"domain": [0, 100]},
        "axis": {"title": "temperature [°C]", "grid": False, "tickCount": 5},
    }
    y = {
        "field": "fat",
        "type": "nominal",
        "sort": None,
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 130},
    }
    return {
        "height": ROW * len({r["fat"] for r in rows}) + AXIS,
        "layer": [
            {
                "data": {"values": [{"low": m.low - 0.3, "high": m.high + 0.3, "says": f"{m.value:.0f} °C"}]},
                "mark": {"type": "rect", "color": BLEND, "opacity": 0.85},
                "encoding": {
                    "x": {**x, "field": "low"},
                    "x2": {"field": "high"},
                    "tooltip": [{"field": "says", "title": "after mixing"}],
                },
            },
            {
                "data": {"values": rows},
                "mark": {"type": "bar", "height": 14, "color": TARGET},
                "encoding": {
                    "x": {**x, "field": "low"},
                    "x2": {"field": "high"},
                    "y": y,
                    "opacity": {
                        "field": "kind",
                        "type": "nominal",
                        "legend": None,
                        "scale": {"domain": ["melts", "sets"], "range": [0.8, 0.45]},
                    },
                    "tooltip": [{"field": "fat"}, {"field": "kind"}, {"field": "range"}],
                },
            },
        ],
    }


def pouring_words(pouring: Pouring, sets: Sequence[SetsAt]) -> str:
    """The numbers of `pouring_chart` as text.

    Parameters
    ----------
    pouring : Pouring
        Temperature after parts met.
    sets : sequence of SetsAt
        Melting and setting of the fats.

    Returns
    -------
    str
        The temperature and each range.
    """
    spans = [
        f"{s.name} {kind} at {span[0]:g} to {span[1]:g} °C"
        for s in sets[:SHOWN_MOST]
        for kind, span in (("melts", s.melts), ("sets", s.sets))
        if span is not None
    ]
    return f"After mixing {pouring.mixed.value:.0f} °C; {'; '.join(spans)}."
