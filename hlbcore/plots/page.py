"""Pictures that a page draws by itself, from the same numbers as the other figures.

The axis changes with every edit, so it is places on a line, without a chart engine; the others are data
and marks as Vega-Lite takes them. What is asked is round, what is brought a diamond.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from hlbcore.blending.worked import Worked
from hlbcore.estimate import Estimate
from hlbcore.formula.sums import phase_sums
from hlbcore.library import Library
from hlbcore.plots.style import EMULSIFIER, TARGET, short
from hlbcore.swapping.results import Swap
from hlbcore.swapping.sheet import amounts_table

HLB_TOP = 20.0
"""End of the axis unless something lies beyond. [HLB]"""

TICK = 5.0
"""Between two figures below the axis. [HLB]"""

WORDS_RIGHT_UP_TO = 55.0
"""Where window and ranges end further right, the words stand at their left. [% of the axis]"""


@dataclass(frozen=True, slots=True)
class AxisRow:
    """One figure on the axis: its words, its side and its places from the left.

    Parameters
    ----------
    text : str
        Figure in words.
    side : str
        `asked` or `brought`.
    at, low, high : float
        Places of the value and of the ends of its range. [% of the axis]
    says : str
        More words, for who points at it.
    """

    text: str
    side: str
    at: float
    low: float
    high: float
    says: str

    @property
    def width(self) -> float:
        """Of the range. [% of the axis]"""
        return self.high - self.low


@dataclass(frozen=True, slots=True)
class Axis:
    """The HLB axis of a formula: window, what is asked and what is brought.

    Parameters
    ----------
    low, width : float
        Left edge and width of the window. [% of the axis]
    window : str
        The window in words.
    rows : tuple of AxisRow
        What is asked, then what is brought.
    ticks : tuple of (str, float)
        HLB and its place. [% of the axis]
    """

    low: float
    width: float
    window: str
    rows: tuple[AxisRow, ...]
    ticks: tuple[tuple[str, float], ...]

    @property
    def words(self) -> tuple[str, float]:
        """On which side of the axis the words begin, and how far in. [% of the axis]"""
        right = max(self.low + self.width, *(row.high for row in self.rows))
        if right <= WORDS_RIGHT_UP_TO:
            return "left", right
        return "right", 100 - min(self.low, *(row.low for row in self.rows))


def axis(worked: Worked) -> Axis | None:
    """The HLB axis with window, what is asked and what is brought, with their doubt.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    Axis or None
        None where nothing is asked for.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [row.text for row in axis(work_out(example_formula())).rows]
    ['oils ask for 8.2', 'blend brings 8.2']
    """
    target = worked.target
    if target is None:
        return None
    blend = None if worked.blend is None else worked.blend.estimate
    top = max(HLB_TOP, target.high, 0.0 if blend is None else blend.high)

    def place(hlb: float) -> float:
        return round(100 * hlb / top, 2)

    def row(words: str, e: Estimate, side: str) -> AxisRow:
        text = f"{words} {e.value:.1f}"
        says = f"{text}, doubt of the tables {e.low:.1f} to {e.high:.1f}"
        return AxisRow(text, side, place(e.value), place(e.low), place(e.high), says)

    rows = [row("oils ask for", target, "asked")]
    if blend is not None:
        rows.append(row("blend brings", blend, "brought"))
    low, high = max(0.0, target.value - worked.window), min(top, target.value + worked.window)
    steps = (n * TICK for n in range(int(top / TICK) + 1))
    return Axis(
        place(low),
        place(high - low),
        f"window {low:.1f} to {high:.1f}",
        tuple(rows),
        tuple((f"{step:g}", place(step)) for step in steps),
    )


def axis_words(worked: Worked) -> str:
    """The numbers of `axis` as text, for those who do not see it.

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


LABEL_FROM_PCT = 13.0
"""A part of the bar that is narrower has no words inside. [% of the bar]"""


def phase_bar(worked: Worked) -> tuple[tuple[str, float, bool], ...]:
    """The whole formula as one bar: phases in the order of work.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    tuple of (str, float, bool)
        Phase, its share of the bar [%], and whether its words find room inside. The bar is 100 % of the
        formula, or all of it where it is more; what is missing is left blank.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> [(phase, f"{pct:.1f}") for phase, pct, _ in phase_bar(work_out(example_formula()))]
    [('water', '74.4'), ('oil', '24.5'), ('cool-down', '1.1')]
    """
    made = worked.made
    sums = phase_sums(replace(made, aims=replace(made.aims, unit="%")))
    whole = max(100.0, math.fsum(sums.values()))
    shares = ((phase, round(100 * pct / whole, 2)) for phase, pct in sums.items() if pct > 0)
    return tuple((phase, share, share >= LABEL_FROM_PCT) for phase, share in shares)


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
