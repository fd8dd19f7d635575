"""The value of an oil that a ladder yields, directly or worked back from a mixture."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder import BackOut, Ladder, Trial, TrialFit, TrialMixture, back_out_mixtures
from hlbcore.library import Library, load_library
from hlbcore.own_items import OwnReading
from hlbcore.readings import LADDER_FLOOR


@dataclass(frozen=True, slots=True, eq=False)
class Measured:
    """A measured value, ready to be kept.

    Parameters
    ----------
    item : OwnReading
        As it would be kept.
    estimate : Estimate
        The value with its range. [HLB]
    back : BackOut or None
        How it was worked back, where the ladder was made on a mixture.
    findings : tuple of Finding
        What to mind, worst first.
    """

    item: OwnReading
    estimate: Estimate
    back: BackOut | None = None
    findings: tuple[Finding, ...] = ()


def oils_of(trial: Trial, library: Library | None = None) -> tuple[str, ...]:
    """The oils of a ladder, those without a figure of their own first, then by share.

    Parameters
    ----------
    trial : Trial
        Any trial.

    Returns
    -------
    tuple of str
        Names as in the ladder.

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"mineral oil": 20, "house butter": 5})
    >>> oils_of(Trial(ladder))
    ('house butter', 'mineral oil')
    """
    library = library or load_library()

    def known(name: str) -> bool:
        held = library.ingredients.get(library.key(name))
        return held is not None and held.required_hlb(trial.ladder.emulsion) is not None

    return tuple(n for n, _ in sorted(trial.ladder.oils, key=lambda o: (known(o[0]), -o[1])))


def phase_estimate(ladder: Ladder, library: Library | None = None) -> Estimate | None:
    """What the tables say that the oil phase of a ladder requires.

    Parameters
    ----------
    ladder : Ladder
        Any ladder.

    Returns
    -------
    Estimate or None
        None where an ingredient has no figure. [HLB]

    Examples
    --------
    >>> from hlbcore import plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10,
    ...                      oil_phase={"sunflower oil": 20})
    >>> phase_estimate(ladder).value
    7.0
    """
    try:
        return required_hlb(dict(ladder.oils), emulsion=ladder.emulsion, library=library).estimate
    except HlbError:
        return None


def measured_value(
    trial: Trial,
    fit: TrialFit,
    name: str,
    *,
    kind: str = "score",
    more: Sequence[tuple[Trial, TrialFit]] = (),
    library: Library | None = None,
) -> Measured:
    """The value of one oil that a ladder yields, directly or worked back from a mixture.

    Parameters
    ----------
    trial : Trial
        The ladder that was read.
    fit : TrialFit
        What it says.
    name : str
        The oil that the value is for; the others need figures.
    kind : str
        Kind of observation that the fit rests on.
    more : sequence of (Trial, TrialFit), optional
        Other ladders of mixtures with that oil, used together.

    Returns
    -------
    Measured
        With pair, dose, temperature, method, date and trial.

    Raises
    ------
    InvalidInput
        If there is no clear optimum, or the value cannot be worked back.

    Examples
    --------
    >>> from hlbcore import Observation, plan_ladder
    >>> from hlbcore.ladder.fit_kinds import fit_trial
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> trial = Trial(ladder, observations=tuple(seen))
    >>> measured_value(trial, fit_trial(trial), "mineral oil").estimate.value
    10.5
    """
    library = library or load_library()
    ladder, found = trial.ladder, fit.estimate
    if found is None:
        raise InvalidInput(
            "measured value", f"the ladder shows no clear optimum ({fit.verdict})", "Finish the ladder first."
        )
    if library.key(name) not in {library.key(n) for n, _ in ladder.oils}:
        raise InvalidInput(f"'{clipped(name)}'", "the ladder holds none of it", "Choose another.")
    back: BackOut | None = None
    findings: list[Finding] = []
    half = fit.half_rung
    for other, _ in more:
        if other.ladder.emulsion != ladder.emulsion:
            raise InvalidInput(
                f"'{clipped(other.name)}'",
                f"it is a ladder of {other.ladder.emulsion} emulsions, "
                f"this one of {ladder.emulsion}: a required HLB belongs to one emulsion type",
                "Leave it out.",
            )
    if len(ladder.oils) > 1 or more:
        mixtures = [_mixture(t, x, name, library) for t, x in ((trial, fit), *more)]
        back = back_out_mixtures(mixtures, emulsion=ladder.emulsion, library=library)
        found, half = back.estimates[name], LADDER_FLOOR
        findings += back.findings
    times = f"{fit.times[0]} to {fit.times[-1]}" if len(fit.times) > 1 else fit.times[0]
    how = f"bench ladder of {len(fit.hlb)} vials by {kind}, {times}"
    if back is not None:
        how += f", worked back from {len(more) + 1} mixture{'s' if more else ''}"
    before = phase_estimate(ladder, library)
    if before is not None and back is None:
        how += f"; tables {_told(before)}"
        both = fit.with_tables(before)
        if both is not None:
            how += f"; with the tables {_told(both)}"
    item = OwnReading(
        name,
        found.value,
        found.low,
        found.high,
        emulsion=ladder.emulsion,
        half_rung=half,
        pair=" with ".join(n for n, _ in ladder.emulsifiers),
        method=how,
        on=trial.made_on,
        trial=trial.name,
        dose_pct=ladder.emulsifier_pct,
        temperature_c=ladder.process.temperature_c,
    )
    reading = item.reading
    low, high = reading.low, reading.high
    estimate = Estimate(
        reading.value, reading.value if low is None else low, reading.value if high is None else high
    )
    if fit.provisional and fit.mass:
        findings.append(
            Finding(
                "caution",
                "The value is provisional",
                "It rests on six vials or fewer.",
                f"{len(fit.hlb)} vials",
                "our convention",
                "Make a fine ladder before much depends on it.",
            )
        )
    return Measured(item, estimate, back, worst_first(findings))


def _told(estimate: Estimate) -> str:
    return f"{estimate.value:.1f} ({estimate.low:.1f} to {estimate.high:.1f})"


def _mixture(trial: Trial, fit: TrialFit, name: str, library: Library) -> TrialMixture:
    oils: Mapping[str, float] = dict(trial.ladder.oils)
    mine = library.key(name)
    known = {n: p for n, p in oils.items() if library.key(n) != mine}
    unknown = {name: math.fsum(p for n, p in oils.items() if library.key(n) == mine)}
    return TrialMixture(fit, known, unknown, trial.name)
