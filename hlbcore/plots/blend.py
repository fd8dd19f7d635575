"""Figures of an oil phase and its blend; every function takes results and returns a Figure."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore.blending.solution import limits_of
from hlbcore.blending.worked import Worked
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate
from hlbcore.plots.shares import ratio, ratio_and_total, triangle
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, PAD, TARGET, WINDOW_FILL, look, new_figure, short


def hlb_axis(
    target: Estimate,
    window: float,
    *,
    blend: Estimate | None = None,
    emulsifiers: Mapping[str, Estimate] | None = None,
    word: str = "",
) -> Figure:
    """The HLB axis with window, range of the target, emulsifiers and blend.

    Parameters
    ----------
    target : Estimate
        Required HLB. [HLB]
    window : float
        Half width of the window, what the bench gives. [HLB]
    blend : Estimate, optional
        The blend. [HLB]
    emulsifiers : mapping of str to Estimate, optional
        Each emulsifier. [HLB]
    word : str
        The verdict in a word, for the title.

    Returns
    -------
    Figure
        The window is a hatched band, the doubt of the tables a bar with ends.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(hlb_axis(Estimate(8, 7, 9), 1.0, blend=Estimate(8.4, 8, 9), word="inside"))
    'Blend 8.4 (8.0 to 9.0): inside. Required HLB 8.0 (7.0 to 9.0), window 7.0 to 9.0.'
    """
    held = dict(emulsifiers or {})
    rows: list[tuple[str, Estimate, str, str]] = [("required HLB", target, "o", TARGET)]
    if blend is not None:
        rows.append((f"{word}: blend" if word else "blend", blend, "D", BLEND))
    rows += [(short(n), e, "s", EMULSIFIER) for n, e in held.items()]
    with look():
        figure, axes = new_figure(0.95 + 0.36 * len(rows))
        low, high = max(0.0, target.value - window), target.value + window
        axes.axvspan(low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0.0, alpha=0.6)
        for edge in (low, high):
            axes.axvline(edge, color=TARGET, lw=1.0, ls=(0, (4, 2)))
        top = max(20.0, *(e.high for _, e, _, _ in rows)) + 0.5
        for n, (label, e, marker, colour) in enumerate(rows):
            axes.plot([e.low, e.high], [n, n], color=colour, lw=2.2, marker="|", ms=9, mew=1.6)
            size = 9 if marker != "s" else 6
            axes.plot(e.value, n, marker, color=colour, ms=size, mec="white", mew=0.8, zorder=3)
            right = e.high < 0.55 * top
            axes.text(
                e.high + 0.45 if right else e.low - 0.45,
                n,
                f"{label} {e.value:.1f}",
                color=INK,
                ha="left" if right else "right",
                va="center",
                fontsize=9,
                zorder=4,
                bbox=PAD,
            )
        axes.set_ylim(len(rows) - 0.4, -0.7)
        axes.set_xlim(0, top)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MultipleLocator(5))
        axes.xaxis.set_minor_locator(MultipleLocator(1))
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("HLB, Griffin scale [-]")
        title = f"window {low:.1f} to {high:.1f} (hatched), bars: doubt of the tables"
        axes.set_title(title, loc="left", fontsize=9)
    said = []
    if blend is not None:
        verdict = f": {word}" if word else ""
        said.append(f"Blend {blend.value:.1f} ({blend.low:.1f} to {blend.high:.1f}){verdict}.")
    said.append(
        f"Required HLB {target.value:.1f} ({target.low:.1f} to {target.high:.1f}), "
        f"window {low:.1f} to {high:.1f}."
    )
    said += [f"{n}: {e.value:.1f} ({e.low:.1f} to {e.high:.1f})." for n, e in held.items()]
    figure.set_label(" ".join(said))
    return figure


BARS_MOST = 40
"""Bars of `contributions`: with more ingredients the smallest share the last bar. [-]
Our convention."""


def _bars(table: pd.DataFrame) -> list[tuple[str, float, float, float]]:
    """Ingredient, share, contribution and required HLB of each bar."""
    columns = ["ingredient", "share_pct", "contribution", "required_hlb"]
    kept = table[columns]
    if len(table) > BARS_MOST:
        kept = kept.nlargest(BARS_MOST - 1, "contribution").sort_index()
    bars = list(kept.itertuples(index=False, name=None))
    if len(rest := table.drop(kept.index)):
        share, part = float(rest["share_pct"].sum()), float(rest["contribution"].sum())
        mean = 100 * part / share if share else 0.0
        bars.append((f"{len(rest)} others together", share, part, mean))
    return bars


def contributions(required: RequiredHlb) -> Figure:
    """What each ingredient brings to the required HLB.

    Parameters
    ----------
    required : RequiredHlb
        The oil phase. [HLB]

    Returns
    -------
    Figure
        A bar for each ingredient, at most 40; the bars add up to the required HLB.

    Examples
    --------
    >>> from hlbcore import required_hlb
    >>> from hlbcore.plots.style import words
    >>> words(contributions(required_hlb({"soybean oil": 3, "castor oil": 1})))
    'Required HLB 8.0: soybean oil 4.50 (75 % at 6.0), castor oil 3.50 (25 % at 14.0).'
    """
    bars = _bars(required.contributions)
    with look():
        figure, axes = new_figure(0.9 + 0.42 * len(bars))
        said = []
        for n, (name, share, part, value) in enumerate(bars):
            axes.barh(n, part, height=0.42, color=TARGET, edgecolor=INK, lw=0.6)
            axes.text(
                0,
                n - 0.3,
                f"{short(name)}: {share:.0f} % of the oils at {value:.1f}",
                va="bottom",
                ha="left",
                fontsize=9,
                color=INK,
            )
            axes.text(part, n, f" {part:.2f}", va="center", ha="left", fontsize=9, color=INK)
            said.append(f"{name} {part:.2f} ({share:.0f} % at {value:.1f})")
        axes.set_ylim(len(bars) - 0.5, -0.9)
        axes.set_xlim(0, 1.15 * (max(part for _, _, part, _ in bars) or 1.0))
        axes.set_yticks([])
        axes.spines["left"].set_visible(False)
        axes.set_xlabel(f"contribution to the required HLB of {required.value:.1f} [HLB]")
    figure.set_label(f"Required HLB {required.value:.1f}: {', '.join(said)}.")
    return figure


def of_formula(worked: Worked, which: str) -> Figure:
    """A figure of a worked formula.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.
    which : str
        ``axis``, ``contributions``, ``ratio``, ``triangle`` or ``map``.

    Returns
    -------
    Figure
        The figure.

    Raises
    ------
    InvalidInput
        If the formula does not hold what the figure needs.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> from hlbcore.plots.style import words
    >>> words(of_formula(work_out(example_formula()), "axis"))[:10]
    'Blend 8.2 '
    """
    required, blend = worked.required, worked.solved or worked.proposal
    if required is None:
        raise InvalidInput("figure", "there is no oil phase yet", "Enter one.")
    if which == "contributions":
        return contributions(required)
    if which == "axis":
        held = worked.blend
        parts = dict(zip(held.labels, held.mixture.parts, strict=True)) if held else {}
        return hlb_axis(
            required.estimate,
            worked.window,
            blend=held.estimate if held else None,
            emulsifiers=parts,
            word=worked.verdict.word,
        )
    if blend is None:
        raise InvalidInput("figure", "there is no blend to draw", "Mend the formula first.")
    if which == "ratio":
        return ratio(blend, worked.window)
    if which == "triangle":
        return triangle(blend, worked.window)
    return ratio_and_total(blend, worked.dose_asked, limits_of(worked.emulsifiers), worked.window)
