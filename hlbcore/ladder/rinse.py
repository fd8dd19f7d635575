"""Ladders where HLB does not govern: rinse test of wash-off bases, clarity of solubilised oils."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from hlbcore._numbers import checked, checked_dose
from hlbcore.blending.choice import GAP_LEAST, choose_emulsifiers
from hlbcore.blending.marks import SOLUBILITY
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.errors import InvalidInput
from hlbcore.estimate import HLB_MAX, Estimate
from hlbcore.ingredients import Ingredient
from hlbcore.ladder.finish import STEPS_MOST, Weighed, finish, pair_findings, rising, room
from hlbcore.ladder.ladder import Ladder, Process, whole_number
from hlbcore.ladder.vial import Names, bench, found_emulsifier
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type

DILUTION = (20.0, 50.0)
"""Parts of warm water for one part of base in the rinse test. [-] common practice, no source."""

DILUTION_USUAL = 30.0
"""What is planned between those ends. [-] Our convention."""

DOSE_SPREAD = 0.5
"""A rinse ladder goes from this share of the low usual dose to one and a half times the high one.
[-] Our convention."""

CLARITY_BEYOND = 2.0
"""A clarity ladder goes up to so many times the usual high dose. [-] Our convention."""


RINSE_TO_OBSERVE = (
    "Drop 1 part of base on {parts:g} parts of water at 38 °C ({base:g} g on {water:g} g), swirl "
    "ten times; the same for every vial.",
    "Milkiness at once, 0 to 5.",
    "Oil ring after 5 and after 15 minutes, 0 to 5.",
    "Film: dip a glass slide, rinse it under the tap, hold it to the light; 0 to 5.",
    "Jars of each base cold, at room temperature and at 40 °C: hardness 0 to 5, oil on top and "
    "settled layer in mm, of the whole height in mm.",
    "Oil on the floor of a shower or tub is slippery: test over a basin, and clean up with soap.",
)
"""What to look at in a rinse ladder; common practice, no source."""


def rinse_ladder(
    product: str | ProductType,
    *,
    oil_phase: Names,
    first: str | Ingredient | None = None,
    second: str | Ingredient | None = None,
    hlbs: Sequence[float | str] | None = None,
    doses_pct: Sequence[float | str] | None = None,
    jar_mass_g: float | str = 50.0,
    readability_g: float | str = 0.01,
    dilution: float | str = DILUTION_USUAL,
    base_g: float | str = 2.0,
    values: Mapping[str, float | str | Estimate] | None = None,
    others: Names | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
) -> Ladder:
    """Bases at stepped HLB and stepped dose for the rinse test of a wash-off product.

    Parameters
    ----------
    product : str or ProductType
        One whose role of HLB is secondary.
    oil_phase : mapping of str to float or str
        Oils, butters and waxes, without sugar, salt and powder. [parts]
    first, second : str or Ingredient, optional
        The pair; left out: the emulsifier usually used alone, and one of low HLB beside it.
    hlbs : sequence of float, optional
        Left out: the required HLB of the oil phase, half way up, and the high one alone. [HLB]
    doses_pct : sequence of float, optional
        Left out: from half the usual dose to one and a half times. [% of the fat base]
    jar_mass_g, readability_g : float
        Mass of a base, division of the scale. [g]
    dilution : float
        Parts of warm water for one part of base, 20 to 50. [-]
    base_g : float
        Base for one rinse test. [g]
    values : mapping of str to float, str or Estimate, optional
        The user's own HLB of an emulsifier, by name. [HLB]
    others : mapping of str to float, optional
        What else is in every jar alike, such as sugar and fragrance; oils make up the rest. [% of the
        jar]
    duplicates, seed, blinded, process
        As in `plan_ladder`. [-]

    Returns
    -------
    Ladder
        Bases without water: the oil phase makes up the rest.

    Raises
    ------
    InvalidInput
        For a product type whose aim is not dispersal.

    Examples
    --------
    >>> ladder = rinse_ladder("wash-off scrub", oil_phase={"sunflower oil": 70, "beeswax": 10})
    >>> len(ladder.vials), float(ladder.table["target_hlb"].max())
    (9, 15.0)
    """
    library = library or load_library()
    kind = product_type(product)
    if kind.role != "secondary":
        raise InvalidInput(
            f"product type '{kind.name}'",
            "its aim is not dispersal under the tap",
            "Use plan_ladder for emulsions, clarity_ladder for clear products.",
        )
    parts = checked(dilution, "parts of water", low=DILUTION[0], high=DILUTION[1])
    sample = checked(base_g, "base for one rinse test", above=0, high=1000, unit="g")
    if (first is None) != (second is None):
        raise InvalidInput("emulsifiers", "one of the two is missing", "Name both or none.")
    if first is None or second is None:
        high = library.emulsifier(kind.alone)
        first, second = _partner(high, library), high
    held = [found_emulsifier(n, values, library) for n in (first, second)]
    shared = bench(held, oil_phase, others, jar_mass_g, readability_g, water=False)
    left = 1 - math.fsum(p for _, p in shared.others) / 100
    fat = left if kind.dose_basis == "fat base" else 1.0
    if left <= 0:
        raise InvalidInput("jar", "no fat base is left beside the other lines", "Lower one of them.")
    bottom, top = sorted(c.estimate.value for c in held)
    if hlbs is None:
        required = required_hlb(dict(oil_phase), emulsion="o/w", library=library).value
        start = min(max(required, bottom), top)
        rungs = list(dict.fromkeys(round(float(t), 9) for t in np.linspace(start, top, 3)))
    else:
        rungs = rising(hlbs, "HLB", HLB_MAX)
    doses = (
        _usual_doses(kind)
        if doses_pct is None
        else rising([checked_dose(d, "dose", "jar") for d in doses_pct], "dose", 99.0)
    )
    weighed: list[Weighed] = [
        (shared.weigh(shared.split(t, dose * fat), t), t) for t in rungs for dose in doses
    ]
    texts = tuple(
        t.format(parts=parts, base=sample, water=round(parts * sample, 6)) for t in RINSE_TO_OBSERVE
    )
    return finish(
        "rinse",
        shared,
        weighed,
        None,
        "o/w",
        duplicates,
        seed,
        blinded,
        process,
        texts,
        [SOLUBILITY, *pair_findings(held)],
        library,
    )


def _partner(high: Ingredient, library: Library) -> Ingredient:
    """The best documented sorbitan ester of the same chain, well below."""
    assert high.hlb is not None
    top = high.hlb.value
    fitting = [
        (-len(e.sources), i.id, i)
        for i in library.emulsifiers
        if i.family == "sorbitan ester"
        and i.chain == high.chain
        and (e := i.hlb) is not None
        and top - e.value >= GAP_LEAST
    ]
    if fitting:
        return min(fitting, key=lambda f: f[:2])[2]
    choice = choose_emulsifiers(top - GAP_LEAST, library=library)
    return library.emulsifier(choice.names[0])


def _usual_doses(kind: ProductType) -> list[float]:
    assert kind.dose_low is not None
    assert kind.dose_high is not None
    low, high = DOSE_SPREAD * kind.dose_low, (1 + DOSE_SPREAD) * kind.dose_high
    return [low, (kind.dose_low + kind.dose_high) / 2, min(high, 50.0)]


CLARITY_TO_OBSERVE = (
    "Stir the oil into the solubiliser first until clear, then add the water slowly.",
    "Clarity after 1 hour, 1 day and 1 week, 0 to 5, against printed text.",
    "Keep one set cold and one at 40 °C: clear in all three is what counts.",
)
"""What to look at in a clarity ladder; common practice, no source."""


def clarity_ladder(
    oil: Names,
    *,
    solubiliser: str | Ingredient = "polysorbate 20",
    ratios: Sequence[float | str] | None = None,
    steps: int = 6,
    vial_mass_g: float | str = 50.0,
    readability_g: float | str = 0.01,
    others: Names | None = None,
    values: Mapping[str, float | str | Estimate] | None = None,
    duplicates: int = 0,
    seed: int | None = None,
    blinded: bool = False,
    process: Process | None = None,
    library: Library | None = None,
) -> Ladder:
    """Stepped solubiliser to oil for a clear product; HLB has no say here.

    Parameters
    ----------
    oil : mapping of str to float or str
        Fragrance or oil to be dissolved. [% of the vial]
    solubiliser : str or Ingredient
        The solubiliser.
    ratios : sequence of float, optional
        Parts of solubiliser for one part of oil; left out: from the low usual dose to twice the
        high one. [-]
    steps : int
        Ratios, where they are left out. [-]
    vial_mass_g, readability_g : float
        Mass of a vial, division of the scale. [g]
    others : mapping of str to float, optional
        What else is in every vial alike; water makes up the rest. [% of the vial]
    values : mapping of str to float, str or Estimate, optional
        The user's own HLB of the solubiliser. [HLB]
    duplicates, seed, blinded, process
        As in `plan_ladder`. [-]

    Returns
    -------
    Ladder
        The ratio of each vial is ``emulsifier_of_oil_pct / 100`` of its table.

    Examples
    --------
    >>> ladder = clarity_ladder({"lavender oil": 0.5}, ratios=[1, 2, 4])
    >>> ladder.table["emulsifier_of_oil_pct"].tolist()
    [100.0, 200.0, 400.0]
    """
    library = library or load_library()
    kind = product_type("clear solubilised product")
    assert kind.dose_low is not None
    assert kind.dose_high is not None
    held = [found_emulsifier(solubiliser, values, library)]
    shared = bench(held, oil, others, vial_mass_g, readability_g)
    if ratios is None:
        n = whole_number(steps, "steps", 2, STEPS_MOST)
        top = CLARITY_BEYOND * kind.dose_high
        wanted = [float(r) / 100 for r in np.linspace(kind.dose_low, top, n)]
    else:
        wanted = rising(ratios, "ratio", 1000.0)
    weighed: list[Weighed] = []
    for ratio in wanted:
        dose = ratio * shared.oil_pct
        room(shared, dose)
        weighed.append((shared.weigh({held[0].label: dose}), None))
    process = process or Process(
        None,
        "room temperature, the same for every vial",
        "",
        ("The same order of mixing and the same stirring for every vial.",),
    )
    return finish(
        "clarity",
        shared,
        weighed,
        None,
        "o/w",
        duplicates,
        seed,
        blinded,
        process,
        CLARITY_TO_OBSERVE,
        [],
        library,
    )
