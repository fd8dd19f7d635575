"""Fits of a whole trial: each kind of observation apart, and whether they agree."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

from hlbcore.errors import HlbError, InvalidInput
from hlbcore.findings import Finding
from hlbcore.ladder.arrays import creaming_layer, responses
from hlbcore.ladder.fit import LadderReadings, fit_ladders
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.kinds import OBSERVATION_KINDS, observation_kind
from hlbcore.ladder.observations import SCORE_MOST, time_words
from hlbcore.ladder.trial import Trial
from hlbcore.ladder.verdicts import said

SAME_SHARE = 0.05
"""Shares and doses that differ by less than so much of themselves are the same. [-] Our
convention."""


def fit_trial(
    trial: Trial, kind: str = "score", *, temperature_c: float | str | None = None, more: Sequence[Trial] = ()
) -> TrialFit:
    """The optimum of a recorded trial by one kind of observation.

    Parameters
    ----------
    trial : Trial
        Ladder, grams and observations.
    kind : str
        Kind of observation.
    temperature_c : float, optional
        Readings at this temperature only. [°C]
    more : sequence of Trial, optional
        Other ladders of the same oil phase, pair and dose (`goes_with`), read together with it; one
        that was not read by this kind is left out.

    Returns
    -------
    TrialFit
        With the HLB of every vial from its grams, and its doubt from weighing.

    Raises
    ------
    InvalidInput
        If the kind has no better side, nothing was read, or too few vials are left.

    Examples
    --------
    >>> from hlbcore.ladder import Observation, Trial, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3, steps=7,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> fit_trial(Trial(ladder, observations=tuple(seen))).outcome
    'clear optimum'
    """
    what = observation_kind(kind)
    if not what.better:
        raise InvalidInput(
            f"readings of {what.name}",
            "neither more nor less of it is better",
            "Choose a kind such as score, water layer or droplet size.",
        )
    scale = {"score": (0.0, float(SCORE_MOST)), "yes/no": (0.0, 1.0)}.get(what.form)
    own, better = _readings(trial, kind, temperature_c)
    others = []
    for other in more if what.form != "yes/no" else ():
        try:
            mine, _ = _readings(other, kind, temperature_c)
            fit_ladders([mine], better, scale=scale)
        except HlbError:
            continue
        others.append(mine)
    return fit_ladders([own, *others], better, scale=scale)


def _readings(trial: Trial, kind: str, temperature_c: float | str | None) -> tuple[LadderReadings, str]:
    """One trial as it is fitted, and which side is better."""
    read = responses(trial, kind, temperature_c=temperature_c)
    sd = [trial.ladder.hlb_sd(trial.ladder.vial(n), trial.grams(n)) or 0.0 for n in read.vials]
    times = [time_words(h) for h in read.hours]
    return (
        LadderReadings(read.hlb.tolist(), read.values.tolist(), times, sd, limits=read.limits),
        read.better,
    )


def goes_with(one: Trial, other: Trial) -> bool:
    """Whether two ladders can be read together: same oil phase, pair, dose and emulsion type.

    Parameters
    ----------
    one, other : Trial
        Two ladders of HLB steps.

    Returns
    -------
    bool
        Shares and dose agree to a twentieth.

    Examples
    --------
    >>> from hlbcore.ladder import Trial, plan_ladder
    >>> def made(oil):
    ...     return Trial(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                              oil_phase={oil: 20}))
    >>> goes_with(made("mineral oil"), made("mineral oil"))
    True
    >>> goes_with(made("mineral oil"), made("olive oil"))
    False
    """
    a, b = one.ladder, other.ladder
    if {a.kind, b.kind} - {"coarse", "fine"} or a.emulsion != b.emulsion:
        return False

    def near(x: float | None, y: float | None) -> bool:
        return x is not None and y is not None and abs(x - y) <= SAME_SHARE * max(x, y)

    oils, others = dict(a.oils), dict(b.oils)
    return (
        {n for n, _ in a.emulsifiers} == {n for n, _ in b.emulsifiers}
        and near(a.emulsifier_pct, b.emulsifier_pct)
        and oils.keys() == others.keys()
        and all(near(oils[n], others[n]) for n in oils)
    )


def fit_kinds(trial: Trial, *, temperature_c: float | str | None = None) -> dict[str, TrialFit]:
    """The fits by every kind that was read and can be fitted, in the order of the kinds.

    Parameters
    ----------
    trial : Trial
        Ladder, grams and observations.
    temperature_c : float, optional
        Readings at this temperature only. [°C]

    Returns
    -------
    dict of str to TrialFit
        By the name of the kind; a kind with too few readings is left out.

    Examples
    --------
    >>> from hlbcore.ladder import Observation, Trial, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3, steps=7,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "water layer", mm, of=50)
    ...         for v, mm in enumerate([9, 6, 3, 1, 2, 5, 8], 1)]
    >>> list(fit_kinds(Trial(ladder, observations=tuple(seen))))
    ['water layer']
    """
    found = {}
    read = {o.kind for o in trial.observations}
    if creaming_layer(trial):
        read.add("creaming rate")
    for name, kind in OBSERVATION_KINDS.items():
        if name in read and kind.better:
            try:
                found[name] = fit_trial(trial, name, temperature_c=temperature_c)
            except HlbError:
                continue
    return found


def kind_findings(fits: Mapping[str, TrialFit]) -> list[Finding]:
    """Cautions where two kinds of observation put the optimum apart.

    Parameters
    ----------
    fits : mapping of str to TrialFit
        From `fit_kinds`.

    Returns
    -------
    list of Finding
        One for each pair whose intervals do not meet.

    Notes
    -----
    Water that parts and oil that parts follow different causes and need not agree.

    Examples
    --------
    >>> from hlbcore.ladder import fit_trials
    >>> water = fit_trials([7, 8, 9, 10, 11], [9, 2, 1, 3, 10], "lower")
    >>> oil = fit_trials([7, 8, 9, 10, 11, 12, 13], [9, 8, 6, 3, 1, 2, 5], "lower")
    >>> [f.title for f in kind_findings({"water layer": water, "oil layer": oil})]
    ['By water layer and by oil layer the optimum differs']
    """
    ends = {n: e for n, f in fits.items() if (e := f.estimate) is not None}
    return [
        Finding(
            "caution",
            f"By {one} and by {other} the optimum differs",
            f"HLB {said(ends[one].value)} ({said(ends[one].low)} to {said(ends[one].high)}) by "
            f"{one}, {said(ends[other].value)} ({said(ends[other].low)} to "
            f"{said(ends[other].high)}) by {other}.",
            rule="water and oil that part follow different causes; common practice, no source",
            mend="Decide which fault matters in the product, and say with the value which one it rests on.",
        )
        for one, other in combinations(ends, 2)
        if ends[one].high < ends[other].low or ends[other].high < ends[one].low
    ]
