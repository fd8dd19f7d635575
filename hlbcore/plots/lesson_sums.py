"""Figures of the lessons whose sums can be done by hand: scale, two oils, a pair, a dose."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore._numbers import checked
from hlbcore.blending.dose import usual_loading
from hlbcore.blending.mixing import blend_hlb, split_pair
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import UnreachableTarget, clipped
from hlbcore.lessons.guesses import OILS, PAIR
from hlbcore.lessons.texts import USES
from hlbcore.library import Library, load_library
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, PAD, TARGET, WINDOW_FILL, look, new_figure
from hlbcore.product_types import product_type
from hlbcore.structure import hlb_from_oxyethylene

NEAREST = 3
"""Listed emulsifiers named beside a point of the scale. [-] Our convention."""


Guess = tuple[float | None, float | None]
"""A guess along the axis across and along the axis upwards; None where there is none. [as the axes]"""

NO_GUESS: Guess = (None, None)


def guessed(axes: Axes, guess: Guess, told_at: float = 1.0) -> None:
    """A guess as a line, where it lies on the figure; its words stand at that share of the height."""
    across, up = guess
    if across is not None and axes.get_xlim()[0] <= across <= axes.get_xlim()[1]:
        axes.axvline(across, color=BLEND, lw=1.4, ls=":", zorder=2)
        right = across > sum(axes.get_xlim()) / 2
        axes.annotate(
            "your guess",
            (across, told_at),
            xycoords=("data", "axes fraction"),
            xytext=(-3 if right else 3, -2),
            textcoords="offset points",
            color=INK,
            ha="right" if right else "left",
            va="top",
            bbox=PAD,
            zorder=4,
        )
    if up is not None and min(axes.get_ylim()) <= up <= max(axes.get_ylim()):
        axes.axhline(up, color=BLEND, lw=1.4, ls=":", zorder=2)
        axes.annotate(
            "your guess",
            (0.0, up),
            xycoords=("axes fraction", "data"),
            xytext=(4, 3),
            textcoords="offset points",
            color=INK,
            bbox=PAD,
            zorder=4,
        )


def band(axes: Axes, low: float, high: float, *, across: bool = False) -> None:
    """The window, hatched."""
    span = axes.axvspan if across else axes.axhspan
    span(low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0.0, alpha=0.6)


def point(axes: Axes, x: float, y: float, text: str, middle: float) -> None:
    """The point that the number chose, with its text on the side that has room."""
    axes.plot(x, y, "D", color=BLEND, ms=9, mec="white", zorder=3)
    axes.annotate(
        text,
        (x, y),
        xytext=(9 if x < middle else -9, -15),
        textcoords="offset points",
        color=INK,
        ha="left" if x < middle else "right",
        bbox=PAD,
        zorder=4,
    )


def scale(hydrophile_pct: float, *, guess: Guess = NO_GUESS, library: Library | None = None) -> Figure:
    """The HLB scale with its uses, and the HLB that a hydrophilic share gives.

    Parameters
    ----------
    hydrophile_pct : float
        Hydrophilic part of a nonionic molecule. [% by mass, 0 to 100]
    guess : tuple
        A guess to draw, see `Guess`.

    Returns
    -------
    Figure
        A bar for each use; the diamond is the molecule.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(scale(75))[:75]
    'A molecule that is 75 % hydrophilic has HLB 15.0: makes oil-in-water (o/w),'
    """
    library = library or load_library()
    pct = checked(hydrophile_pct, "hydrophilic share", low=0, high=100, unit="%")
    value = hlb_from_oxyethylene(pct)
    listed = [
        (i.hlb.value, i.common_name)
        for i in library.emulsifiers
        if i.hlb is not None and i.charge == "nonionic"
    ]
    near = sorted(listed, key=lambda held: (abs(held[0] - value), held[1]))[:NEAREST]
    fits = [name for name, low, high in USES if low <= value <= high]
    with look():
        figure, axes = new_figure(2.5)
        for n, (name, low, high) in enumerate(USES):
            axes.barh(
                n,
                high - low,
                left=low,
                height=0.34,
                facecolor=WINDOW_FILL,
                edgecolor=TARGET,
                hatch="///" if name in fits else "",
                lw=0.8,
            )
            left = low < 12
            axes.text(
                low if left else high,
                n - 0.24,
                f"{name}: {low:g} to {high:g}",
                color=INK,
                va="bottom",
                ha="left" if left else "right",
                fontsize=9,
                bbox=PAD,
            )
        axes.axvline(value, color=BLEND, lw=1.2, ls=(0, (4, 2)))
        point(axes, value, len(USES), f"HLB {value:.1f}", 12)
        axes.set_ylim(len(USES) + 0.7, -0.75)
        axes.set_xlim(0, 20.5)
        guessed(axes, guess, 0.28)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MultipleLocator(5))
        axes.xaxis.set_minor_locator(MultipleLocator(1))
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("HLB, Griffin scale [-]")
        axes.set_title("hatched: what this HLB is used for, roughly", loc="left", fontsize=9)
    said = ", ".join(fits) or "between the usual uses"
    held = ", ".join(f"{name} ({hlb:.1f})" for hlb, name in near)
    figure.set_label(
        f"A molecule that is {pct:g} % hydrophilic has HLB {value:.1f}: {said}. Nearest in the "
        f"tables: {held}."
    )
    return figure


def two_oils(
    share_pct: float, *, oils: tuple[str, str] = OILS, guess: Guess = NO_GUESS, library: Library | None = None
) -> Figure:
    """Required HLB against the share of one of two oils.

    Parameters
    ----------
    share_pct : float
        Share of the first oil. [% of the oil phase, 0 to 100]
    oils : tuple of str
        Two oils. [required HLB, o/w]
    guess : tuple
        A guess to draw, see `Guess`.

    Returns
    -------
    Figure
        The weighted mean as a line, the doubt of the tables as a band.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(two_oils(25)).partition(" the oil phase ")[2]
    'requires HLB 8.0 (7.0 to 9.0).'
    """
    first, second = oils
    chosen = checked(share_pct, "share", low=0, high=100, unit="%")

    def at(share: float) -> tuple[float, float, float]:
        held = required_hlb({first: share, second: 100 - share}, library=library)
        return held.value, held.low, held.high

    shares = np.linspace(0, 100, 21)
    value, low, high = np.array([at(float(s)) for s in shares]).T
    here = at(chosen)
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        axes.fill_between(shares, low, high, color=TARGET, alpha=0.18, lw=0)
        axes.plot(shares, value, color=TARGET, lw=1.8)
        point(axes, chosen, here[0], f"{here[0]:.1f}", 75)
        axes.set_xlim(0, 100)
        guessed(axes, guess)
        axes.set_xlabel(f"{clipped(first, 40)} [% of the oil phase]")
        axes.set_ylabel("required HLB, o/w [-]")
        axes.set_title("line: weighted mean; band: doubt of the tables", loc="left", fontsize=9)
    figure.set_label(
        f"With {chosen:g} % {first} ({value[-1]:.1f}) and {100 - chosen:g} % {second} "
        f"({value[0]:.1f}) the oil phase requires HLB {here[0]:.1f} ({here[1]:.1f} to "
        f"{here[2]:.1f})."
    )
    return figure


def pair(
    target: float,
    *,
    emulsifiers: tuple[str, str] = PAIR,
    window: float | None = None,
    guess: Guess = NO_GUESS,
    library: Library | None = None,
) -> Figure:
    """HLB of a pair against its ratio, and the ratio that meets a target.

    Parameters
    ----------
    target : float
        HLB wanted. [HLB]
    emulsifiers : tuple of str
        The lower and the higher one. [HLB]
    window : float, optional
        Half width; that of an o/w cream if left out. [HLB]
    guess : tuple
        A guess to draw, see `Guess`.

    Returns
    -------
    Figure
        The line of the pair and the window; no point where the target is out of reach.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(pair(10))
    'HLB 10.0 takes 52.0 % polysorbate 60 (14.9) and 48.0 % sorbitan stearate (4.7).'
    >>> words(pair(18))
    'HLB 18.0 is out of reach: sorbitan stearate and polysorbate 60 reach 4.7 to 14.9.'
    """
    half = product_type("o/w cream").window if window is None else window
    wanted = checked(target, "HLB wanted", low=0, high=40)
    first, second = emulsifiers
    ends = [blend_hlb({n: 100.0}, library=library).value for n in emulsifiers]
    low, high = min(ends), max(ends)
    try:
        share = 100 * split_pair(*ends, target=wanted)[1]
    except UnreachableTarget:
        share = None
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        band(axes, wanted - half, wanted + half)
        axes.axhline(wanted, color=TARGET, lw=1.0, ls=(0, (4, 2)))
        axes.plot([0, 100], ends, color=EMULSIFIER, lw=1.8)
        if share is not None:
            point(axes, share, wanted, f"{share:.1f} %", 70)
        axes.set_xlim(0, 100)
        axes.set_ylim(0, 20)
        guessed(axes, guess)
        axes.yaxis.set_major_locator(MultipleLocator(5))
        axes.set_xlabel(f"{clipped(second, 40)} [% of the blend]")
        axes.set_ylabel("HLB of the blend [-]")
        axes.set_title(f"hatched: window, {wanted:g} ± {half:g}; line: the pair", loc="left", fontsize=9)
    figure.set_label(
        f"HLB {wanted:.1f} is out of reach: {first} and {second} reach {low:.1f} to {high:.1f}."
        if share is None
        else f"HLB {wanted:.1f} takes {share:.1f} % {second} ({ends[1]:.1f}) and "
        f"{100 - share:.1f} % {first} ({ends[0]:.1f})."
    )
    return figure


OIL_MOST = 60.0  # [% of formula] as far as the dose is drawn


def dose(oil_pct: float, *, product: str = "o/w cream", guess: Guess = NO_GUESS) -> Figure:
    """The usual dose in per cent of the formula against the size of the oil phase.

    Parameters
    ----------
    oil_pct : float
        Oil phase without emulsifier. [% of formula, above 0 to 60]
    product : str
        A product type that has a usual dose.
    guess : tuple
        A guess to draw, see `Guess`.

    Returns
    -------
    Figure
        What print shows on both bases, and where to start.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(dose(25)).partition(": ")[0]
    'An oil phase of 25 % of the formula starts at 4.0 % of emulsifier'
    """
    chosen = checked(oil_pct, "oil phase", above=0, high=OIL_MOST, unit="% of the formula")
    here = usual_loading(chosen, product)
    oils = np.linspace(1, OIL_MOST, 60)
    ends = [usual_loading(float(o), product) for o in oils]
    start = here.start_pct or 0.0
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        if here.of_formula is not None:
            axes.axhspan(here.of_formula.low, here.of_formula.high, facecolor=WINDOW_FILL, lw=0.0)
        if here.of_oil is not None:
            low, high = (oils * end / 100 for end in (here.of_oil.low, here.of_oil.high))
            axes.fill_between(oils, low, high, facecolor="none", edgecolor=TARGET, hatch="///", lw=0.0)
        axes.plot(oils, [e.start_pct or 0.0 for e in ends], color=BLEND, lw=1.6)
        axes.plot([chosen], [start], color=BLEND, marker="D", ms=8, mec="white", zorder=3)
        left = chosen < 0.7 * OIL_MOST
        axes.annotate(
            f"start at {start:.1f} %",
            (chosen, start),
            xytext=(10 if left else -10, -14),
            textcoords="offset points",
            color=INK,
            ha="left" if left else "right",
            bbox=PAD,
        )
        axes.set_xlim(0, OIL_MOST)
        axes.set_ylim(0, 12)
        guessed(axes, guess)
        axes.set_xlabel("oil phase, emulsifier left out [% of the formula]")
        axes.set_ylabel("emulsifier [% of the formula]")
        axes.set_title("print: filled % of the formula, hatched % of the oil phase", loc="left", fontsize=9)
    figure.set_label(
        f"An oil phase of {chosen:g} % of the formula starts at {start:.1f} % of emulsifier: {here.text}."
    )
    return figure
