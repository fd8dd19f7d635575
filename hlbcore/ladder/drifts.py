"""Readings that are neither good nor bad: how far they move with time."""

from __future__ import annotations

from hlbcore.findings import Finding
from hlbcore.ladder.kinds import OBSERVATION_KINDS
from hlbcore.ladder.observations import time_words
from hlbcore.ladder.trial import Trial

MOVED_SHARE = 0.2
"""A viscosity that moves by less than this share of the first reading is not told. [-] Our convention."""

MOVED_PH = 0.3
"""A pH that moves by less than this is not told. [-] Our convention."""


def drift_findings(trial: Trial, *, temperature_c: float | None = None) -> list[Finding]:
    """Viscosity and pH that move between the first and the last reading, the vial that moves most.

    Parameters
    ----------
    trial : Trial
        What was seen.
    temperature_c : float, optional
        Readings at this temperature only. [°C]

    Returns
    -------
    list of Finding
        One a kind at most.

    Examples
    --------
    >>> from hlbcore.ladder import Observation, Trial, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3,
    ...                      oil_phase={"mineral oil": 20}, seed=1)
    >>> seen = [Observation(1, h, "viscosity", v) for h, v in ((24, 5000), (168, 3000))]
    >>> drift_findings(Trial(ladder, observations=tuple(seen)))[0].title
    'Viscosity moves with time: 5,000 to 3,000 mPa·s in vial 6'
    """
    found = []
    for name, kind in OBSERVATION_KINDS.items():
        if kind.form != "number" or kind.better:
            continue
        moves = []
        for v in trial.ladder.vials:
            mine = sorted(
                (o.hours, o.value)
                for o in trial.observations
                if o.vial == v.number
                and o.kind == name
                and o.value is not None
                and (temperature_c is None or o.temperature_c == temperature_c)
            )
            if len(mine) > 1 and mine[0][0] < mine[-1][0]:
                (early, before), (late, after) = mine[0], mine[-1]
                far = abs(after - before) if not kind.unit else abs(after / before - 1) if before else 0.0
                moves.append((far, -v.order, before, after, early, late, v.label))
        if not moves:
            continue
        far, _, before, after, early, late, label = max(moves)
        if far < (MOVED_SHARE if kind.unit else MOVED_PH):
            continue
        unit = f" {kind.unit}" if kind.unit else ""
        found.append(
            Finding(
                "note",
                f"{name[0].upper() if kind.unit else name[0]}{name[1:]} moves with time: "
                f"{before:,.4g} to {after:,.4g}{unit} in vial {label}",
                f"From {time_words(early)} to {time_words(late)}; of {len(moves)} vials read twice it moves "
                "most there.",
                f"{after - before:+,.4g}{unit}",
                "our convention",
                "Read on until it stands still before you judge by it.",
            )
        )
    return found
