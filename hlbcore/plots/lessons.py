"""Figures of the lessons: each answers to one number, and takes its figures from the core.

Drawn with the palette of `plots`; `plots.words`, `plots.to_svg` and `plots.to_png` serve them too.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore._numbers import checked
from hlbcore.blending.dose import usual_loading
from hlbcore.blending.solving import blend_hlb, split_pair
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import UnreachableTarget, clipped
from hlbcore.ladder.fit import fit_trials
from hlbcore.lessons.texts import USES, lesson_text
from hlbcore.library import Library, load_library
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, PAD, TARGET, WINDOW_FILL, look, new_figure
from hlbcore.product_types import product_type
from hlbcore.structure import hlb_from_oxyethylene

NEAREST = 3
"""Listed emulsifiers named beside a point of the scale. [-] Our convention."""

OILS = ("castor oil", "soybean oil")  # far apart, so that the line is steep
PAIR = ("sorbitan stearate", "polysorbate 60")
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


def _band(axes: Axes, low: float, high: float, *, across: bool = False) -> None:
    span = axes.axvspan if across else axes.axhspan
    span(low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0.0, alpha=0.6)


def _point(axes: Axes, x: float, y: float, text: str, middle: float) -> None:
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


def scale(hydrophile_pct: float, *, library: Library | None = None) -> Figure:
    """The HLB scale with its uses, and the HLB that a hydrophilic share gives.

    Parameters
    ----------
    hydrophile_pct : float
        Hydrophilic part of a nonionic molecule. [% by mass, 0 to 100]
    library : Library, optional
        The built-in tables if left out.

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
        _point(axes, value, len(USES), f"HLB {value:.1f}", 12)
        axes.set_ylim(len(USES) + 0.7, -0.75)
        axes.set_xlim(0, 20.5)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MultipleLocator(5))
        axes.xaxis.set_minor_locator(MultipleLocator(1))
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("HLB, Griffin scale [-]")
        axes.set_title("hatched: what this HLB is used for, roughly", loc="left", fontsize=9)
    said = ", ".join(fits) or "between the usual uses"
    held = ", ".join(f"{name} {hlb:.1f}" for hlb, name in near)
    figure.set_label(
        f"A molecule that is {pct:g} % hydrophilic has HLB {value:.1f}: {said}. Nearest in the "
        f"tables: {held}."
    )
    return figure


