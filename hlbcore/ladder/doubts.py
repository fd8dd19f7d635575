"""What does not fit together in a trial: labels against grams, and layers against each other."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from statistics import median

from hlbcore._numbers import checked, grams
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder.arrays import responses
from hlbcore.ladder.ladder import Ladder, Vial
from hlbcore.ladder.observations import after_words
from hlbcore.ladder.trial import Trial

LABEL_OFF = 0.1
"""How far the HLB from the grams may lie from the label before it is said. [HLB] Our convention."""

MASS_OFF = 0.01
"""How far the emulsifiers of one vial may lie from the middle of all before it is said. [fraction]
Our convention."""

NEIGHBOURS = 1.5
"""Best vials no further apart than this agree: the next vial, with rounding to the scale. [rungs]
Our convention."""

LAYERS = ("water layer", "oil layer", "cream layer")
"""Layers that follow different causes and are read apart."""


def recorded_ladder(
    vials: Sequence[tuple[float | str | None, Mapping[str, float | str]]],
    emulsifiers: Mapping[str, float | str | Estimate],
    *,
    labels: Sequence[str] | None = None,
    readability_g: float | str = 0.001,
    emulsion: str = "o/w",
) -> Ladder:
    """A ladder that was weighed elsewhere, from its labels and grams.

    Parameters
    ----------
    vials : sequence of (float or None, mapping of str to float)
        HLB as written on each vial (None: no label) and grams of what is in it. [HLB; g]
    emulsifiers : mapping of str to float, str or Estimate
        HLB of each emulsifier. [HLB]
    labels : sequence of str, optional
        What is written on the vials; left out: their numbers.
    readability_g : float
        Division of the scale. [g]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.

    Returns
    -------
    Ladder
        With the HLB from the grams, and a finding where a label does not agree with it.

    Raises
    ------
    InvalidInput
        If a vial holds none of the emulsifiers.

    Examples
    --------
    >>> from hlbcore.ladder import recorded_ladder
    >>> ladder = recorded_ladder(
    ...     [(4, {"polysorbate 80": 0.075, "sorbitan stearate": 1.175}),
    ...      (5, {"polysorbate 80": 0.036, "sorbitan stearate": 1.214})],
    ...     {"polysorbate 80": 15, "sorbitan stearate": 4.7})
    >>> ladder.cautions[0].title
    'The label of vial 1 cannot be right'
    """
    held = tuple((str(n), as_estimate(e, f"HLB of '{clipped(n)}'")) for n, e in emulsifiers.items())
    made = []
    for number, (label, given) in enumerate(vials, 1):
        rows = []
        for name, mass in given.items():
            item = f"vial {number}, '{clipped(name)}'"
            zero = not isinstance(mass, str) and checked(mass, item, low=0) == 0
            rows.append((str(name), 0.0 if zero else grams(mass, item)))
        if not any(m > 0 for n, m in rows if n in dict(held)):
            raise InvalidInput(
                f"vial {number}",
                "it holds none of the emulsifiers",
                f"Give the grams of {' or '.join(clipped(n, 30) for n, _ in held)}.",
            )
        target = None if label is None else checked(label, f"vial {number}, label", low=0, high=HLB_MAX)
        written = labels[number - 1] if labels is not None else str(number)
        made.append(Vial(number, written, number, tuple(rows), target))
    ladder = Ladder(
        "recorded",
        tuple(made),
        held,
        readability_g=grams(readability_g, "readability"),
        vial_mass_g=max(v.total_g for v in made) if made else 0.0,
        emulsion=emulsion,
    )
    return replace(ladder, cautions=label_findings(Trial(ladder)))


def label_findings(trial: Trial) -> tuple[Finding, ...]:
    """Labels, or the plan, against the HLB of what was weighed.

    Parameters
    ----------
    trial : Trial
        With a recorded ladder, or a planned one and the grams really weighed.

    Returns
    -------
    tuple of Finding
        Impossible rungs, swapped amounts, labels that do not agree, vials out of order, and
        amounts that do not add up; worst first.

    Examples
    --------
    >>> from hlbcore.ladder import Trial, recorded_ladder
    >>> ladder = recorded_ladder([(7, {"a": 0.5, "b": 1.0}), (9, {"a": 1.0, "b": 1.0}),
    ...                           (10, {"a": 1.33, "b": 0.67})],
    ...                          {"a": 12, "b": 6})
    >>> [f.title for f in label_findings(Trial(ladder))]
    ['Vial 1 is not what its label says', 'The emulsifiers of vial 1 do not add up']
    """
    ladder = trial.ladder
    reach = [e.value for _, e in ladder.emulsifiers]
    found: list[Finding] = []
    rows: list[tuple[float, Vial]] = []
    for v in ladder.vials:
        hlb = trial.hlb(v.number)
        meant = v.target_hlb if ladder.kind == "recorded" else ladder.hlb(v)
        if meant is None or math.isnan(hlb):
            continue
        rows.append((hlb, v))
        sd = ladder.hlb_sd(v, trial.grams(v.number)) or 0.0
        off = max(LABEL_OFF, 2 * sd)
        if v.target_hlb is not None and not min(reach) <= v.target_hlb <= max(reach):
            found.append(
                Finding(
                    "caution",
                    f"The label of vial {v.label} cannot be right",
                    f"HLB {v.target_hlb:g} lies outside what the emulsifiers reach, "
                    f"{min(reach):g} to {max(reach):g}; its grams give {hlb:.2f}.",
                    figure=f"HLB {hlb:.2f}",
                    rule="the reach of a blend ends at its members (griffin_1949_recalled)",
                    mend="Use the HLB from the grams; check whether a difference was taken with "
                    "the wrong sign.",
                )
            )
        elif abs(hlb - meant) > off:
            swapped = _swapped(trial, v)
            turned = swapped is not None and abs(swapped - meant) <= off
            detail = f"It should be HLB {meant:.4g}; its grams give {hlb:.2f}."
            if turned:
                detail += f" With the two amounts swapped they would give {swapped:.2f}."
            found.append(
                Finding(
                    "caution",
                    f"The two amounts of vial {v.label} look swapped"
                    if turned
                    else f"Vial {v.label} is not what its label says",
                    detail,
                    figure=f"{hlb - meant:+.2g} HLB",
                    rule="grams lead over labels; our convention",
                    mend="Use the HLB from the grams, or make the vial again.",
                )
            )
    found += _order(rows)
    found += _masses(trial)
    return worst_first(found)


def _swapped(trial: Trial, vial: Vial) -> float | None:
    """HLB if the grams of the two emulsifiers had changed places."""
    held = trial.grams(vial.number)
    mine = [(n, held[n]) for n, _ in trial.ladder.emulsifiers if held.get(n, 0.0) > 0]
    if len(mine) != 2:
        return None
    (a, x), (b, y) = mine
    return trial.ladder.hlb(vial, {**held, a: y, b: x})


def _order(rows: Sequence[tuple[float, Vial]]) -> list[Finding]:
    labelled = [(v.target_hlb, hlb, v.label) for hlb, v in rows if v.target_hlb is not None]
    by_label = [n for _, _, n in sorted(labelled, key=lambda r: (r[0], r[1]))]
    by_grams = [n for _, _, n in sorted(labelled, key=lambda r: (r[1], r[0]))]
    if by_label == by_grams:
        return []
    return [
        Finding(
            "caution",
            "The vials stand in another order than their labels say",
            f"By their grams the order is {', '.join(by_grams)}.",
            rule="grams lead over labels; our convention",
            mend="The fit uses the HLB from the grams.",
        )
    ]


def _masses(trial: Trial) -> list[Finding]:
    """Vials whose emulsifiers together are more or less than those of the others."""
    if trial.ladder.kind in ("loading", "rinse", "clarity"):
        return []
    mine = [n for n, _ in trial.ladder.emulsifiers]
    sums = {v.label: math.fsum(trial.grams(v.number).get(n, 0.0) for n in mine) for v in trial.ladder.vials}
    middle = median(sums.values())
    slack = max(MASS_OFF * middle, 2 * trial.ladder.readability_g)
    return [
        Finding(
            "note",
            f"The emulsifiers of vial {label} do not add up",
            f"They are {mass:.4g} g, those of the other vials {middle:.4g} g.",
            figure=f"{mass - middle:+.2g} g",
            rule="one dose for all vials; our convention",
            mend="Look for a slip in writing or weighing; digits may be swapped.",
        )
        for label, mass in sums.items()
        if abs(mass - middle) > slack
    ]


def layer_findings(trial: Trial, *, temperature_c: float | None = None) -> tuple[Finding, ...]:
    """Where water, oil and cream layer name different vials as the best.

    Parameters
    ----------
    trial : Trial
        What was seen.
    temperature_c : float, optional
        Readings at this temperature only. [°C]

    Returns
    -------
    tuple of Finding
        One for each two layers whose best vials are no neighbours at the last time that both were
        read; a layer that is the same in all vials says nothing.

    Examples
    --------
    >>> from hlbcore.ladder import Observation, Trial, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3, steps=4,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(n + 1, 24, kind, x, of=40)
    ...         for kind, row in (("water layer", (1, 3, 6, 9)), ("oil layer", (4, 2, 1, 0)))
    ...         for n, x in enumerate(row)]
    >>> layer_findings(Trial(ladder, observations=tuple(seen)))[0].title
    'Water layer and oil layer disagree'
    """
    best: dict[str, dict[float, list[float]]] = {}
    for kind in LAYERS:
        try:
            r = responses(trial, kind, temperature_c=temperature_c)
        except InvalidInput:
            continue
        for k, hours in enumerate(r.hours):
            seen = [
                (float(x), float(h)) for x, h in zip(r.values[:, k], r.hlb, strict=True) if not math.isnan(x)
            ]
            least = min(x for x, _ in seen)
            if len(seen) > 2 and any(x > least for x, _ in seen):
                best.setdefault(kind, {})[hours] = [h for x, h in seen if x == least]
    apart = trial.ladder.rung or 0.0
    found = []
    for n, first in enumerate(LAYERS):
        for second in LAYERS[n + 1 :]:
            shared = set(best.get(first, ())) & set(best.get(second, ()))
            if not shared:
                continue
            hours = max(shared)
            one, two = best[first][hours], best[second][hours]
            gap = min(abs(a - b) for a in one for b in two)
            if gap <= NEIGHBOURS * apart:
                continue
            found.append(
                Finding(
                    "caution",
                    f"{first.capitalize()} and {second} disagree",
                    f"{after_words(hours).capitalize()} the least {first} is at HLB {_span(one)}, "
                    f"the least {second} at {_span(two)}. They follow different causes: one fit "
                    "for each is shown.",
                    figure=f"{gap:.1f} HLB apart",
                    rule=f"more than {NEIGHBOURS:g} rungs apart; our convention",
                    mend="Free oil is the graver fault: look at the oil layer first, then at the "
                    "droplets; a thickener may hold back a water or cream layer.",
                )
            )
    return worst_first(found)


def _span(hlbs: Sequence[float]) -> str:
    low, high = min(hlbs), max(hlbs)
    return f"{low:.1f}" if high - low < 0.05 else f"{low:.1f} to {high:.1f}"
