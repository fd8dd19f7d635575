"""Shares of a solved blend: two, three, and two with their total."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.figure import Figure

from hlbcore.blending.results import Blend
from hlbcore.errors import InvalidInput
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
    >>> words(triangle(s)).startswith("Shares of the chosen blend: ")
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
        f"{100 * f:.0f} % {n}" for n, f in zip(blend.labels, blend.mixture.fractions, strict=True)
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
