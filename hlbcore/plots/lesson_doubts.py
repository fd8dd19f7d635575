"""Figures of the lessons in which something gives: a swap, a scatter, a spread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore._numbers import checked
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import clipped
from hlbcore.ladder.fit import fit_trials
from hlbcore.library import Library, load_library
from hlbcore.plots.lesson_sums import band, point
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, PAD, TARGET, WINDOW_FILL, look, new_figure
from hlbcore.product_types import product_type

PHASE = MappingProxyType({"sunflower oil": 60.0, "cocoa butter": 40.0})  # made up


DOUBTED = (
    "soybean oil",
    "shea butter",
    "mineral oil",
    "beeswax",
    "lanolin",
    "petrolatum",
    "dimethicone",
    "caprylic/capric triglyceride",
)


# the ladder is made up: a parabola of scores from 0 to 10, and one draw of scatter for all
RUNGS = (7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0)


TOP_HLB, TOP_SCORE, FALL = 10.0, 9.0, 0.7
_DRAW = tuple(np.random.default_rng(9).normal(size=len(RUNGS)))


def swapped(
    share_pct: float,
    *,
    phase: Mapping[str, float] = PHASE,
    out: str = "cocoa butter",
    into: str = "castor oil",
    window: float | None = None,
    library: Library | None = None,
) -> Figure:
    """Required HLB while one oil is swapped for another, against the window of the old blend.

    Parameters
    ----------
    share_pct : float
        How much of what goes out is swapped. [% of it, 0 to 100]
    phase : mapping of str to float
        The oil phase before. [parts]
    out, into : str
        What goes out, and what comes in.
    window : float, optional
        Half width; that of an o/w cream if left out. [HLB]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Figure
        The old blend stands at the old required HLB; the words say whether it may stay.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(swapped(0)).partition(". ")[2][:52]
    'With 0 % of the cocoa butter swapped for castor oil '
    """
    half = product_type("o/w cream").window if window is None else window
    chosen = checked(share_pct, "share swapped", low=0, high=100, unit="%")

    def at(share: float) -> float:
        moved = phase[out] * share / 100
        held = {**phase, out: phase[out] - moved}
        held[into] = held.get(into, 0.0) + moved
        return required_hlb(held, library=library).value

    shares = np.linspace(0, 100, 21)
    values = [at(float(s)) for s in shares]
    old, here = values[0], at(chosen)
    away = abs(here - old)
    stays = away <= half + 1e-9
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        band(axes, old - half, old + half)
        axes.axhline(old, color=EMULSIFIER, lw=1.2, ls=(0, (4, 2)))
        axes.plot(shares, values, color=TARGET, lw=1.8)
        point(axes, chosen, here, f"{here:.1f}: {'may stay' if stays else 'outside'}", 65)
        axes.set_xlim(0, 100)
        axes.set_ylim(min(*values, old - half) - 0.8, max(*values, old + half) + 0.8)
        axes.set_xlabel(f"{clipped(out, 30)} swapped for {clipped(into, 30)} [%]")
        axes.set_ylabel("required HLB, o/w [-]")
        axes.set_title(f"hatched: {old:.1f} ± {half:g}, what the old blend serves", loc="left", fontsize=9)
    made_of = ", ".join(f"{parts:g} parts {name}" for name, parts in phase.items())
    figure.set_label(
        f"Oil phase: {made_of}. With {chosen:g} % of the {out} swapped for {into} the "
        f"required HLB is {here:.1f} instead of {old:.1f}, {away:.1f} away: the old blend "
        f"{'may stay' if stays else 'lies outside the window'} (window ±{half:g})."
    )
    return figure


def ladder(scatter: float) -> Figure:
    """A made-up ladder with scatter, its fitted curve and the interval of the optimum.

    Parameters
    ----------
    scatter : float
        Standard deviation of a reading. [points of a score from 0 to 10]

    Returns
    -------
    Figure
        The true optimum is dotted; a wide interval, or none, is the price of scatter.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(ladder(0)).partition(": ")[2]
    'clear optimum at HLB 10.0 (9.3 to 10.7).'
    """
    noise = checked(scatter, "scatter", low=0, high=10, unit="points")
    scores = [
        min(10.0, max(0.0, TOP_SCORE - FALL * (h - TOP_HLB) ** 2 + noise * float(z)))
        for h, z in zip(RUNGS, _DRAW, strict=True)
    ]
    fit = fit_trials(RUNGS, scores, scale=(0.0, 10.0))
    ends = [RUNGS[0] - 0.5 if fit.low is None else fit.low, RUNGS[-1] + 0.5 if fit.high is None else fit.high]
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        band(axes, *ends, across=True)
        axes.axvline(TOP_HLB, color=INK, lw=1.0, ls=":")
        for _, line in fit.curve.groupby(["model", "time"]):
            axes.plot(line["hlb"], line["response"], color=EMULSIFIER, lw=1.6)
        axes.plot(RUNGS, scores, "o", color=TARGET, ms=7, mec="white", zorder=3)
        if fit.optimum is not None:
            axes.axvline(fit.optimum, color=BLEND, lw=1.6, ls=(0, (4, 2)))
            axes.plot(fit.optimum, 0.35, "D", color=BLEND, ms=8, mec="white", zorder=3)
        axes.set_xlim(RUNGS[0] - 0.5, RUNGS[-1] + 0.5)
        axes.set_ylim(0, 10.3)
        axes.set_xlabel("HLB of the vial [-]")
        axes.set_ylabel("score, 10 is best [points]")
        axes.set_title("hatched: interval; dashed: optimum read; dotted: true", loc="left", fontsize=9)
    figure.set_label(
        f"A made-up ladder, scatter {noise:g} points, true optimum {TOP_HLB:.1f}: {fit.verdict}."
    )
    return figure


def spread(window: float, *, oils: Sequence[str] = DOUBTED, library: Library | None = None) -> Figure:
    """How far the tables differ on some oils, against the window.

    Parameters
    ----------
    window : float
        Half width of what the bench allows. [HLB]
    oils : sequence of str
        Oils with a required HLB, o/w.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Figure
        A bar from the lowest to the highest figure of each oil, with the window around its value.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(spread(1, oils=["soybean oil", "beeswax"]))
    'A window of ±1 covers the range of the tables for soybean oil; not for beeswax (9.0 to 16.0).'
    """
    library = library or load_library()
    half = checked(window, "window", low=0, high=20, unit="HLB")
    held = [(n, e) for n in oils if (e := library.oil(n).required_hlb("o/w")) is not None]
    inside: list[str] = []
    wider: list[str] = []
    with look():
        figure, axes = new_figure(0.95 + 0.46 * len(held))
        for n, (name, e) in enumerate(held):
            fits = e.value - half <= e.low + 1e-9 and e.high - 1e-9 <= e.value + half
            (inside if fits else wider).append(name if fits else f"{name} ({e.low:.1f} to {e.high:.1f})")
            axes.barh(
                n,
                2 * half,
                left=e.value - half,
                height=0.36,
                facecolor=WINDOW_FILL,
                edgecolor=TARGET,
                hatch="///",
                lw=0.6,
            )
            axes.plot(
                [e.low, e.high], [n, n], color=INK if fits else BLEND, lw=2.2, marker="|", ms=9, mew=1.6
            )
            axes.plot(e.value, n, "o", color=INK if fits else BLEND, ms=7, mec="white", zorder=3)
            axes.text(
                0.1,
                n - 0.24,
                f"{clipped(name, 40)}{'' if fits else ': wider'}",
                color=INK,
                va="bottom",
                ha="left",
                fontsize=9,
                bbox=PAD,
            )
        axes.set_ylim(len(held) - 0.5, -0.85)
        axes.set_xlim(0, 20)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MultipleLocator(5))
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("required HLB, o/w [-]")
        axes.set_title(f"hatched: window ±{half:g}; bars: range of the tables", loc="left", fontsize=9)
    said = f"A window of ±{half:g} covers the range of the tables for {', '.join(inside) or 'none'}"
    figure.set_label(f"{said}; not for {', '.join(wider)}." if wider else f"{said}.")
    return figure
