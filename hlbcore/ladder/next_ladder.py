"""The ladders that could follow one that was read, ready to be planned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from hlbcore.formula.named import named_text
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.next_vials import Proposal, beyond
from hlbcore.ladder.sheet import LadderSheet
from hlbcore.ladder.trial import Trial
from hlbcore.typed import in_full


@dataclass(frozen=True, slots=True)
class NextLadder:
    """A ladder that is proposed.

    Parameters
    ----------
    words : str
        What it is.
    sheet : LadderSheet
        As it would be typed.
    extends : bool
        Whether it goes on beyond an end.
    """

    words: str
    sheet: LadderSheet
    extends: bool = False


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
    >>> from hlbcore.ladder.fit_kinds import fit_trial
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1)]
    >>> trial = Trial(ladder, observations=tuple(seen))
    >>> next_ladders(trial, fit_trial(trial))[0].words
    '5 vials on the flanks, HLB 7.4 to 13.6'
    """
    ladder = trial.ladder
    if not ladder.oils:  # nothing is known of what was in the vials
        return ()
    base = sheet_of_ladder(ladder)
    reach = sorted(e.value for _, e in ladder.emulsifiers)

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

    plan = fit.proposal
    rungs = sorted({t for v in ladder.vials if (t := v.target_hlb) is not None}) or sorted(fit.hlb)
    dose = ladder.emulsifier_pct
    if fit.outcome in ("all good", "all bad") and dose is not None:
        factor, words = (0.5, "half") if fit.outcome == "all good" else (2.0, "twice")
        same = around("coarse", rungs[0], rungs[-1], len(rungs), 0)
        return (
            NextLadder(f"the same ladder at {words} the dose", replace(same, dose=f"{dose * factor:.3g}")),
        )
    found: list[NextLadder] = []
    if plan is not None:
        kind = "coarse" if plan.kind in ("beyond", "again", "round") else "fine"
        low, high = plan.low, plan.high
        if plan.kind != "beyond" and len(reach) == 2:
            low, high = max(low, reach[0]), min(high, reach[1])
        found.append(
            NextLadder(
                plan.words, around(kind, low, high, plan.steps, plan.duplicates), plan.kind == "beyond"
            )
        )
        found += _extended(fit, plan, around)
    if fit.estimate is not None:
        at = replace(base, centre=f"{fit.estimate.value:.1f}", half_width="", steps="", duplicates="0")
        words = f"at HLB {fit.estimate.value:.1f}"
        family = replace(at, kind="family", first="", second="")
        found += [
            NextLadder(f"chemical families {words}", family),
            NextLadder(f"doses {words}", replace(at, kind="loading", dose="")),
        ]
    return tuple(found)


def _extended(
    fit: TrialFit, plan: Proposal, around: Callable[[str, float, float, int, int], LadderSheet]
) -> list[NextLadder]:
    """The way on beyond an end, wherever the best vial stands there and it is not proposed already."""
    last = [
        (r[-1] if fit.higher_is_better else -r[-1], h) for h, r in zip(fit.hlb, fit.responses, strict=True)
    ]
    seen = [(r, h) for r, h in last if r == r]
    first, end = min(fit.hlb), max(fit.hlb)
    if plan.kind == "beyond" or not seen or fit.outcome in ("all good", "all bad", "all alike"):
        return []
    top = max(r for r, _ in seen)
    best = {h for r, h in seen if r == top}
    if not best & {first, end} or len(best) == len(seen):
        return []
    more = beyond(first, end, 2 * fit.half_rung, upper=end in best)
    sheet = around("coarse", more.low, more.high, more.steps, more.duplicates)
    return [NextLadder(more.words, sheet, extends=True)]
