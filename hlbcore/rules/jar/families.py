"""Fats that belong together, and pairs that are softer together than either alone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

SOS_BUTTERS = (
    "cocoa_butter",
    "cocoa_butter_equivalent",
    "illipe_butter",
    "kokum_butter",
    "mango_butter",
    "sal_butter",
    "sal_stearin",
    "shea_butter",
    "shea_stearin",
)
"""Butters whose solids are of the kind stearic-oleic-stearic, by id. Warmed into their melting range and
cooled slowly they turn grainy or lumpy: shea_oil_mill_questions, teachsoap_59620_grainy."""

LAURIC = (
    "babassu_oil",
    "coconut_oil",
    "hydrogenated_coconut_oil",
    "murumuru_butter",
    "palm_kernel_oil",
    "tucuma_butter",
)
"""Fats whose solids are lauric, by id."""

FAMILIES = {"cocoa-like": SOS_BUTTERS, "lauric": LAURIC, "palm": ("palm_oil",)}
"""Families of fats that set together."""


def family_of(key: str) -> str:
    """The family of a fat by its id; its own id where it belongs to none."""
    return next((name for name, ids in FAMILIES.items() if key in ids), key)


@dataclass(frozen=True, slots=True)
class Eutectic:
    """Two groups that are softer together than either.

    Parameters
    ----------
    first, second : tuple of str
        Ids of the two groups.
    said : str
        What was seen.
    source : str
        Keys in ``data/sources.csv``.
    """

    first: tuple[str, ...]
    second: tuple[str, ...]
    said: str
    source: str


EUTECTICS = (
    Eutectic(
        SOS_BUTTERS,
        LAURIC,
        "cocoa butter with coconut oil is softest at 35 to 65, and with 10 to 20 % of a lauric fat it is "
        "softer already",
        "joshi_2020; jopr_24_1349_2012",
    ),
    Eutectic(
        ("palm_oil",),
        ("palm_kernel_oil", "coconut_oil", "babassu_oil"),
        "palm with palm kernel oil is softest near 60 to 40 at 10 °C; seen for that pair and its stearins",
        "palm_kernel_eutectic_1996; timms_1985; liu_2019_palm_kernel",
    ),
    Eutectic(
        ("stearic_acid",),
        ("stearyl_alcohol", "cetearyl_alcohol"),
        "stearic acid with stearyl alcohol melts lower than either",
        "thermochim_acta_404_9_2003",
    ),
)
"""Pairs seen in abstracts; none prints how much softer they are."""


def eutectics_in(keys: Iterable[str]) -> list[tuple[Eutectic, tuple[str, ...]]]:
    """The pairs among some ids, each with the ids that make it."""
    held = tuple(dict.fromkeys(keys))
    found = []
    for pair in EUTECTICS:
        one = [k for k in held if k in pair.first]
        two = [k for k in held if k in pair.second]
        if one and two:
            found.append((pair, (*one, *two)))
    return found
