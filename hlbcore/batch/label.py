"""What a label owes beside its list of ingredients, as blanks that are named until they are filled."""

from __future__ import annotations

from dataclasses import dataclass, fields

from hlbcore._numbers import checked_text
from hlbcore.batch.declared_names import checked_market
from hlbcore.limits import check_length

BLANK = "________"
"""What stands where nothing was filled in."""


@dataclass(frozen=True, slots=True)
class LabelWords:
    """What the maker fills in on a label; all of it may be blank.

    Parameters
    ----------
    identity : str
        Name of the product and what it is for, where its look does not say so.
    net_contents : str
        For example as `net_contents_us` writes it.
    batch : str
        Batch number.
    durability : str
        Best before, or period after opening.
    precautions : str
        Warnings and directions.
    responsible : str
        EU: name and address of the responsible person. US: name and place of business of the maker,
        packer or distributor.
    contact : str
        US: address, telephone or electronic contact for reports of harm.
    origin : str
        Country of origin, where it is asked for.
    """

    identity: str = ""
    net_contents: str = ""
    batch: str = ""
    durability: str = ""
    precautions: str = ""
    responsible: str = ""
    contact: str = ""
    origin: str = ""

    def __post_init__(self) -> None:
        for held in fields(self):
            text = checked_text(getattr(self, held.name), f"label, {held.name.replace('_', ' ')}")
            check_length(text, f"label, {held.name.replace('_', ' ')}")


@dataclass(frozen=True, slots=True)
class LabelItem:
    """One thing that a label owes.

    Parameters
    ----------
    field : str
        Field of `LabelWords`.
    title : str
        Its name.
    section : str
        Where the law asks for it, and how that is known.
    hint : str
        What is wanted there.
    text : str
        What was filled in; blank while it is open.
    must : bool
        Whether the law asks for it in every case; else only where the hint says so.
    """

    field: str
    title: str
    section: str
    hint: str
    text: str = ""
    must: bool = True

    @property
    def is_open(self) -> bool:
        """Whether it is still blank."""
        return not self.text.strip()

    @property
    def line(self) -> str:
        """The item as one line of a draft."""
        return f"{self.title} ({self.section}): {' '.join(self.text.split()) or BLANK}"


_US = (
    (
        "identity",
        "Name and function",
        "21 CFR 701.11",
        "What it is, in common words, on the main panel.",
        True,
    ),
    (
        "net_contents",
        "Net contents",
        "21 CFR 701.13",
        "By weight for creams, balms and scrubs; main panel, bottom 30 %.",
        True,
    ),
    (
        "responsible",
        "Name and place of business",
        "21 CFR 701.12",
        "Maker, packer or distributor, with city, state and postal code.",
        True,
    ),
    (
        "contact",
        "Contact for reports of harm",
        "FD&C Act 609(a), MoCRA",
        "A US address, US telephone or electronic contact; small businesses too.",
        True,
    ),
    (
        "precautions",
        "Warnings and directions",
        "21 CFR 740.1; 740.10; 740.17",
        "Wherever a hazard is foreseen: slip, eyes, heat, allergens.",
        True,
    ),
    ("batch", "Batch number", "ISO 22716 7.2.3; no US label duty", "Ties the jar to its record.", False),
    (
        "durability",
        "Best before or period after opening",
        "no US section asks for it",
        "Good practice where water is in the jar or gets in.",
        False,
    ),
    ("origin", "Country of origin", "19 CFR 134, from memory", "Where it is imported.", False),
)

_EU = (
    (
        "identity",
        "Name and function",
        "Reg. (EC) 1223/2009 Art. 19(1)(f)",
        "The function, unless its look says so.",
        True,
    ),
    (
        "net_contents",
        "Net contents",
        "Art. 19(1)(b)",
        "By mass or volume when packed; not below 5 g or 5 ml, nor for free samples and single use.",
        True,
    ),
    (
        "durability",
        "Best before or period after opening",
        "Art. 19(1)(c)",
        "Best before; above 30 months the period after opening.",
        True,
    ),
    ("precautions", "Precautions", "Art. 19(1)(d)", "Those of the annexes and of the safety report.", True),
    ("batch", "Batch number", "Art. 19(1)(e)", "Of the batch, or what finds it.", True),
    ("responsible", "Responsible person", "Art. 19(1)(a)", "Name and address within the Union.", True),
    ("origin", "Country of origin", "Art. 19(1)(a)", "Where it is imported.", False),
)


def label_items(market: str, words: LabelWords | None = None) -> tuple[LabelItem, ...]:
    """What a label owes beside its list of ingredients.

    Parameters
    ----------
    market : str
        ``"us"`` or ``"eu"``.
    words : LabelWords, optional
        What was filled in.

    Returns
    -------
    tuple of LabelItem
        In the order of the label; what is blank says so.

    Notes
    -----
    US: titles of 21 CFR 701.11 and 701.12 seen, 701.13 read whole (`cfr_701_13`). EU: Art. 19(1) as
    three authorities show it, second-hand (`eu_1223_2009`).

    Examples
    --------
    >>> [i.title for i in label_items("eu", LabelWords(batch="B7")) if not i.is_open]
    ['Batch number']
    """
    held = words or LabelWords()
    rows = _US if checked_market(market) == "us" else _EU
    return tuple(LabelItem(f, title, sec, hint, getattr(held, f), must) for f, title, sec, hint, must in rows)
