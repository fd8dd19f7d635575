"""Figures of an oil phase and its blend; every function takes results and returns a Figure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore.blending.results import Blend
from hlbcore.blending.work_out import limits_of
from hlbcore.blending.worked import Worked
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate
from hlbcore.plots.style import (
    BLEND,
    EMULSIFIER,
    INK,
    PAD,
    REGION_FILL,
    TARGET,
    WINDOW_FILL,
    look,
    new_figure,
    short,
)


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
    'Required HLB 8.8: soybean oil 5.25 (75 % at 7.0), castor oil 3.50 (25 % at 14.0).'
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


def _used(blend: Blend, least: int, most: int) -> list[int]:
    used = [i for i, m in enumerate(blend.masses) if m > 1e-9]
    if not least <= len(used) <= most:
        raise InvalidInput(
            "figure",
            f"the blend uses {len(used)} emulsifiers",
            f"It can be drawn for {least if least == most else f'{least} or more'}.",
        )
    return used


def ratio(blend: Blend, window: float | None = None) -> Figure:
    """Blend HLB against the ratio of two emulsifiers.

    Parameters
    ----------
    blend : Blend
        A blend that uses two emulsifiers. [HLB]
    window : float, optional
        Half width; that of the blend if left out. [HLB]

    Returns
    -------
    Figure
        The line of the pair, its range, the window and the chosen point.

    Raises
    ------
    InvalidInput
        If the blend does not use exactly two.

    Examples
    --------
    >>> from hlbcore import solve_blend
    >>> from hlbcore.plots.style import words
    >>> words(ratio(solve_blend({"a": 4.0, "b": 16.0}, 10.0, total=5)))
    'With 50 % b and 50 % a the blend has HLB 10.0; inside the window from 42 % to 58 % b.'
    """
    half = blend.window if window is None else window
    first, second = _used(blend, 2, 2)
    a, b = blend.mixture.parts[first], blend.mixture.parts[second]
    chosen = 100 * blend.mixture.fractions[second]
    low, high = blend.target.value - half, blend.target.value + half
    share = np.linspace(0, 100, 201)
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        axes.axhspan(low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0, alpha=0.6)
        axes.fill_between(
            share,
            a.low + (b.low - a.low) * share / 100,
            a.high + (b.high - a.high) * share / 100,
            color=EMULSIFIER,
            alpha=0.18,
            lw=0,
        )
        axes.plot(share, a.value + (b.value - a.value) * share / 100, color=EMULSIFIER, lw=1.8)
        axes.plot(chosen, blend.hlb, "D", color=BLEND, ms=9, mec="white", zorder=3)
        axes.annotate(
            f"{blend.hlb:.1f} at {chosen:.1f} %",
            (chosen, blend.hlb),
            xytext=(8, -14),
            textcoords="offset points",
            color=INK,
            ha="left" if chosen < 65 else "right",
            bbox=PAD,
        )
        axes.set_xlim(0, 100)
        axes.set_xlabel(f"{short(blend.labels[second])} [% of the blend]")
        axes.set_ylabel("HLB of the blend [-]")
        axes.set_title(
            f"hatched: window {low:.1f} to {high:.1f}; grey: doubt of the tables", loc="left", fontsize=9
        )
    said = (
        f"With {chosen:.0f} % {blend.labels[second]} and {100 - chosen:.0f} % "
        f"{blend.labels[first]} the blend has HLB {blend.hlb:.1f}"
    )
    if a.value != b.value:
        ends = sorted(min(100.0, max(0.0, 100 * (e - a.value) / (b.value - a.value))) for e in (low, high))
        said += f"; inside the window from {ends[0]:.0f} % to {ends[1]:.0f} % {blend.labels[second]}"
    figure.set_label(said + ".")
    return figure


_CORNERS = np.array([[0.0, 0.0], [1.0, 0.0], [0.5, np.sqrt(3) / 2]])


def triangle(blend: Blend, window: float | None = None) -> Figure:
    """Three emulsifiers: the mixtures inside the window, and the chosen point.

    Parameters
    ----------
    blend : Blend
        A blend of three emulsifiers. [HLB]
    window : float, optional
        Half width; that of the blend if left out. [HLB]

    Returns
    -------
    Figure
        A triangle whose corners are the pure emulsifiers.

    Raises
    ------
    InvalidInput
        If the blend does not hold exactly three emulsifiers.

    Examples
    --------
    >>> from hlbcore import solve_blend
    >>> s = solve_blend({"a": 4.0, "b": 16.0, "c": 9.0}, 10.0, total=5)
    >>> from hlbcore.plots.style import words
    >>> words(triangle(s)).startswith("Shares of the chosen blend: a")
    True
    """
    if len(blend.labels) != 3:
        raise InvalidInput(
            "figure", f"there are {len(blend.labels)} emulsifiers", "The triangle shows three."
        )
    half = blend.window if window is None else window
    hlb = np.array([p.value for p in blend.mixture.parts])
    low, high = blend.target.value - half, blend.target.value + half
    with look():
        figure, axes = new_figure(3.9)
        steps = 240
        i, j = np.meshgrid(np.arange(steps + 1), np.arange(steps + 1))
        keep = i + j <= steps
        shares = np.column_stack([i[keep], j[keep], steps - i[keep] - j[keep]]) / steps
        points = shares @ _CORNERS
        levels = sorted({max(low, float(hlb.min())), min(high, float(hlb.max()))})
        if len(levels) == 2 and levels[0] < levels[1]:
            axes.tricontourf(
                points[:, 0], points[:, 1], shares @ hlb, levels=levels, colors=[WINDOW_FILL], hatches=["///"]
            )
        outline = np.vstack([_CORNERS, _CORNERS[:1]])
        axes.plot(outline[:, 0], outline[:, 1], color=INK, lw=1.2)
        at = np.array(blend.mixture.fractions) @ _CORNERS
        axes.plot(at[0], at[1], "D", color=BLEND, ms=10, mec="white", zorder=3)
        axes.annotate(f"{blend.hlb:.1f}", at, xytext=(8, 6), textcoords="offset points", color=INK, bbox=PAD)
        for n, (x, y) in enumerate(_CORNERS):
            text = f"{short(blend.labels[n])}\nHLB {hlb[n]:.1f}"
            axes.text(
                x,
                y + (0.04 if n == 2 else -0.04),
                text,
                ha=("left", "right", "center")[n],
                va="bottom" if n == 2 else "top",
                fontsize=9,
                color=INK,
            )
        axes.set_xlim(-0.08, 1.08)
        axes.set_ylim(-0.2, 1.06)
        axes.set_aspect("equal")
        axes.set_axis_off()
        # an axes of equal sides is narrower than the figure, so the title stands in the figure
        title = f"corners: 100 % of one emulsifier; hatched: HLB {low:.1f} to {high:.1f}"
        figure.text(0.03, 0.965, title, fontsize=9, va="top", color=INK)
    parts = ", ".join(
        f"{n} {100 * f:.0f} %" for n, f in zip(blend.labels, blend.mixture.fractions, strict=True)
    )
    figure.set_label(
        f"Shares of the chosen blend: {parts}; HLB {blend.hlb:.1f}, window {low:.1f} to {high:.1f}."
    )
    return figure


def ratio_and_total(
    blend: Blend,
    total: tuple[float, float],
    limits: Mapping[str, tuple[float, float]] | None = None,
    window: float | None = None,
) -> Figure:
    """Which ratios and totals are allowed: window and limits of two emulsifiers.

    Parameters
    ----------
    blend : Blend
        A blend of two or more; all but the two largest keep their amounts. [HLB]
    total : tuple of float
        Totals asked for. [% of formula]
    limits : mapping of str to tuple of float, optional
        Limits of each emulsifier, by label. [% of formula]
    window : float, optional
        Half width; that of the blend if left out. [HLB]

    Returns
    -------
    Figure
        The region where all limits hold, and the chosen point.

    Raises
    ------
    InvalidInput
        If the blend uses fewer than two emulsifiers.

    Examples
    --------
    >>> from hlbcore import solve_blend
    >>> s = solve_blend({"a": 4.0, "b": 16.0}, 10.0, total=(3, 6))
    >>> from hlbcore.plots.style import words
    >>> words(ratio_and_total(s, (3, 6))).partition(". ")[2]
    'Allowed from 42 % to 58 % b and totals of 3.0 to 6.0 %.'
    """
    half = blend.window if window is None else window
    used = sorted(_used(blend, 2, 99), key=lambda n: -blend.masses[n])[:2]
    first, second = sorted(used)
    rest = [n for n in range(len(blend.labels)) if n not in (first, second)]
    held = sum(blend.masses[n] for n in rest)
    held_hlb = sum(blend.masses[n] * blend.mixture.parts[n].value for n in rest)
    top = max(total[1], blend.total) * 1.25
    x, y = np.meshgrid(np.linspace(0, 100, 401), np.linspace(max(held, 1e-3), top, 301))
    pair = y - held
    b = pair * x / 100
    a = pair - b
    hlb = (a * blend.mixture.parts[first].value + b * blend.mixture.parts[second].value + held_hlb) / y
    tiny = 1e-9
    ok = (np.abs(hlb - blend.target.value) <= half + tiny) & (y >= total[0] - tiny)
    ok &= y <= total[1] + tiny
    for amount, n in ((a, first), (b, second)):
        low, high = (limits or {}).get(blend.labels[n], (0.0, np.inf))
        ok &= (amount >= low - tiny) & (amount <= high + tiny)
    chosen = 100 * blend.masses[second] / (blend.masses[first] + blend.masses[second])
    with look():
        figure, axes = new_figure(3.2, left_in=0.5)
        if ok.any() and total[0] < total[1]:
            axes.contourf(x, y, ok.astype(float), levels=[0.5, 1.5], colors=[REGION_FILL], hatches=["..."])
        axes.contour(
            x,
            y,
            hlb,
            levels=_window_levels(blend.target.value, half),
            colors=TARGET,
            linestyles="dashed",
            linewidths=1.0,
        )
        for end in dict.fromkeys(total):
            axes.axhline(end, color=INK, lw=1.0, ls=":")
        axes.plot(chosen, blend.total, "D", color=BLEND, ms=9, mec="white", zorder=3)
        axes.set_ylim(0, top)
        axes.set_xlabel(f"{short(blend.labels[second])} [% of the two]")
        axes.set_ylabel("all emulsifiers [% of the formula]")
        axes.set_title("dotted area: allowed; dashed: edges of the window", loc="left", fontsize=9)
    pair_names = f"{blend.labels[second]} of {blend.labels[first]} and {blend.labels[second]}"
    said = f"Chosen: {chosen:.0f} % {pair_names}, total {blend.total:.1f} %."
    if ok.any():
        said += (
            f" Allowed from {x[ok].min():.0f} % to {x[ok].max():.0f} % {blend.labels[second]} and "
            f"totals of {y[ok].min():.1f} to {y[ok].max():.1f} %."
        )
    figure.set_label(said)
    return figure


def _window_levels(target: float, half: float) -> Sequence[float]:
    return [target - half, target + half] if half > 0 else [target]


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
