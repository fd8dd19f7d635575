"""What a recorded ladder says: fit, findings, the next ladder, and the value to keep."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore.errors import HlbError, clipped
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder import (
    OBSERVATION_KINDS,
    Ladder,
    Responses,
    Trial,
    TrialFit,
    after_words,
    fit_choices,
    fit_doses,
    fit_kinds,
    fit_trial,
    goes_with,
    kind_findings,
    label_findings,
    layer_findings,
    responses,
)
from hlbcore.ladder.arrays import creaming_layer
from hlbcore.ladder.drifts import drift_findings
from hlbcore.ladder.next_ladder import NextLadder, next_ladders
from hlbcore.ladder.record_cells import USUAL_KINDS
from hlbcore.ladder.sheet import SOUGHT


@dataclass(frozen=True, slots=True, eq=False)
class LadderResult:
    """What a recorded ladder says.

    Parameters
    ----------
    kind : str
        The kind of observation that is looked at; blank where nothing was read.
    kinds : tuple of str
        Those that were read and have a better side.
    temperature_c : float or None
        Readings at this temperature only. [°C]
    temperatures : tuple of float
        Where readings were taken at several. [°C]
    read : Responses or None
        The readings as numbers.
    fit : TrialFit or None
        None where no optimum is sought, or none can be fitted.
    sentence : str
        The verdict, or why there is none.
    findings : tuple of Finding
        Worst first.
    proposed : tuple of NextLadder
        What could be made next.
    by_kind : tuple of (str, TrialFit)
        What each kind of reading says by itself.
    """

    kind: str
    kinds: tuple[str, ...] = ()
    temperature_c: float | None = None
    temperatures: tuple[float, ...] = ()
    read: Responses | None = None
    fit: TrialFit | None = None
    sentence: str = ""
    findings: tuple[Finding, ...] = ()
    proposed: tuple[NextLadder, ...] = ()
    by_kind: tuple[tuple[str, TrialFit], ...] = ()

    @property
    def word(self) -> str:
        """The outcome in a word or two."""
        if self.fit is None:
            return "readings" if self.read is not None else "no verdict"
        return self.fit.outcome + (" (provisional)" if self._provisional else "")

    @property
    def _provisional(self) -> bool:
        return self.fit is not None and self.fit.provisional and bool(self.fit.mass)


def read_ladder(
    trial: Trial, kind: str = "", *, temperature_c: float | None = None, more: Sequence[Trial] = ()
) -> LadderResult:
    """The verdict of a recorded ladder by one kind of observation, with all that is to be said.

    Parameters
    ----------
    trial : Trial
        Ladder, grams and observations.
    kind : str
        Kind of observation; blank, or one that was not read: the first that was.
    temperature_c : float, optional
        Readings at this temperature only; where they were taken at several and none is given, the
        lowest. [°C]
    more : sequence of Trial, optional
        Other ladders; those of the same oil phase, pair and dose are read together with it.

    Returns
    -------
    LadderResult
        Never raises for what was recorded: the sentence says why there is no verdict.

    Examples
    --------
    >>> from hlbcore import Observation, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> read_ladder(Trial(ladder, observations=tuple(seen))).word
    'clear optimum'
    """
    seen = {o.kind for o in trial.observations if o.value is not None}
    if creaming_layer(trial):
        seen.add("creaming rate")
    usual = USUAL_KINDS.get(trial.ladder.kind, ())  # what the ladder is made for comes first
    kinds = tuple(
        n for n in dict.fromkeys((*usual, *OBSERVATION_KINDS)) if n in seen and OBSERVATION_KINDS[n].better
    )
    labels = label_findings(trial) if trial.weighed or trial.ladder.kind == "recorded" else ()
    if not kinds:
        return LadderResult(
            "", sentence="Nothing was read yet: write what you see into the table.", findings=labels
        )
    kind = kind if kind in kinds else kinds[0]
    typed = kind if OBSERVATION_KINDS[kind].is_typed else creaming_layer(trial)
    held = {o.temperature_c for o in trial.observations if o.kind == typed}
    warm = tuple(sorted(t for t in held if t is not None))
    at = temperature_c if temperature_c in warm else warm[0] if len(warm) > 1 else None
    try:
        read = responses(trial, kind, temperature_c=at)
    except HlbError as error:
        return LadderResult(kind, kinds, at, warm, sentence=str(error), findings=worst_first(labels))
    found = [*labels, *read.cautions, *drift_findings(trial, temperature_c=at)]
    if trial.ladder.kind not in (*SOUGHT, "recorded"):
        return LadderResult(kind, kinds, at, warm, read, None, other_words(trial, read), worst_first(found))
    try:
        fit = fit_trial(trial, kind, temperature_c=at, more=[t for t in more if goes_with(trial, t)])
    except HlbError as error:
        return LadderResult(kind, kinds, at, warm, read, None, str(error), worst_first(found))
    others = fit_kinds(trial, temperature_c=at)
    found += [*fit.findings, *kind_findings(others), *layer_findings(trial, temperature_c=at)]
    sentence = fit.verdict[0].upper() + fit.verdict[1:] + "."
    return LadderResult(
        kind,
        kinds,
        at,
        warm,
        read,
        fit,
        sentence,
        worst_first(dict.fromkeys(found)),
        next_ladders(trial, fit),
        tuple(others.items()),
    )


def stepped(ladder: Ladder, number: int) -> str:
    """What is stepped from vial to vial, in words.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.
    number : int
        Number of the vial. [-]

    Returns
    -------
    str
        HLB, dose, ratio or pair.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> stepped(plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                     oil_phase={"mineral oil": 20}), 1)
    'HLB 7.0'
    """
    v = ladder.vial(number)
    held = dict(v.grams)
    mine = [(n, g) for n, _ in ladder.emulsifiers if (g := held.get(n, 0.0)) > 0]
    oil = math.fsum(held.get(n, 0.0) for n, _ in ladder.oils)
    dose = 100 * math.fsum(g for _, g in mine) / oil if oil else math.nan
    hlb = ladder.hlb(v)
    if ladder.kind == "family":
        return " with ".join(clipped(n, 30) for n, _ in mine)
    if ladder.kind == "clarity":
        return f"{dose / 100:.3g} parts of solubiliser per part of scent"
    if ladder.kind == "loading":
        return f"{dose:.3g} % of the oil phase"
    words = "no emulsifier" if hlb is None else f"HLB {hlb:.1f}"
    return words + (f", {dose:.3g} % of the oils" if ladder.kind == "rinse" else "")


def other_words(trial: Trial, read: Responses) -> str:
    """What a ladder without HLB steps says: a dose, the best choices, or why no curve is laid.

    Parameters
    ----------
    trial : Trial
        The ladder that was read.
    read : Responses
        Its readings.

    Returns
    -------
    str
        Judged at the last time.
    """
    ladder = trial.ladder
    last = read.values[:, -1].tolist()
    seen = [ladder.vial(n) for n in read.vials]
    if sum(x == x for x in last) < 3 or not read.better:
        return best_words(trial, read)
    held = [dict(v.grams) for v in seen]
    mine = [math.fsum(g.get(n, 0.0) for n, _ in ladder.emulsifiers) for g in held]
    oil = [math.fsum(g.get(n, 0.0) for n, _ in ladder.oils) for g in held]
    if ladder.kind == "clarity" and all(oil):
        parts = [m / o for m, o in zip(mine, oil, strict=True)]
        fit = fit_doses(parts, last, read.better, unit="parts of solubiliser per part of scent")
    elif ladder.kind == "loading" and all(oil):
        doses = [100 * m / o for m, o in zip(mine, oil, strict=True)]
        fit = fit_doses(doses, last, read.better)
    else:
        fit = fit_choices([stepped(ladder, v.number) for v in seen], last, read.better)
    why = " HLB and dose change together, so no curve is laid." if ladder.kind == "rinse" else ""
    return f"{fit.verdict[0].upper()}{fit.verdict[1:]}. {best_words(trial, read)}{why}"


def best_words(trial: Trial, read: Responses) -> str:
    """The best vials at the last time read, in words.

    Parameters
    ----------
    trial : Trial
        The ladder that was read.
    read : Responses
        Its readings.

    Returns
    -------
    str
        A sentence; it names no optimum, since nothing is fitted.
    """
    seen = [(float(x), n) for x, n in zip(read.values[:, -1], read.vials, strict=True) if x == x]
    if not seen:
        return "Nothing was read at the last time."
    top = max(x for x, _ in seen) if read.better == "higher" else min(x for x, _ in seen)
    best = sorted(n for x, n in seen if x == top)
    named = "; ".join(f"vial {trial.ladder.vial(n).label} ({stepped(trial.ladder, n)})" for n in best[:6])
    more = f" and {len(best) - 6} more" if len(best) > 6 else ""
    return f"Best by {read.kind} {after_words(read.hours[-1])}, {top:g}: {named}{more}."
