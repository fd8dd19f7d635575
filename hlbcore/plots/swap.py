"""Figures of a swap: amounts before and after, and both targets and blends on one HLB axis."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MultipleLocator

from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.library import Library, load_library
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, TARGET, WINDOW_FILL, look, new_figure
from hlbcore.swapping.results import Swap, base_amounts

APART = 0.045  # share of the height that two labels of a side keep from each other
STILL = 1e-9  # % of formula; a line that moves by less stays


def slopes(swap: Swap, *, library: Library | None = None) -> Figure:
    """Amounts before and after a swap, a sloping line for each ingredient that changes.

    Parameters
    ----------
    swap : Swap
        Result of `swap`. [% of formula]

    Returns
    -------
    Figure
        What goes out is dashed, what comes in or grows is drawn in full, each with its amounts.
        Water, which would flatten the rest, is only said in words.

    Raises
    ------
    InvalidInput
        If nothing changes.

    Examples
    --------
    >>> from hlbcore import Formula, Line, swap
    >>> from hlbcore.plots.style import words
    >>> f = Formula("Butter", "whipped butter", (Line("cocoa butter", 30, phase="oil"),
    ...                                          Line("olive oil", 70, phase="oil")))
    >>> words(slopes(swap(f, out="cocoa butter", into="mango butter")))
    'Per cent of the formula: cocoa butter from 30.00 to 0.00, mango butter from 0.00 to 30.00.'
    """
    library = library or load_library()
    old, new = (base_amounts(f, library) for f in (swap.before, swap.formula))
    rows, water = [], []
    for key in dict.fromkeys((*old, *new)):
        name = (new.get(key) or old[key])[0]
        a, b = old.get(key, ("", 0.0))[1], new.get(key, ("", 0.0))[1]
        held = library.ingredients.get(key)
        if held is not None and held.kind == "water":
            water += [f"{name} from {a:.2f} to {b:.2f}"] if abs(a - b) > STILL else []
        elif abs(a - b) > STILL:
            rows.append((name, a, b))
    if not rows:
        raise InvalidInput("picture of the amounts", "no amount changes", "Look at the HLB axis.")
    height = max(1.8, 1.0 + 0.34 * len(rows))
    with look():
        figure, axes = new_figure(height)
        low = min(min(a, b) for _, a, b in rows)
        high = max(max(a, b) for _, a, b in rows)
        span = (high - low) or 1.0
        for _, a, b in rows:
            fades = b < a - STILL
            colour = TARGET if fades else BLEND
            axes.plot(
                [0, 1],
                [a, b],
                color=colour,
                lw=1.6,
                ls=(0, (4, 2)) if fades else "-",
                marker="o" if fades else "D",
                ms=5,
                mec="white",
                mew=0.6,
            )
        for side, at in ((1, 0.0), (2, 1.0)):
            _labels(axes, [(r[0], float(r[side])) for r in rows], at, APART * 5 / height * span)
        axes.set_xlim(-1.55, 2.55)
        axes.set_ylim(low - 0.12 * span, high + 0.12 * span)
        axes.set_xticks([0, 1], labels=["before", "after"])
        axes.set_yticks([])
        for spine in ("left", "bottom"):
            axes.spines[spine].set_visible(False)
        axes.tick_params(length=0)
        title = "% of the formula; dashed: less, full: more"
        axes.set_title(title + ("; water not drawn" if water else ""), loc="left", fontsize=9)
    said = ", ".join([*(f"{n} from {a:.2f} to {b:.2f}" for n, a, b in rows), *water])
    figure.set_label(f"Per cent of the formula: {said}.")
    return figure


def _labels(axes: Axes, rows: list[tuple[str, float]], at: float, apart: float) -> None:
    """Names and amounts beside their points, pushed apart where they would meet."""
    placed: list[float] = []
    for name, pct in sorted(rows, key=lambda r: r[1]):
        y = max(pct, placed[-1] + apart) if placed else pct
        placed.append(y)
        left = at == 0.0
        sign = -1 if left else 1
        if y - pct > apart / 4:  # a thin line back to its point
            axes.plot([at, at + 0.12 * sign], [pct, y], color=EMULSIFIER, lw=0.5)
        axes.text(
            at + 0.14 * sign,
            y,
            f"{clipped(name, 20)} {pct:.2f}",
            color=INK,
            ha="right" if left else "left",
            va="center",
            fontsize=8,
        )


def both_on_axis(swap: Swap) -> Figure:
    """Both targets with their windows and both blends on one HLB axis.

    Parameters
    ----------
    swap : Swap
        Result of `swap`. [HLB]

    Returns
    -------
    Figure
        The new window is the hatched band; bars are the doubt of the tables.

    Raises
    ------
    InvalidInput
        If no required HLB is known after the swap.

    Examples
    --------
    >>> from hlbcore import example_formula, swap
    >>> from hlbcore.plots.style import words
    >>> words(both_on_axis(swap(example_formula(), out="cocoa butter", into="mango butter")))[:34]
    'Required HLB 8.1 before, 8.4 after'
    """
    target, old = swap.new_target, swap.old_target
    if target is None:
        raise InvalidInput("figure", "no required HLB is known", "Give the missing values.")
    rows: list[tuple[str, Estimate, str, str]] = []
    if old is not None:
        rows.append(("required before", old, "o", EMULSIFIER))
    if swap.old_blend is not None:
        rows.append(("blend before", swap.old_blend.estimate, "D", EMULSIFIER))
    rows.append(("required after", target, "o", TARGET))
    if swap.new_blend is not None:
        rows.append(("blend after", swap.new_blend.estimate, "D", BLEND))
    low, high = max(0.0, target.value - swap.window), target.value + swap.window
    with look():
        figure, axes = new_figure(0.95 + 0.36 * len(rows))
        axes.axvspan(low, high, facecolor=WINDOW_FILL, edgecolor=TARGET, hatch="///", lw=0.0, alpha=0.6)
        for edge in (low, high):
            axes.axvline(edge, color=TARGET, lw=1.0, ls=(0, (4, 2)))
        top = max(20.0, *(e.high for _, e, _, _ in rows)) + 0.5
        for n, (label, e, marker, colour) in enumerate(rows):
            axes.plot([e.low, e.high], [n, n], color=colour, lw=2.2, marker="|", ms=9, mew=1.6)
            axes.plot(e.value, n, marker, color=colour, ms=9, mec="white", mew=0.8, zorder=3)
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
                bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.8},
            )
        axes.set_ylim(len(rows) - 0.4, -0.7)
        axes.set_xlim(0, top)
        axes.set_yticks([])
        axes.xaxis.set_major_locator(MultipleLocator(5))
        axes.xaxis.set_minor_locator(MultipleLocator(1))
        axes.spines["left"].set_visible(False)
        axes.set_xlabel("HLB, Griffin scale [-]")
        axes.set_title(f"new window {low:.1f} to {high:.1f} (hatched)", loc="left", fontsize=9)
    said = [f"{target.value:.1f} after"]
    if old is not None:
        said.insert(0, f"{old.value:.1f} before")
    words = [f"Required HLB {', '.join(said)}; window {low:.1f} to {high:.1f}."]
    for word, blend in (("before", swap.old_blend), ("after", swap.new_blend)):
        if blend is not None:
            e = blend.estimate
            words.append(f"Blend {word} {e.value:.1f} ({e.low:.1f} to {e.high:.1f}).")
    figure.set_label(" ".join(words))
    return figure
