"""What a recorded ladder says: fit, findings, the next ladder, and the value to keep."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from hlbcore.errors import HlbError, clipped
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.named import named_text
from hlbcore.ladder import (
    OBSERVATION_KINDS,
    Ladder,
    Responses,
    Trial,
    TrialFit,
    after_words,
    fit_kinds,
    fit_trial,
    kind_findings,
    label_findings,
    layer_findings,
    responses,
)
from hlbcore.ladder.record_cells import USUAL_KINDS
from hlbcore.ladder.sheet import SOUGHT, LadderSheet
from hlbcore.typed import in_full

FINE_HALF_LEAST = 1.0
"""Least half width of a fine ladder. [HLB] Our convention: one usual window."""

FINE_DUPLICATES = 2
"""Vials of a fine ladder that are made twice. [-] Our convention, as in `fine_ladder`."""


@dataclass(frozen=True, slots=True)
class NextLadder:
    """A ladder that is proposed.

    Parameters
    ----------
    words : str
        What it is.
    sheet : LadderSheet
        As it would be typed.
    """

    words: str
    sheet: LadderSheet


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

    @property
    def word(self) -> str:
        """The outcome in a word or two."""
        if self.fit is None:
            return "readings" if self.read is not None else "no verdict"
        return self.fit.outcome + (" (provisional)" if self._provisional else "")

    @property
    def _provisional(self) -> bool:
        return self.fit is not None and self.fit.provisional and bool(self.fit.curves)


def read_ladder(trial: Trial, kind: str = "", *, temperature_c: float | None = None) -> LadderResult:
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
    usual = USUAL_KINDS.get(trial.ladder.kind, ())  # what the ladder is made for comes first
    kinds = tuple(
        n for n in dict.fromkeys((*usual, *OBSERVATION_KINDS)) if n in seen and OBSERVATION_KINDS[n].better
    )
    labels = label_findings(trial) if trial.weighed or trial.ladder.kind == "recorded" else ()
    if not kinds:
        return LadderResult(
            "", sentence="Nothing was read yet: enter what you see in the table above.", findings=labels
        )
    kind = kind if kind in kinds else kinds[0]
    warm = tuple(
        sorted(
            {o.temperature_c for o in trial.observations if o.kind == kind and o.temperature_c is not None}
        )
    )
    at = temperature_c if temperature_c in warm else warm[0] if len(warm) > 1 else None
    try:
        read = responses(trial, kind, temperature_c=at)
    except HlbError as error:
        return LadderResult(kind, kinds, at, warm, sentence=str(error), findings=worst_first(labels))
    found = [*labels, *read.cautions]
    if trial.ladder.kind not in (*SOUGHT, "recorded"):
        return LadderResult(kind, kinds, at, warm, read, None, best_words(trial, read), worst_first(found))
    try:
        fit = fit_trial(trial, kind, temperature_c=at)
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
        return f"{dose / 100:.3g} parts of solubiliser to one of oil"
    if ladder.kind == "loading":
        return f"{dose:.3g} % of the oil phase"
    words = "no emulsifier" if hlb is None else f"HLB {hlb:.1f}"
    return words + (f", {dose:.3g} % of the oils" if ladder.kind == "rinse" else "")


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


def sheet_of_ladder(ladder: Ladder) -> LadderSheet:
    """A ladder as it would be typed: same oils, pair, dose, vials and scale.

    Parameters
    ----------
    ladder : Ladder
        Any planned ladder.

    Returns
    -------
    LadderSheet
        Without name and record.
    """
    pair = [n for n, _ in ladder.emulsifiers] if ladder.kind != "family" else []
    dose = ladder.emulsifier_pct
    return LadderSheet(
        kind=ladder.kind if ladder.kind != "recorded" else "coarse",
        oils=named_text(ladder.oils),
        others=named_text(ladder.others),
        first=pair[0] if pair else "",
        second=pair[1] if len(pair) == 2 else "",
        vial_mass=f"{ladder.vial_mass_g:g} g",
        scale=f"{ladder.readability_g:g} g",
        dose="" if dose is None else in_full(round(dose, 6)),
        blinded=ladder.blinded,
        seed=str(ladder.seed + 1),
        stirring=ladder.process.stirring,
    )


def next_ladders(trial: Trial, fit: TrialFit) -> tuple[NextLadder, ...]:
    """The ladders that could follow, ready to be planned.

    Parameters
    ----------
    trial : Trial
        The one that was read.
    fit : TrialFit
        What it says.

    Returns
    -------
    tuple of NextLadder
        The one that helps most first; empty where none can be worked out.

    Examples
    --------
    >>> from hlbcore import Observation, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> trial = Trial(ladder, observations=tuple(seen))
    >>> next_ladders(trial, fit_trial(trial))[0].words
    'a fine ladder from HLB 9.3 to 11.3'
    """
    ladder = trial.ladder
    if ladder.kind == "recorded":
        return ()
    base = sheet_of_ladder(ladder)
    reach = sorted(e.value for _, e in ladder.emulsifiers)
    found = fit.estimate

    def around(kind: str, low: float, high: float, steps: int, doubled: int) -> LadderSheet:
        sheet = replace(
            base,
            kind=kind,
            centre=f"{(low + high) / 2:.4g}",
            half_width=f"{(high - low) / 2:.4g}",
            steps=str(steps),
            duplicates=str(doubled),
        )
        inside = len(reach) == 2 and reach[0] <= low and high <= reach[1]
        # another pair has to be found for what this one does not reach
        return sheet if inside else replace(sheet, first="", second="")

    rungs = sorted({t for v in ladder.vials if (t := v.target_hlb) is not None})
    if found is not None:
        half = max(found.value - found.low, found.high - found.value, FINE_HALF_LEAST)
        half = min([half, *(abs(found.value - r) for r in reach)])
        low, high = round(found.value - half, 2), round(found.value + half, 2)
        fine = NextLadder(
            f"a fine ladder from HLB {low:.1f} to {high:.1f}", around("fine", low, high, 5, FINE_DUPLICATES)
        )
        at = replace(base, centre=f"{found.value:.1f}", half_width="", steps="", duplicates="0")
        words = f"at HLB {found.value:.1f}"
        family = replace(at, kind="family", first="", second="")
        loading = replace(at, kind="loading", dose="")
        return (
            *((fine,) if half > 0.25 else ()),
            NextLadder(f"chemical families {words}", family),
            NextLadder(f"doses {words}", loading),
        )
    same = replace(
        base,
        centre=f"{(rungs[0] + rungs[-1]) / 2:.6g}",
        half_width=f"{(rungs[-1] - rungs[0]) / 2:.6g}",
        steps=str(len(rungs)),
        duplicates="0",
    )
    dose = ladder.emulsifier_pct
    if fit.outcome in ("all good", "all bad") and dose is not None:
        factor, words = (0.5, "half") if fit.outcome == "all good" else (2.0, "twice")
        return (
            NextLadder(f"the same ladder at {words} the dose", replace(same, dose=f"{dose * factor:.3g}")),
        )
    if fit.outcome in ("too noisy", "two peaks"):
        return (
            NextLadder("the same ladder with every vial twice", replace(same, duplicates=str(len(rungs)))),
        )
    if len(fit.next_rungs) > 1 and fit.outcome in ("edge", "too few"):
        low, high = min(fit.next_rungs), max(fit.next_rungs)
        steps = max(len(fit.next_rungs), 3)
        words = f"vials from HLB {low:.1f} to {high:.1f}"
        return (NextLadder(words, around("coarse", low, high, steps, 0)),)
    return ()
