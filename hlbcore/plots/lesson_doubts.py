"""Figures of the lessons in which something gives: a swap, a scatter, a spread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore._numbers import checked
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import InvalidInput, clipped
from hlbcore.ladder.curves import Array
from hlbcore.ladder.fit import fit_trials
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.next_vials import answers, answers_in_words
from hlbcore.lessons.guesses import DOUBTED, INTO, OUT, PHASE
from hlbcore.library import Library, load_library
from hlbcore.plots.lesson_sums import NO_GUESS, Guess, band, guessed, point
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, PAD, TARGET, WINDOW_FILL, look, new_figure
from hlbcore.product_types import product_type

# the ladder is made up: a parabola of scores from 0 to 10
FIRST, LAST = 7.0, 13.0
TOP_HLB, TOP_SCORE, FALL = 10.0, 9.0, 0.7
HEIGHT = FALL * (LAST - TOP_HLB) ** 2
"""What its response spans, from the top to the ends. [points]"""

VIALS, MADE = (5, 7, 9), (1, 2)
"""Different HLB values of a ladder, and how often each is made, for which chances were simulated. [-]"""

SCATTER_MOST = 30.0
"""Scatter as far as it was simulated. [% of the height]"""


def swapped(
    share_pct: float,
    *,
    phase: Mapping[str, float] = PHASE,
    out: str = OUT,
    into: str = INTO,
    window: float | None = None,
    guess: Guess = NO_GUESS,
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
    guess : tuple
        A guess to draw, see `Guess`.

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
        guessed(axes, guess)
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


def ladder(scatter_pct: float, *, vials: int = 7, made: int = 1, draw: int = 1) -> Figure:
    """A made-up ladder with scatter, its fitted curve, and how often such a ladder answers.

    Parameters
    ----------
    scatter_pct : float
        Standard deviation of a reading. [% of the height of the hump, 0 to 30]
    vials : int
        Different HLB values: 5, 7 or 9. [-]
    made : int
        How often each is made: 1 or 2. [-]
    draw : int
        Another gives the same ladder another scatter. [-]

    Returns
    -------
    Figure
        Above one ladder, its true optimum dotted; below the share of simulated ladders that show a
        clear optimum, against the scatter.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(ladder(0)).partition(": ")[2].partition(" (")[0]
    'clear optimum at HLB 10.0'
    """
    pct = checked(scatter_pct, "scatter", low=0, high=SCATTER_MOST, unit="%")
    for number, name, held in ((vials, "vials", VIALS), (made, "times made", MADE)):
        if number not in held:
            raise InvalidInput(name, f"{clipped(number)} was not simulated", f"Use one of {held}.")
    rungs = np.repeat(np.linspace(FIRST, LAST, vials), made)
    noise = HEIGHT * pct / 100 * np.random.default_rng([9, draw]).normal(size=rungs.size)
    scores = np.clip(TOP_SCORE - FALL * (rungs - TOP_HLB) ** 2 + noise, 0.0, 10.0)
    fit = fit_trials(rungs.tolist(), scores.tolist(), scale=(0.0, 10.0))
    with look():
        figure, axes = new_figure(4.5, left_in=0.5)
        _one_ladder(axes, rungs, scores, fit)
        left, bottom, width, height = axes.get_position().bounds
        axes.set_position((left, bottom + 0.46 * height, width, 0.54 * height))
        _chances(figure.add_axes((left, bottom, width, 0.24 * height)), pct, vials, made)
    times = "" if made == 1 else ", each made twice"
    figure.set_label(
        f"A made-up ladder of {vials} vials{times}, scatter {pct:g} % of its height, true optimum "
        f"{TOP_HLB:.1f}: {fit.verdict}. {answers_in_words(vials, vials if made == 2 else 0, pct / 100)}"
    )
    return figure


def _one_ladder(axes: Axes, rungs: Array, scores: Array, fit: TrialFit) -> None:
    ends = [FIRST - 0.5 if fit.low is None else fit.low, LAST + 0.5 if fit.high is None else fit.high]
    band(axes, *ends, across=True)
    axes.axvline(TOP_HLB, color=INK, lw=1.0, ls=":")
    for _, line in fit.curve.groupby(["model", "time"]):
        axes.plot(line["hlb"], line["response"], color=EMULSIFIER, lw=1.6)
    axes.plot(rungs, scores, "o", color=TARGET, ms=7, mec="white", zorder=3)
    if fit.optimum is not None:
        axes.axvline(fit.optimum, color=BLEND, lw=1.6, ls=(0, (4, 2)))
        axes.plot(fit.optimum, 0.35, "D", color=BLEND, ms=8, mec="white", zorder=3)
    axes.set_xlim(FIRST - 0.5, LAST + 0.5)
    axes.set_ylim(0, 10.3)
    axes.set_xlabel("HLB of the vial [-]")
    axes.set_ylabel("score, 10 is best [points]")
    axes.set_title("hatched: interval; dashed: optimum read; dotted: true", loc="left", fontsize=9)


def _chances(axes: Axes, pct: float, vials: int, made: int) -> None:
    """The share of ladders that answer against the scatter: each kind as a line, the chosen one thick."""
    at = np.linspace(5.0, SCATTER_MOST, 26)
    for n in VIALS:
        for times in MADE:
            chosen = (n, times) == (vials, made)
            shares = [100 * answers(f"{n} twice" if times == 2 else str(n), x / 100) for x in at]
            axes.plot(
                at,
                shares,
                color=BLEND if chosen else EMULSIFIER,
                lw=2.0 if chosen else 0.8,
                ls="-" if times == 1 else (0, (4, 2)),
                zorder=3 if chosen else 2,
            )
    share = 100 * answers(f"{vials} twice" if made == 2 else str(vials), max(pct, 5.0) / 100)
    axes.plot(pct, share, "D", color=BLEND, ms=8, mec="white", zorder=4, clip_on=False)
    axes.set_xlim(0, SCATTER_MOST)
    axes.set_ylim(0, 100)
    axes.yaxis.set_major_locator(MultipleLocator(50))
    axes.set_xlabel("scatter [% of the height]")
    axes.set_title("clear optimum, of 100 ladders; dashed: made twice", loc="left", fontsize=9)


def spread(window: float, *, oils: Sequence[str] = DOUBTED, library: Library | None = None) -> Figure:
    """How far the tables differ on some oils, against the window.

    Parameters
    ----------
    window : float
        Half width of what the bench allows. [HLB]
    oils : sequence of str
        Oils with a required HLB, o/w.

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
