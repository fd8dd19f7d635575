"""Fragrance: allergens to name by use, categories of the supplier's maximum, phototoxic oils.

The figures of one fragrance come from its own sheet and certificate; nothing here stands in for
them. Sources:

- Thresholds and dates: `eu_2023_1545` (second-hand), `sgs_2023_10_allergens` (dates).
- Categories: `ifra_categories_page`, 49th Amendment on; that a scrub is in 9 is from memory. Older
  certificates (to the 48th Amendment) number otherwise: lotion 4, soap 9;
  `fragrance_old_categories`. No default: two certificates give 1.49 and 14.46 % for category 9,
  2.52 and 1.88 % for 5A; `fragrance_certificates_shop`.
- Phototoxic oils: `ifra_guidance_2020_05`, section 1.6.1 (title seen; the oils from memory).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from hlbcore._numbers import checked, checked_word
from hlbcore.formula.facts import AREAS
from hlbcore.product_types import ProductType, product_type

LEAVE_ON_PCT = 0.001
"""An allergen above this is named on a product left on the skin. [% of formula] `ALLERGEN_RULE`."""

RINSE_OFF_PCT = 0.01
"""An allergen above this is named on a product rinsed off. [% of formula] `ALLERGEN_RULE`."""

ALLERGEN_RULE = (
    "Reg. (EU) 2023/1545 of 26 July 2023: named above 0.001 % left on, above 0.01 % rinsed off; "
    "new products from 31 July 2026, stock on the shelf to 31 July 2028 (eu_2023_1545, seen "
    "second-hand; sgs_2023_10_allergens)"
)
CATEGORY_RULE = (
    "supplier's certificate by category; categories of the 49th Amendment on "
    "(ifra_categories_page); two certificates give 1.49 % and 14.46 % for category 9 "
    "(fragrance_certificates_shop), so there is no default"
)
PHOTOTOXIC_RULE = (
    "phototoxic oils: ifra_guidance_2020_05, section 1.6.1 (title seen); which oils, from memory"
)
HEAT_RULE = "supplier's heat limit or flash point; common practice, no source"

PRESERVATIVE_ALLERGENS = ("benzyl_alcohol",)
"""Preservatives that are fragrance allergens too, by id. Annex V note of `cosing_annex_v_2015`."""

_SLACK = 1e-9  # [-] rounding of products of shares; not a tolerance of the law
_PHOTOTOXIC = re.compile(r"\b(bergamot|limes?|lemon|bitter orange|angelica)\b", re.I)
_OTHERWISE = re.compile(
    r"furocoumarin.?free|\bFCF\b|bergapten.?free|distilled|"
    r"lemon (balm|tea tree|eucalyptus|grass|myrtle|verbena)|lime (blossom|flower|tree)",
    re.I,
)


@dataclass(frozen=True, slots=True)
class Named:
    """An allergen against the thresholds of both uses.

    Parameters
    ----------
    name : str
        As on the supplier's sheet.
    pct : float
        In the product. [% of formula]
    leave_on, rinse_off : bool
        Whether it is to be named there.
    """

    name: str
    pct: float
    leave_on: bool
    rinse_off: bool

    def to_name(self, *, leave_on: bool) -> bool:
        """Whether it is to be named.

        Parameters
        ----------
        leave_on : bool
            Whether the product stays on the skin.

        Returns
        -------
        bool
            True above the threshold of that use.
        """
        return self.leave_on if leave_on else self.rinse_off


def threshold(*, leave_on: bool) -> float:
    """The share of a product above which a fragrance allergen is named on it.

    Parameters
    ----------
    leave_on : bool
        Whether the product stays on the skin.

    Returns
    -------
    float
        Of Reg. (EU) 2023/1545. [% of formula]

    Examples
    --------
    >>> threshold(leave_on=True), threshold(leave_on=False)
    (0.001, 0.01)
    """
    return LEAVE_ON_PCT if leave_on else RINSE_OFF_PCT


def in_product(fragrance_pct: float, allergen_share_pct: float) -> float:
    """An allergen in the product, from the fragrance and its sheet.

    Parameters
    ----------
    fragrance_pct : float
        Fragrance. [% of formula]
    allergen_share_pct : float
        The allergen on the supplier's sheet. [% of the fragrance]

    Returns
    -------
    float
        Share times share. [% of formula]

    Examples
    --------
    >>> in_product(0.5, 1)
    0.005
    """
    pct = checked(fragrance_pct, "fragrance", low=0, high=100, unit="%")
    return pct * checked(allergen_share_pct, "allergen", low=0, high=100, unit="%") / 100


def named(name: str, pct: float) -> Named:
    """An allergen against the thresholds of both uses.

    Parameters
    ----------
    name : str
        The allergen.
    pct : float
        In the product. [% of formula]

    Returns
    -------
    Named
        Above means above: at the threshold it need not be named.

    Examples
    --------
    >>> linalool = named("linalool", 0.005)
    >>> linalool.leave_on, linalool.rinse_off
    (True, False)
    """
    held = checked(pct, f"allergen '{name}'", low=0, high=100, unit="%")
    return Named(name, held, held > LEAVE_ON_PCT * (1 + _SLACK), held > RINSE_OFF_PCT * (1 + _SLACK))


def category(product: ProductType | str, area: str) -> str:
    """The product category to look up in a fragrance certificate.

    Parameters
    ----------
    product : ProductType or str
        Product type.
    area : str
        Where it is used.

    Returns
    -------
    str
        Number and words, of the 49th Amendment on; the supplier confirms it.

    Examples
    --------
    >>> category("wash-off scrub", "body")
    '9 (rinse-off, body and hand)'
    >>> category("o/w cream", "face")
    '5B (face cream)'
    """
    kind = product_type(product)
    place = checked_word(area, AREAS, "area")
    if place == "lips":
        return "1 (lips)"
    if place == "eye area":
        return "of the eye area (ask the supplier for its number)"
    if not kind.leave_on:
        hair = kind.name == "conditioner"
        return "7A or 7B (hair)" if hair else "9 (rinse-off, body and hand)"
    return "5B (face cream)" if place == "face" else "5A (body lotion; hand 5C, baby 5D)"


def phototoxic(text: str) -> bool:
    """Whether a name is that of an oil that may be phototoxic when cold-pressed.

    Parameters
    ----------
    text : str
        Name and note of a line.

    Returns
    -------
    bool
        False where the text says that it is free of furocoumarins, or distilled.

    Examples
    --------
    >>> phototoxic("bergamot oil"), phototoxic("bergamot oil, furocoumarin-free")
    (True, False)
    """
    return bool(_PHOTOTOXIC.search(text)) and not _OTHERWISE.search(text)
