"""From a recorded ladder and its fit to what it says."""

from __future__ import annotations

from hlbcore.errors import InvalidInput, clipped
from hlbcore.ladder import Trial, TrialFit
from hlbcore.learning.bench_result import BenchResult

STEPS_HLB = ("coarse", "fine", "recorded")
"""Kinds of ladder whose vials step the HLB."""


def bench_result(
    trial: Trial, fit: TrialFit, *, kind: str = "score", who: str = "", uid: str = ""
) -> BenchResult:
    """What a recorded ladder says, with its conditions.

    Parameters
    ----------
    trial : Trial
        The ladder that was read.
    fit : TrialFit
        What it says.
    kind : str
        Kind of observation that the fit rests on.
    who : str
        Who made it.
    uid : str
        Identity of the kept ladder.

    Returns
    -------
    BenchResult
        A clear optimum or a band with its interval, an edge with the end that is closed, anything
        else as flat.

    Raises
    ------
    InvalidInput
        If its vials do not step the HLB, or hold no oil that was told.

    Examples
    --------
    >>> from hlbcore import Observation, plan_ladder
    >>> from hlbcore.ladder import fit_trial
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> trial = Trial(ladder, observations=tuple(seen), name="first")
    >>> found = bench_result(trial, fit_trial(trial))
    >>> found.optimum, found.pair_words, found.kind
    (10.5, 'sorbitan oleate with polysorbate 80', 'closed')
    """
    ladder = trial.ladder
    item = f"ladder '{clipped(trial.name)}'"
    if ladder.kind not in STEPS_HLB:
        raise InvalidInput(
            item, f"it is a {ladder.kind} ladder, whose vials do not step the HLB", "Choose another."
        )
    if not ladder.oils:
        raise InvalidInput(item, "its oil phase is not told", "Write down what the oil phase holds.")
    optimum, low, high = _said(fit)
    times = f"{fit.times[0]} to {fit.times[-1]}" if len(fit.times) > 1 else "".join(fit.times)
    return BenchResult(
        ladder.oils,
        [n for n, _ in ladder.emulsifiers],
        optimum,
        low,
        high,
        name=trial.name,
        made_on=trial.made_on,
        who=who,
        method=", ".join(p for p in (f"{len(fit.hlb)} vials by {kind}", times) if p),
        note=trial.note,
        dose_pct=ladder.emulsifier_pct,
        temperature_c=ladder.process.temperature_c,
        emulsion=ladder.emulsion,
        others=ladder.others,
        uid=uid,
    )


def _said(fit: TrialFit) -> tuple[float | None, float | None, float | None]:
    """Optimum, low and high end as an equation takes them."""
    if fit.outcome in ("clear optimum", "band") and fit.low is not None and fit.high is not None:
        return fit.optimum, fit.low, fit.high
    if fit.outcome in ("clear optimum", "edge", "band") and (fit.low is None) != (fit.high is None):
        return None, fit.low, fit.high
    return None, None, None