def two_oils(share_pct: float, *, oils: tuple[str, str] = OILS, library: Library | None = None) -> Figure:
    """Required HLB against the share of one of two oils.

    Parameters
    ----------
    share_pct : float
        Share of the first oil. [% of the oil phase, 0 to 100]
    oils : tuple of str
        Two oils. [required HLB, o/w]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Figure
        The weighted mean as a line, the doubt of the tables as a band.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(two_oils(25)).partition(" the oil phase ")[2]
    'requires HLB 8.8 (7.8 to 9.8).'
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
        _point(axes, chosen, here[0], f"{here[0]:.1f}", 75)
        axes.set_xlim(0, 100)
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
    library : Library, optional
        The built-in tables if left out.

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
        _band(axes, wanted - half, wanted + half)
        axes.axhline(wanted, color=TARGET, lw=1.0, ls=(0, (4, 2)))
        axes.plot([0, 100], ends, color=EMULSIFIER, lw=1.8)
        if share is not None:
            _point(axes, share, wanted, f"{share:.1f} %", 70)
        axes.set_xlim(0, 100)
        axes.set_ylim(0, 20)
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


def dose(oil_pct: float, *, product: str = "o/w cream") -> Figure:
    """The usual dose in per cent of the formula against the size of the oil phase.

    Parameters
    ----------
    oil_pct : float
        Oil phase without emulsifier. [% of formula, above 0 to 60]
    product : str
        A product type that has a usual dose.

    Returns
    -------
    Figure
        The usual dose as a band that grows with the oil.

    Examples
    --------
    >>> from hlbcore.plots.style import words
    >>> words(dose(25)).partition(" takes ")[2]
    '5.0 to 6.2 % of emulsifier: 20 to 25 % of the oil phase.'
    """
    chosen = checked(oil_pct, "oil phase", above=0, high=OIL_MOST, unit="% of the formula")
    here = usual_loading(chosen, product)
    oils = np.linspace(1, OIL_MOST, 60)
    ends = [usual_loading(float(o), product) for o in oils]
    low = [e.low_pct or 0.0 for e in ends]
    high = [e.high_pct or 0.0 for e in ends]
    bottom, top = here.low_pct or 0.0, here.high_pct or 0.0
    with look():
        figure, axes = new_figure(3.0, left_in=0.5)
        axes.fill_between(oils, low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0.0)
        axes.plot(
            [chosen, chosen], [bottom, top], color=BLEND, lw=2.2, marker="D", ms=7, mec="white", zorder=3
        )
        left = chosen < 0.7 * OIL_MOST
        axes.annotate(
            f"{bottom:.1f} to {top:.1f} %",
            (chosen, bottom),
            xytext=(10 if left else -10, -12),
            textcoords="offset points",
            color=INK,
            ha="left" if left else "right",
            bbox=PAD,
        )
        axes.set_xlim(0, OIL_MOST)
        axes.set_ylim(0, None)
        axes.set_xlabel("oil phase, emulsifier left out [% of the formula]")
        axes.set_ylabel("emulsifier [% of the formula]")
        axes.set_title(f"hatched: usual for {here.product_type}", loc="left", fontsize=9)
    figure.set_label(
        f"An oil phase of {chosen:g} % of the formula takes {bottom:.1f} to {top:.1f} % of "
        f"emulsifier: {here.low_of_oil_pct:.0f} to {here.high_of_oil_pct:.0f} % of the oil phase."
    )
    return figure


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
        _band(axes, old - half, old + half)
        axes.axhline(old, color=EMULSIFIER, lw=1.2, ls=(0, (4, 2)))
        axes.plot(shares, values, color=TARGET, lw=1.8)
        _point(axes, chosen, here, f"{here:.1f}: {'may stay' if stays else 'outside'}", 65)
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
        _band(axes, *ends, across=True)
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


@dataclass(frozen=True, slots=True)
class LessonFigure:
    """A figure that answers to a slider.

    Parameters
    ----------
    draw : callable
        Takes the number and gives the figure.
    label : str
        What the number is, with its unit.
    low, high, start, step : float
        Ends, first position and step of the slider. [unit of the label]
    hint : str
        What to look at.
    """

    draw: Callable[[float], Figure]
    label: str
    low: float
    high: float
    start: float
    step: float
    hint: str


def lesson_figure(key: str, library: Library | None = None) -> LessonFigure:
    """The figure of a lesson, with the slider that it answers to.

    Parameters
    ----------
    key : str
        Short name of the lesson.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    LessonFigure
        Figure and slider.

    Raises
    ------
    InvalidInput
        If there is no such lesson.

    Examples
    --------
    >>> lesson_figure("ladder").label
    'Scatter of the readings [points]'
    """
    made = {
        "what": LessonFigure(
            lambda x: scale(x, library=library),
            "Hydrophilic part of the molecule [% by mass]",
            5.0,
            100.0,
            60.0,
            5.0,
            "One fifth of this share is the HLB",
        ),
        "required": LessonFigure(
            lambda x: two_oils(x, library=library),
            f"{OILS[0].capitalize()} [% of the oil phase]",
            0.0,
            100.0,
            25.0,
            5.0,
            "The result never leaves the two ends",
        ),
        "blend": LessonFigure(
            lambda x: pair(x, library=library),
            "HLB wanted [HLB]",
            3.0,
            18.0,
            10.0,
            0.5,
            "Beyond the two ends of the line nothing is in reach",
        ),
        "amount": LessonFigure(
            dose,
            "Oil phase [% of the formula]",
            5.0,
            OIL_MOST,
            25.0,
            5.0,
            "Twice the oil takes twice the emulsifier, at the same HLB",
        ),
        "swap": LessonFigure(
            lambda x: swapped(x, library=library),
            "Cocoa butter that is swapped [% of it]",
            0.0,
            100.0,
            20.0,
            5.0,
            "Find the share at which the old blend no longer serves",
        ),
        "ladder": LessonFigure(
            ladder,
            "Scatter of the readings [points]",
            0.0,
            4.0,
            0.5,
            0.5,
            "Watch the interval, not the optimum alone",
        ),
        "limits": LessonFigure(
            lambda x: spread(x, library=library),
            "Window, plus or minus [HLB]",
            0.5,
            6.0,
            1.0,
            0.5,
            "No window of the bench mends a doubt of the tables",
        ),
    }
    return made[lesson_text(key).key]
