"""What each product type asks for; the verdict on a blend follows the role of HLB given here."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.errors import InvalidInput, clipped

ROLES = ("governs", "secondary", "none")
"""What HLB is for: the aim itself, one figure beside the rinse test, or nothing."""

PRACTICE = "common practice, no source"
"""How a fact of the trade without a published source is marked."""


@dataclass(frozen=True, slots=True)
class ProductType:
    """One product type.

    Parameters
    ----------
    name : str
        As makers say it.
    emulsion : str
        ``"o/w"``, ``"w/o"`` or ``""`` where there is none.
    role : str
        Role of HLB, one of `ROLES`.
    window : float
        Half width of the target window, the latitude that the bench gives. [HLB]
    dose_low, dose_high : float, optional
        What rinse and clarity ladders step between; None elsewhere: the usual dose is read from
        printed formulas (`usual_loading`). [% of `dose_basis`]
    dose_basis : str
        ``"oil phase"`` (emulsifier left out), ``"fat base"`` (oil phase and emulsifier, without
        sugar, salt and powder), ``"formula"`` or ``"perfume oil"``.
    dose_source : str
        Key in ``data/sources.csv`` or ``common practice, no source``.
    anhydrous : bool
        Whether it holds no water phase, so that an emulsifier must stay dissolved in the oil.
    leave_on : bool
        Whether it stays on the skin.
    reason : str
        Why HLB has this role here.
    decides : str
        What decides instead, or beside it.
    alone : str
        The emulsifier usually used alone; blank where a pair is wanted or none.
    alone_reason, alone_source : str
        Why, and key in ``data/sources.csv`` or ``common practice, no source``.
    """

    name: str
    emulsion: str
    role: str
    window: float
    dose_low: float | None
    dose_high: float | None
    dose_basis: str
    dose_source: str
    anhydrous: bool
    leave_on: bool
    reason: str
    decides: str
    alone: str = ""
    alone_reason: str = ""
    alone_source: str = PRACTICE

    @property
    def one(self) -> str:
        """The name with its article."""
        return f"{'an' if self.name[0] in 'aeiou' else 'a'} {self.name}"

    @property
    def phase_emulsion(self) -> str:
        """Emulsion type whose required HLB is asked for; o/w where there is no emulsion."""
        return self.emulsion or "o/w"


_WINDOW = 1.0
"""Half width of the window where HLB plays a part. [HLB] Convention of the trade; a page that
states it was not opened, the ladder of hassan_2018 (rungs 1.07 apart) is the best support seen."""

_TYPES = (
    ProductType(
        "light o/w lotion",
        "o/w",
        "governs",
        _WINDOW,
        None,
        None,
        "oil phase",
        "data/dose_evidence.csv",
        False,
        True,
        "The oil must stay dispersed in water, so the blend should meet the required HLB.",
        "Required HLB, dose and thickener together; the bench ladder has the last word.",
    ),
    ProductType(
        "o/w cream",
        "o/w",
        "governs",
        _WINDOW,
        None,
        None,
        "oil phase",
        "data/dose_evidence.csv",
        False,
        True,
        "The oil must stay dispersed in water, so the blend should meet the required HLB.",
        "Required HLB, dose and the waxy share together; the bench ladder has the last word.",
    ),
    ProductType(
        "w/o cream",
        "w/o",
        "none",
        _WINDOW,
        None,
        None,
        "formula",
        "data/dose_evidence.csv",
        False,
        True,
        "Plant oils have no required HLB for w/o, so no sum is made; HLB 3 to 6 is orientation only.",
        "The type of the emulsifier, its dose, salt in the water and slow addition of the water.",
    ),
    ProductType(
        "wash-off scrub",
        "o/w",
        "secondary",
        _WINDOW,
        9.0,
        10.0,
        "fat base",
        "diycosmetica_scrub",
        True,
        False,
        "Dispersal under the tap is the aim; in the jar the emulsifier only thickens, and one "
        "hydrophilic emulsifier far above the window is normal.",
        "The rinse test: how milky, what oil ring, what film is left.",
        "polysorbate 80",
        "dispersal under the tap is the aim, so one hydrophilic emulsifier "
        "alone, above the window on purpose",
        PRACTICE,
    ),
    ProductType(
        "cleansing balm",
        "o/w",
        "secondary",
        _WINDOW,
        10.0,
        20.0,
        "formula",
        "humblebee_cleansing_balm",
        True,
        False,
        "Dispersal under the tap is the aim, and the emulsifier must stay dissolved in the fat.",
        "The rinse test, and a jar kept cold, at room temperature and warm.",
        "polysorbate 80",
        "dispersal under the tap is the aim; whether it stays dissolved in your fats, a jar test must show",
        "humblebee_cleansing_balm",
    ),
    ProductType(
        "dispersing bath or cleansing oil",
        "o/w",
        "secondary",
        _WINDOW,
        6.0,
        20.0,
        "formula",
        "cosmeticsbusiness_cleansing_oil",
        True,
        False,
        "Dispersal in the bath or under the tap is the aim, and the emulsifier must stay dissolved "
        "in the oil; a matched HLB does not see to that.",
        "A jar kept for weeks: clear or not; then the rinse test.",
        "sorbeth-30 tetraoleate",
        "dispersal is the aim, and it is used as the oil-soluble emulsifier of rinse-off oils",
        "cosmeticsbusiness_cleansing_oil",
    ),
    ProductType(
        "clear solubilised product",
        "",
        "none",
        _WINDOW,
        100.0,
        300.0,
        "perfume oil",
        "raw_source_solubilizing",
        False,
        True,
        "The oil is dissolved in micelles, not dispersed: clarity decides, not a matched HLB.",
        "Solubiliser to oil, found by a clarity ladder; often HLB 15 to 18.",
        "polysorbate 20",
        "solubilisers stand at HLB 15 to 18",
        "raw_source_solubilizing",
    ),
    ProductType(
        "whipped butter",
        "",
        "none",
        _WINDOW,
        None,
        None,
        "formula",
        PRACTICE,
        True,
        True,
        "There is no water and no emulsion.",
        "Melting, crystals and air.",
    ),
    ProductType(
        "conditioner",
        "",
        "none",
        _WINDOW,
        None,
        None,
        "formula",
        "data/dose_evidence.csv",
        False,
        False,
        "A cationic emulsifier with fatty alcohol builds a gel network that HLB does not describe.",
        "Active cationic share and fatty alcohol, as the supplier says.",
    ),
)


def product_types() -> tuple[ProductType, ...]:
    """All product types, in the order of the app.

    Returns
    -------
    tuple of ProductType
        Each with role of HLB, emulsion type, window and usual dose.

    Examples
    --------
    >>> [t.name for t in product_types() if t.role == "governs"]
    ['light o/w lotion', 'o/w cream']
    """
    return _TYPES


def product_type(name: str | ProductType) -> ProductType:
    """The product type of that name.

    Parameters
    ----------
    name : str or ProductType
        Case and spacing are free.

    Returns
    -------
    ProductType
        As listed by `product_types`.

    Raises
    ------
    InvalidInput
        If there is no such type.

    Examples
    --------
    >>> product_type("Wash-off scrub").role
    'secondary'
    """
    if isinstance(name, ProductType):
        return name
    folded = "".join(c for c in str(name).casefold() if c.isalnum())
    for kind in _TYPES:
        if folded == "".join(c for c in kind.name if c.isalnum()):
            return kind
    raise InvalidInput(
        f"product type '{clipped(name)}'", "it is not known here", f"Use {', '.join(t.name for t in _TYPES)}."
    )
