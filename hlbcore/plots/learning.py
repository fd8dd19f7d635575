"""Figures learned from the bench: before and after as bars with their ranges."""

from __future__ import annotations

from matplotlib.figure import Figure

from hlbcore.learning.learned import Learned
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, TARGET, WINDOW_FILL, look, new_figure, short

OILS_MOST = 14
"""Oils that are drawn, those in the most ladders first. [-]"""


def before_and_after(made: Learned) -> Figure:
    """The figures of the oils that ladders hold: by the tables, and as learned.

    Parameters
    ----------
    made : Learned
        Result of `learn`.

    Returns
    -------
    Figure
        For each oil a pale bar over the range of the tables, and a narrow dark one over the 95 %
        interval of the learned figure. [HLB]

    Examples
    --------
    >>> from hlbcore import BenchResult, learn
    >>> from hlbcore.plots.style import words
    >>> one = BenchResult({"mineral oil": 1}, ("sorbitan oleate", "polysorbate 80"), 11.0, 10.4, 11.6)
    >>> words(before_and_after(learn([one])))
    'Required HLB: mineral oil, tables 10.0 (9.0 to 11.0), learned 10.5 (9.7 to 11.3).'
    """
    rows = [r for r in made.figures.to_dict("records") if r["ladders"]][:OILS_MOST]
    height = max(1.8, 1.0 + 0.34 * len(rows))
    said = []
    with look():
        figure, axes = new_figure(height, left_in=1.45)
        for n, r in enumerate(rows):
            y = -n
            tables = r["tables_value"], r["tables_low"], r["tables_high"]
            learned = r["value"], r["low"], r["high"]
            axes.barh(
                y,
                tables[2] - tables[1],
                left=tables[1],
                height=0.56,
                color=WINDOW_FILL,
                edgecolor=TARGET,
                lw=0.6,
            )
            axes.plot([tables[0]], [y], marker="|", ms=13, mew=1.6, color=TARGET)
            axes.plot([learned[1], learned[2]], [y, y], color=BLEND, lw=2.4, solid_capstyle="butt")
            axes.plot([learned[0]], [y], marker="D", ms=5.5, mec="white", mew=0.6, color=BLEND)
            told = ["{:.1f} ({:.1f} to {:.1f})".format(*each) for each in (tables, learned)]
            said.append(f"{r['ingredient']}, tables {told[0]}, learned {told[1]}")
        axes.set_yticks([-n for n in range(len(rows))], labels=[short(r["ingredient"])[:24] for r in rows])
        axes.tick_params(axis="y", length=0)
        axes.use_sticky_edges = False
        axes.margins(x=0.04)
        axes.set_ylim(-len(rows) + 0.4, 0.6)
        axes.set_xlabel("required HLB")
        axes.grid(axis="x", color=EMULSIFIER, alpha=0.2, lw=0.5)
        axes.set_title("pale bar: tables; line: learned, 95 %", loc="left", fontsize=9, color=INK)
    figure.set_label(f"Required HLB: {'; '.join(said)}." if said else "No ladder yet.")
    return figure
