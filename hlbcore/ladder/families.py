"""Ladders after the HLB is found: chemical families, and doses."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence

import numpy as np

from hlbcore._numbers import checked, checked_dose
from hlbcore.blending.candidates import NONIONIC_MOST, TRACE_BOUNDS, Candidate
from hlbcore.blending.choice import GAP_LEAST, GAP_MOST
from hlbcore.blending.marks import mark
from hlbcore.blending.mixing import split_pair
from hlbcore.errors import InvalidInput, MissingValue
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.ingredients import Ingredient
from hlbcore.ladder.finish import STEPS_MOST, Weighed, finish, pair_findings, rising, room
from hlbcore.ladder.ladder import Ladder, Process, whole_number
from hlbcore.ladder.plan import DOSE_OF_OIL, EMULSION_TO_OBSERVE
from hlbcore.ladder.vial import Bench, Names, bench, found_emulsifier
from hlbcore.library import Library, load_library
from hlbcore.readings import GRADES

FAMILY_PAIRS = (
    ("sorbitan ester", "polysorbate"),
    ("ethoxylated alcohol", "ethoxylated alcohol"),
    ("PEG ester", "PEG ester"),
    ("glycerol ester", "PEG ester"),
    ("polyglyceryl ester", "polyglyceryl ester"),
)
"""Families of the low and the high emulsifier that a family ladder tries. Our convention."""

FAMILIES_MOST = 8
"""Pairs of a family ladder, where the tool chooses. [-] Our convention."""

DOSES_STEPPED = (8.0, 40.0)
"""Ends of the doses that a ladder steps through. [% of oil phase] About the 10th to 90th percentile
of printed lotions, data/dose_evidence.csv."""


def family_ladder(
    hlb: float | str,
    *,
    oil_phase: Names,
    pairs: Sequence[tuple[str, str]] | None = None,
    vial_mass_g: float | str = 50.0,
    emulsifier_pct: float | str | None = None,
    readability_g: float | str = 0.01,
    others: Names | None = None,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
) -> Ladder:
    """Pairs of other chemical families, all at the HLB that was found.

    Parameters
    ----------
    hlb : float
        The optimum of the HLB ladder. [HLB]
    oil_phase : mapping of str to float or str
        Oils, butters and waxes of every vial. [% of the vial]
    pairs : sequence of (str, str), optional
        Left out: the best documented plain nonionic pair of each family and chain.
    vial_mass_g, readability_g : float
        Mass of a vial, division of the scale. [g]
    emulsifier_pct : float, optional
        Left out: 12.5 % of the oil phase. [% of the vial]
    others : mapping of str to float, optional
        What else is in every vial alike. [% of the vial]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping of str to float, str or Estimate, optional
        The user's own HLB of an emulsifier, by name. [HLB]
    duplicates, seed, blinded, process
        As in `plan_ladder`. [-]

    Returns
    -------
    Ladder
        One vial a pair, all at one HLB and one dose.

    Examples
    --------
    >>> ladder = family_ladder(10.5, oil_phase={"mineral oil": 20})
    >>> ladder.vials[0].grams[:2]
    (('sorbitan oleate', 0.53), ('polysorbate 80', 0.72))
    """
    library = library or load_library()
    target = checked(hlb, "HLB", low=0, high=HLB_MAX)
    named = list(pairs) if pairs is not None else _families(target, library)
    if not named:
        raise InvalidInput(
            "families", f"no pair of the tables stands on both sides of HLB {target:g}", "Name the pairs."
        )
    members: dict[str, Candidate] = {}
    chosen = []
    for pair in named:
        if len(pair) != 2:
            raise InvalidInput("pairs", "two names are wanted for each", "Give (low, high).")
        held = [found_emulsifier(n, values, library) for n in pair]
        chosen.append([members.setdefault(c.id, c) for c in held])
    shared = bench(list(members.values()), oil_phase, others, vial_mass_g, readability_g)
    dose = _dose(emulsifier_pct, shared)
    weighed = []
    for low, high in chosen:
        x, y = split_pair(low.estimate.value, high.estimate.value, target=target)
        weighed.append((shared.weigh({low.label: x * dose, high.label: y * dose}, target), target))
    found = [f for pair in chosen for f in pair_findings(pair)]
    return finish(
        "family",
        shared,
        weighed,
        dose,
        emulsion,
        duplicates,
        seed,
        blinded,
        process,
        EMULSION_TO_OBSERVE,
        found,
        library,
    )


def _families(target: float, library: Library) -> list[tuple[str, str]]:
    """The best documented pair of each two families and chain, the usual families first."""
    plain = [
        (i, e)
        for i in library.emulsifiers
        if i.chain
        and not mark(i)
        and i.convention == "emulsifier"
        and (e := i.hlb) is not None
        and not e.alternatives
        and e.value <= NONIONIC_MOST
    ]
    best: dict[tuple[int, str], tuple[tuple[int, int, str, str], tuple[str, str]]] = {}
    for (a, e), (b, f) in itertools.permutations(plain, 2):
        if (a.family, b.family) not in FAMILY_PAIRS or a.chain != b.chain:
            continue
        if not (e.value < target < f.value and GAP_LEAST <= f.value - e.value <= GAP_MOST):
            continue
        rank = (
            max(GRADES.index(e.grade), GRADES.index(f.grade)),
            -min(len(e.sources), len(f.sources)),
            a.id,
            b.id,
        )
        key = FAMILY_PAIRS.index((a.family, b.family)), a.chain
        if key not in best or rank < best[key][0]:
            best[key] = rank, (a.common_name, b.common_name)
    ranked = sorted(best.items(), key=lambda kv: (kv[0][0], kv[1][0]))
    return [names for _, (_, names) in ranked][:FAMILIES_MOST]


def loading_ladder(
    first: str | Ingredient,
    second: str | Ingredient,
    *,
    hlb: float | str,
    oil_phase: Names,
    doses_pct: Sequence[float | str] | None = None,
    steps: int = 6,
    vial_mass_g: float | str = 50.0,
    readability_g: float | str = 0.01,
    others: Names | None = None,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
) -> Ladder:
    """Stepped doses of one pair at the HLB that was found.

    Parameters
    ----------
    first, second : str or Ingredient
        The pair.
    hlb : float
        The optimum of the HLB ladder. [HLB]
    oil_phase : mapping of str to float or str
        Oils, butters and waxes of every vial. [% of the vial]
    doses_pct : sequence of float, optional
        Left out: even ratios from 8 to 40 % of the oil phase, the lowest and the highest seen in
        published examples. [% of the vial]
    steps : int
        Doses, where they are left out. [-]
    vial_mass_g, readability_g : float
        Mass of a vial, division of the scale. [g]
    others : mapping of str to float, optional
        What else is in every vial alike. [% of the vial]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping of str to float, str or Estimate, optional
        The user's own HLB of an emulsifier, by name. [HLB]
    duplicates, seed, blinded, process
        As in `plan_ladder`. [-]

    Returns
    -------
    Ladder
        Water makes up for the dose.

    Examples
    --------
    >>> ladder = loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10.5,
    ...                         oil_phase={"mineral oil": 20}, doses_pct=[1, 2, 3])
    >>> ladder.table["emulsifier_of_oil_pct"].tolist()
    [5.0, 10.0, 15.0]
    """
    library = library or load_library()
    target = checked(hlb, "HLB", low=0, high=HLB_MAX)
    held = [found_emulsifier(n, values, library) for n in (first, second)]
    shared = bench(held, oil_phase, others, vial_mass_g, readability_g)
    if doses_pct is None:
        n = whole_number(steps, "steps", 2, STEPS_MOST)
        wanted = [float(d) * shared.oil_pct / 100 for d in np.geomspace(*DOSES_STEPPED, n)]
    else:
        wanted = rising([checked_dose(d, "dose", "vial") for d in doses_pct], "dose", 100.0)
    weighed = []
    for dose in wanted:
        room(shared, dose)
        weighed.append((shared.weigh(shared.split(target, dose), target), target))
    return finish(
        "loading",
        shared,
        weighed,
        None,
        emulsion,
        duplicates,
        seed,
        blinded,
        process,
        EMULSION_TO_OBSERVE,
        pair_findings(held),
        library,
    )


def ready_ladder(
    name: str,
    *,
    oil_phase: Names,
    doses_pct: Sequence[float | str],
    vial_mass_g: float | str = 50.0,
    readability_g: float | str = 0.01,
    others: Names | None = None,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
) -> Ladder:
    """Stepped doses of one emulsifier that is sold ready: its first test, whatever its HLB.

    Parameters
    ----------
    name : str
        The emulsifier.
    oil_phase, vial_mass_g, readability_g, others, emulsion, values, duplicates, seed, blinded, process
        As in `loading_ladder`.
    library : Library, optional
        The built-in tables if left out.
    doses_pct : sequence of float
        The doses; `ready_doses` gives them round one that was seen. [% of the vial]

    Returns
    -------
    Ladder
        Water makes up for the dose; no vial has a target HLB.

    Examples
    --------
    >>> ladder = ready_ladder("emulsifying wax NF", oil_phase={"almond oil": 20}, doses_pct=[2.5, 5, 7.5])
    >>> ladder.table["emulsifier_of_oil_pct"].tolist()
    [12.5, 25.0, 37.5]
    """
    library = library or load_library()
    try:
        held = found_emulsifier(name, values, library)
    except MissingValue:  # by its supplier's rate: no HLB is needed
        held = Candidate(name.strip(), TRACE_BOUNDS, library.emulsifier(name))
    shared = bench([held], oil_phase, others, vial_mass_g, readability_g)
    weighed: list[Weighed] = []
    for dose in rising([checked_dose(d, "dose", "vial") for d in doses_pct], "dose", 100.0):
        room(shared, dose)
        weighed.append((shared.weigh({held.label: dose}), None))
    return finish(
        "loading",
        shared,
        weighed,
        None,
        emulsion,
        duplicates,
        seed,
        blinded,
        process,
        EMULSION_TO_OBSERVE,
        [],
        library,
    )


def _dose(pct: float | str | None, shared: Bench) -> float:
    dose = sum(DOSE_OF_OIL) / 200 * shared.oil_pct if pct is None else checked_dose(pct, "emulsifier", "vial")
    room(shared, dose)
    return dose
