"""Observations as arrays for the fit, with the vials that leave it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput
from hlbcore.findings import Finding, worst_first
from hlbcore.ladder.kinds import observation_kind
from hlbcore.ladder.observations import after_words
from hlbcore.ladder.trial import NO_TYPE, UNCLEAR, Trial


@dataclass(frozen=True, slots=True, eq=False)
class Responses:
    """What a fit takes: one kind of observation as arrays, vials in rising order of HLB.

    Parameters
    ----------
    kind : str
        Kind of observation.
    better : str
        ``"higher"`` or ``"lower"``; blank where neither is.
    vials : tuple of int
        Numbers of the vials in the rows. [-]
    hours : tuple of float
        Times of the columns. [h]
    hlb : ndarray of shape (n_vials,)
        From the grams. [HLB]
    values : ndarray of shape (n_vials, n_times)
        NaN where missing. [as the kind says; layers in % of the height]
    limits : ndarray of shape (n_vials, n_times)
        -1 where the truth is less than the value, 1 where it is more, else 0. [-]
    cautions : tuple of Finding
        Vials that were left out, and why; worst first.
    """

    kind: str
    better: str
    vials: tuple[int, ...]
    hours: tuple[float, ...]
    hlb: NDArray[np.float64]
    values: NDArray[np.float64]
    limits: NDArray[np.int8]
    cautions: tuple[Finding, ...] = ()


def responses(trial: Trial, kind: str = "score", *, temperature_c: float | str | None = None) -> Responses:
    """One kind of observation as arrays for the fit.

    Parameters
    ----------
    trial : Trial
        What was seen.
    kind : str
        Kind of observation.
    temperature_c : float, optional
        Readings at this temperature only; needed where readings were taken at several. [°C]

    Returns
    -------
    Responses
        Vials of the other emulsion type are left out, and it is said; readings of a vial after it
        broke are missing.

    Raises
    ------
    InvalidInput
        If nothing was read, or readings at several temperatures would be mixed.

    Examples
    --------
    >>> from hlbcore.ladder import Observation, plan_ladder
    >>> ladder = plan_ladder("sorbitan oleate", "polysorbate 80", centre=10, half_width=3, steps=3,
    ...                      oil_phase={"mineral oil": 20})
    >>> seen = [Observation(v, 24, "score", s) for v, s in ((1, 2), (2, 5))]
    >>> responses(Trial(ladder, observations=tuple(seen))).values.ravel().tolist()
    [2.0, 5.0, nan]
    """
    what = observation_kind(kind)
    if not what.is_typed:
        return _creaming(trial, temperature_c)
    mine = [o for o in trial.observations if o.kind == what.name]
    warm = sorted({o.temperature_c for o in mine if o.temperature_c is not None})
    if temperature_c is not None:
        wanted = checked(temperature_c, "temperature", unit="°C")
        mine = [o for o in mine if o.temperature_c == wanted]
    elif len(warm) > 1:
        raise InvalidInput(
            f"readings of {what.name}",
            f"they were taken at {', '.join(f'{t:g}' for t in warm)} °C, which do not go together",
            "Choose one temperature.",
        )
    mine = [o for o in mine if o.value is not None and o.hours < trial.broken.get(o.vial, math.inf)]
    if not mine:
        raise InvalidInput(
            f"readings of {what.name}", "there are none", "Enter what was seen, or choose another."
        )
    kept, found = _kept(trial)
    kept = sorted(kept, key=lambda n: (trial.hlb(n), n))
    if not any(o.vial in kept for o in mine):
        raise InvalidInput(
            f"readings of {what.name}",
            f"no vial with one is {trial.ladder.emulsion}",
            "Extend the ladder to the other side.",
        )
    hours = tuple(sorted({o.hours for o in mine if o.vial in kept}))
    values = np.full((len(kept), len(hours)), np.nan)
    limits = np.zeros((len(kept), len(hours)), dtype=np.int8)
    for o in mine:
        if o.vial in kept:
            at = kept.index(o.vial), hours.index(o.hours)
            values[at] = o.number
            limits[at] = {"<": -1, ">": 1}.get(o.limit, 0)
    hlb = np.array([trial.hlb(n) for n in kept])
    return Responses(what.name, what.better, tuple(kept), hours, hlb, values, limits, worst_first(found))


CREAMING_LAYERS = ("water layer", "cream layer")
"""Layers whose growth tells how fast a vial creams, the first that was read twice; common practice, no
source."""


def creaming_layer(trial: Trial) -> str:
    """The layer that the creaming rate follows from; blank where none was read at two times.

    Parameters
    ----------
    trial : Trial
        Ladder, grams and observations.

    Returns
    -------
    str
        One of `CREAMING_LAYERS`.
    """
    for layer in CREAMING_LAYERS:
        seen: dict[tuple[int, float | None], set[float]] = {}
        for o in trial.observations:
            if o.kind == layer and o.value is not None:
                seen.setdefault((o.vial, o.temperature_c), set()).add(o.hours)
        if any(len(hours) > 1 for hours in seen.values()):
            return layer
    return ""


def _creaming(trial: Trial, temperature_c: float | str | None) -> Responses:
    """Slope of a layer against time by least squares, one value a vial. [% of the height a day]"""
    layer = creaming_layer(trial)
    if not layer:
        raise InvalidInput(
            "creaming rate", "no layer was read at two times", "Read the water layer at two times or more."
        )
    held = responses(trial, layer, temperature_c=temperature_c)
    days = np.array(held.hours) / 24
    rates = np.full((len(held.vials), 1), np.nan)
    for rate, row in zip(rates, held.values, strict=True):
        seen = ~np.isnan(row)
        if seen.sum() > 1:
            away = days[seen] - days[seen].mean()
            rate[0] = float(away @ row[seen]) / float(away @ away)
    return replace(
        held,
        kind="creaming rate",
        better=observation_kind("creaming rate").better,
        hours=held.hours[-1:],
        values=rates,
        limits=np.zeros(rates.shape, dtype=np.int8),
    )


def _kept(trial: Trial) -> tuple[list[int], list[Finding]]:
    """Vials that stay in the fit, and what is said of the others."""
    types, aim = trial.emulsion_types, trial.ladder.emulsion
    found = []
    emulsions = trial.ladder.kind not in ("rinse", "clarity")
    other = [n for n, t in types.items() if t not in (aim, NO_TYPE, UNCLEAR)] if emulsions else []
    if other:
        found.append(
            Finding(
                "caution",
                f"Not {aim}: vial {_list(trial, other)}",
                f"The drop test says {types[other[0]]}; they are left out of the fit, for the "
                f"other type follows another optimum.",
                figure=f"{len(other)} of {len(types)} vials",
                rule="one fit holds one emulsion type; our convention",
                mend=f"Read the optimum from the {aim} vials; where too few are left, move the "
                "ladder away from those vials.",
            )
        )
    if emulsions and (unclear := [n for n, t in types.items() if t == UNCLEAR]):
        found.append(
            Finding(
                "caution",
                f"The emulsion type is unclear: vial {_list(trial, unclear)}",
                "The tests contradict each other; the vials stay in the fit.",
                rule="a drop spreads in what is its outer phase",
                mend="Repeat both drops; a vial that spreads in both may be a mixture of types.",
            )
        )
    untested = [n for n, t in types.items() if t == NO_TYPE]
    if emulsions and untested:
        found.append(
            Finding(
                "note",
                f"Emulsion type not tested: vial {_list(trial, untested)}",
                f"They are taken as {aim}.",
                rule="a drop spreads in what is its outer phase",
                mend="Put a drop of each into water and into oil.",
            )
        )
    for n, hours in sorted(trial.broken.items()):
        found.append(
            Finding(
                "note",
                f"Vial {_list(trial, [n])} is no more",
                f"It broke, leaked or was spilled {after_words(hours)}; later readings are missing.",
                mend="Make it again if it stands near the optimum.",
            )
        )
    return [n for n in types if n not in other], found


def _list(trial: Trial, numbers: list[int]) -> str:
    """What is written on these vials."""
    return ", ".join(v.label for v in trial.ladder.at_bench if v.number in numbers)
