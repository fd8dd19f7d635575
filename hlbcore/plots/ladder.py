"""Figures of a bench ladder: what was seen against HLB, with fit, interval and windows."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate
from hlbcore.ladder import OBSERVATION_KINDS, Trial, TrialFit, after_words, time_words
from hlbcore.ladder.result import LadderResult, stepped
from hlbcore.plots.style import BLEND, EMULSIFIER, INK, TARGET, WINDOW_FILL, look, new_figure, short

MARKERS = ("o", "s", "^", "D", "v", "P", "X", "*")
"""One a time, the earliest first; told apart by shape, so that they read in grey too."""

SHADES = ("#B3B3B3", "#8C8C8C", "#595959", INK)
"""Grey of the times, the latest darkest."""

LEGEND_COLUMNS = 5

TOP_ROWS = 0.11  # share of the height that one strip of a range takes


def response_plot(trial: Trial, result: LadderResult, old: Estimate | None = None) -> Figure:
    """What was seen on each vial against its HLB, with curves, interval and table range.

    Parameters
    ----------
    trial : Trial
        The ladder that was read.
    result : LadderResult
        From `read_ladder`.
    old : Estimate, optional
        What the tables say that the oil phase requires. [HLB]

    Returns
    -------
    Figure
        Times told apart by marker, duplicates beside each other; vials of the other emulsion type
        are crossed out. Where HLB is not stepped the vials stand side by side.

    Raises
    ------
    InvalidInput
        If nothing was read.

    Examples
    --------
    >>> from hlbcore import Observation, plan_ladder
    >>> from hlbcore.ladder.result import read_ladder
    >>> from hlbcore.plots.style import words
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> trial = Trial(ladder, observations=tuple(seen))
    >>> words(response_plot(trial, read_ladder(trial))).partition(". ")[0]
    'Clear optimum at HLB 10.5 (9.5 to 11.5)'
    """
    read = result.read
    if read is None:
        raise InvalidInput("figure", "nothing was read yet", "Enter what you see first.")
    ladder, fit = trial.ladder, result.fit
    by_hlb = ladder.kind in ("coarse", "fine", "recorded")
    kind = OBSERVATION_KINDS[read.kind]
    places = (
        {n: float(h) for n, h in zip(read.vials, read.hlb, strict=True)}
        if by_hlb
        else {v.number: float(k) for k, v in enumerate(ladder.vials)}
    )
    with look():
        rows = -(-(len(read.hours) + 1) // LEGEND_COLUMNS)
        figure, axes = new_figure(3.5 if by_hlb else 2.9, left_in=0.55)
        _lift(figure, axes, 0.2 * rows)
        seen = [
            (v, h, x)
            for v, row in zip(read.vials, read.values.tolist(), strict=True)
            for h, x in zip(read.hours, row, strict=True)
            if x == x
        ]
        others = _other_type(trial, result) if by_hlb else []
        values = [x for _, _, x in seen] + [x for _, x, _ in others]
        low, high = (0.0, 5.0) if kind.form == "score" else (0.0, 1.0)
        if kind.form not in ("score", "yes/no"):
            low, high = min(0.0, *values), max(values, default=1.0) or 1.0
        span = high - low
        wide = max(places.values()) - min(places.values()) or 1.0
        taken: list[tuple[float, float]] = []
        for k, hours in enumerate(read.hours):
            shade = SHADES[max(len(SHADES) - len(read.hours) + k, 0)]
            marker = MARKERS[k % len(MARKERS)]
            for again in (False, True):
                at = [
                    _beside(places[v], x, 0.026 * wide, 0.04 * span, taken)
                    for v, h, x in seen
                    if h == hours and (ladder.vial(v).repeats is not None) == again
                ]
                if at:
                    axes.plot(
                        [x for x, _ in at],
                        [y for _, y in at],
                        marker,
                        color=shade,
                        ms=6.5,
                        mec=shade if again else "white",
                        mfc="white" if again else shade,
                        mew=1.2 if again else 0.7,
                        zorder=3,
                        label="_" if again else time_words(hours),
                    )
        if others:
            axes.plot(
                [x for x, _, _ in others],
                [y for _, y, _ in others],
                "x",
                color=BLEND,
                ms=8,
                mew=1.8,
                zorder=4,
                label=f"not {ladder.emulsion}",
            )
        if by_hlb and fit is not None:
            _curves(axes, fit)
        strips = _ranges(axes, fit, old) if by_hlb else 0
        axes.set_ylim(low - 0.06 * span, high + (0.08 + 0.13 * strips) * span)
        if by_hlb:
            axes.set_xlabel("HLB from the grams, Griffin scale [-]")
            axes.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
        else:
            axes.set_xticks(list(places.values()), labels=[v.label for v in ladder.vials])
            axes.set_xlabel("vial")
            if len(places) > 12:
                axes.tick_params(axis="x", labelsize=7, labelrotation=90)
        if kind.form == "score":
            axes.set_yticks(range(6))
        elif kind.form == "yes/no":
            axes.set_yticks([0, 1], labels=list(kind.words))
        axes.set_ylabel(f"{kind.name}" + (f" [{kind.unit}]" if kind.unit else ""))
        hollow = "; hollow: made again" if any(v.repeats for v in ladder.vials) else ""
        axes.set_title(f"{kind.better} is better{hollow}", loc="left", fontsize=9)
        figure.legend(
            loc="lower center",
            bbox_to_anchor=(0.5, 0.0),
            ncols=LEGEND_COLUMNS,
            fontsize=8,
            frameon=False,
            handletextpad=0.2,
            columnspacing=0.9,
            borderaxespad=0.1,
        )
    figure.set_label(_said(trial, result, old))
    return figure


def _lift(figure: Figure, axes: Axes, by_in: float) -> None:
    """Room for the legend below the axes."""
    box = axes.get_position()
    share = by_in / figure.get_size_inches()[1]
    axes.set_position((box.x0, box.y0 + share, box.width, box.height - share))


def _beside(
    x: float, y: float, dx: float, dy: float, taken: list[tuple[float, float]]
) -> tuple[float, float]:
    """A place for a point beside those that it would hide, first right of it, then left."""
    for k in range(40):
        place = x + (-1) ** (k + 1) * ((k + 1) // 2) * dx
        if all(abs(place - a) > 0.9 * dx or abs(y - b) > dy for a, b in taken):
            break
    taken.append((place, y))
    return place, y


def _curves(axes: Axes, fit: TrialFit) -> None:
    """The course that agrees best, at the last time that is drawn."""
    held = fit.curve
    if held.empty:
        return
    last = held[held["time"] == held["time"].iloc[-1]]
    axes.plot(last["hlb"], last["response"], color=TARGET, lw=1.6, zorder=2)


def _ranges(axes: Axes, fit: TrialFit | None, old: Estimate | None) -> int:
    """Table range and interval as strips above the points, each with its name."""
    first, last = axes.get_xlim()
    rows: list[tuple[str, float, float, float | None, str]] = []
    if old is not None:
        rows.append((f"tables {old.value:.1f}", old.low, old.high, old.value, EMULSIFIER))
    if fit is not None and (fit.low is not None or fit.high is not None):
        low = first if fit.low is None else fit.low
        high = last if fit.high is None else fit.high
        name = "measured" if fit.optimum is None else f"measured {fit.optimum:.1f}"
        rows.append((name, low, high, fit.optimum, TARGET))
        axes.axvspan(low, high, facecolor=WINDOW_FILL, edgecolor="none", alpha=0.6, zorder=0)
    first, last = min([first, *(r[1] for r in rows)]), max([last, *(r[2] for r in rows)])
    edge = 0.03 * (last - first)
    axes.set_xlim(first - edge, last + edge)
    place = axes.get_xaxis_transform()
    for k, (name, low, high, value, colour) in enumerate(rows):
        y = 0.965 - TOP_ROWS * k
        axes.plot(
            [low, high], [y, y], color=colour, lw=2.2, marker="|", ms=8, mew=1.6, transform=place, zorder=4
        )
        if value is not None:
            axes.plot(
                value,
                y,
                "o" if colour == EMULSIFIER else "D",
                color=colour,
                ms=6,
                mec="white",
                mew=0.7,
                transform=place,
                zorder=5,
            )
        right = (high - first) < 0.62 * (last - first)
        axes.text(
            high + edge / 2 if right else low - edge / 2,
            y,
            name,
            color=INK,
            fontsize=8,
            ha="left" if right else "right",
            va="center",
            transform=place,
            zorder=5,
            bbox={"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 0.6},
        )
    return len(rows)


def _other_type(trial: Trial, result: LadderResult) -> list[tuple[float, float, int]]:
    """HLB, last reading and number of the vials of the other emulsion type."""
    assert result.read is not None
    found = []
    for number, kind in trial.emulsion_types.items():
        if kind not in ("o/w", "w/o") or kind == trial.ladder.emulsion:
            continue
        mine = [
            o
            for o in trial.observations
            if o.vial == number
            and o.kind == result.read.kind
            and o.value is not None
            and (result.temperature_c is None or o.temperature_c == result.temperature_c)
        ]
        hlb = trial.hlb(number)
        if mine and not math.isnan(hlb):
            found.append((hlb, max(mine, key=lambda o: o.hours).number, number))
    return found


def _said(trial: Trial, result: LadderResult, old: Estimate | None) -> str:
    read = result.read
    assert read is not None
    words = [result.sentence]
    if old is not None:
        words.append(f"The tables say {old.value:.1f} ({old.low:.1f} to {old.high:.1f}).")
    last = read.values[:, -1].tolist()
    rows = ", ".join(
        f"vial {short(trial.ladder.vial(n).label)} ({stepped(trial.ladder, n)}) {x:.3g}"
        if trial.ladder.kind != "coarse" and trial.ladder.kind != "fine"
        else f"HLB {h:.1f}: {x:.3g}"
        for n, h, x in zip(read.vials, read.hlb.tolist(), last, strict=True)
        if x == x
    )
    if rows:
        kind = read.kind[0].upper() + read.kind[1:]
        words.append(f"{kind} {after_words(read.hours[-1])}: {rows}.")
    if others := _other_type(trial, result):
        named = ", ".join(trial.ladder.vial(n).label for _, _, n in others)
        words.append(f"Not {trial.ladder.emulsion}, left out of the fit: vial {named}.")
    return " ".join(words)
