"""Limits of law and practice behind the standing cautions, each with its section and date.

What was read in someone else's summary says `seen second-hand`, what was not read `from memory`.
Laws change and differ by place: a finding that rests on one defers to the current text.
"""

from __future__ import annotations

import re
from functools import lru_cache

from hlbcore._numbers import checked
from hlbcore.product_types import PRACTICE

MEMORY = "from memory"
"""How a rule that was not read is marked."""

DIOXANE_CLEANSING_PPM = 1.0
"""Most 1,4-dioxane in a cleansing product, since 31 Dec 2023. [ppm] See `DIOXANE_RULE`."""

DIOXANE_COSMETIC_PPM = 10.0
"""Most 1,4-dioxane in another cosmetic, since 31 Dec 2022. [ppm] See `DIOXANE_RULE`."""

DIOXANE_RULE = (
    "New York ECL articles 35 and 37, 6 NYCRR Subpart 352-1, adopted 18 Sept 2024: 10 ppm in "
    "cosmetics since 31 Dec 2022, 1 ppm in cleansing products since 31 Dec 2023 (new_york_dioxane)"
)

AMINES = ("triethanolamine", "cocamide_mea", "tea_oleate", "tea_stearate")
"""Alkanolamines, their amides and soaps in the tables, by id."""

NITROSATING = ("bronopol", "bromo_nitro_dioxane")
"""Preservatives that form nitrosamines with amines, by id."""

NITROSAMINE_RULE = (
    "Reg. (EC) 1223/2009 Annex V entries 20, 21: avoid formation of nitrosamines "
    "(cosing_annex_v_2015); Annex III entries 61, 62: no nitrosating systems (eu_annex_3_export); "
    "that the terms hold for amides of diethanolamine, Annex III entry 60, is from memory"
)

TRIETHANOLAMINE_MAX_PCT = 2.5
"""Most triethanolamine in a product left on the skin. [% of formula] See `AMINE_RULE`."""

AMINE_RULE = (
    "Reg. (EC) 1223/2009 Annex III entry 62 (trialkanolamines: at most 2.5 % left on; purity 99 % "
    "or more, secondary amine at most 0.5 % of the raw material, nitrosamine at most 50 µg/kg, "
    "nitrite-free containers) and entry 61 (monoalkanolamines: same terms of purity) "
    "(eu_annex_3_export)"
)

CYCLIC_MAX_PCT = 0.1
"""Cyclic silicones must stay below this. [% of formula, each] See `CYCLIC_RULE`."""

CYCLIC_SILICONES = {
    "cyclotetrasiloxane": "prohibited",
    "cyclopentasiloxane": "rinsed off now, left on from 6 June 2027",
    "cyclohexasiloxane": "rinsed off from 6 June 2026, left on from 6 June 2027",
    "cyclomethicone": "a mixture of the three: each as the law says of it",
}
"""Cyclic silicones of four (D4), five (D5), six (D6) units and their mixture: when they fall under
`CYCLIC_MAX_PCT`."""

CYCLIC_RULE = (
    "REACH Annex XVII entry 70, Reg. (EU) 2024/1328: D4 prohibited; D5 below 0.1 % rinsed off; D6 "
    "below 0.1 % rinsed off from 6 June 2026; D5 and D6 below 0.1 % left on from 6 June 2027 "
    "(eu_2024_1328, seen second-hand)"
)

MICROPLASTICS = ("polyethylene", "nylon", "plastic", "microbead")
"""Words in a name that mark synthetic polymer particles."""

MICROPLASTIC_RULE = (
    "Reg. (EU) 2023/2055: exfoliating beads and loose plastic glitter since 17 Oct 2023, rinsed "
    "off from 17 Oct 2027, left on from 17 Oct 2029 (eu_2023_2055, seen second-hand); US "
    "Microbead-Free Waters Act 2015, plastic beads up to 5 mm in rinse-off scrubs, from memory"
)

SLIP_RULE = (
    "21 CFR 740.1, a warning where a hazard is foreseeable (cfr_740); about 235,000 US emergency "
    "visits a year for bathroom falls, 37.3 % while bathing or showering (anzelc_2022)"
)

HOT_C = 60.0
"""A phase from here up gets the caution on burns. [°C] See `HOT_RULE`."""

HOT_RULE = "safety pages on melting wax (wax_melting_pages, seen second-hand)"

ALLERGENIC = (
    "almond",
    "macadamia",
    "argan",
    "hazelnut",
    "walnut",
    "peanut",
    "sesame",
    "soy",
    "wheat",
    "pecan",
    "pistachio",
    "cashew",
    "brazil nut",
)
"""Words in a name that mark foods that people are allergic to; the tables' notes add to them."""

NO_NUTS = ("sesame", "soy", "wheat")
"""Those of `ALLERGENIC` that are no nuts."""

ALLERGEN_RULE = (
    "refined grades hold about a hundredth of the protein (pubmed_17373969); peanut oil is judged "
    "by its protein (sccs_1526_14)"
)

PEANUT_RULE = (
    "EU, in force 25 Sept 2018: peanut protein at most 0.5 ppm in the oil (sccs_1526_14; date "
    "seen second-hand)"
)
WHEAT_RULE = (
    "EU, in force 25 Sept 2018: peptides of hydrolysed wheat protein at most 3.5 kDa (seen second-hand)"
)

SHEA_RULE = "shea was not found to carry allergens so far (allergy_resources_shea, second-hand)"

SHARP_GRAINS = (
    "walnut_shell_powder",
    "apricot_seed_powder",
    "almond_meal",
    "pumice",
    "loofah_powder",
    "coffee_grounds",
)
"""Scrub grains with edges, by id. From memory."""

ALPHA_HYDROXY_ACIDS = (
    "glycolic_acid",
    "lactic_acid",
    "mandelic_acid",
    "malic_acid",
    "tartaric_acid",
    "citric_acid",
)
"""Acids with an alpha hydroxy group, by id. General chemistry."""

GERM_BEARING = (
    "milk",
    "goat_milk",
    "milk_powder",
    "honey",
    "almond_meal",
    "apricot_seed_powder",
    "bentonite",
    "kaolin",
    "fullers_earth",
    "illite",
    "montmorillonite",
    "moroccan_lava_clay",
    "dead_sea_mud",
    "cocoa_powder",
    "coffee_grounds",
    "colloidal_oatmeal",
    "loofah_powder",
    "matcha",
    "poppy_seed",
    "rice_powder",
    "spirulina_powder",
    "turmeric_powder",
    "walnut_shell_powder",
)
"""Milk, honey, clays and plant powders, which can carry germs, by id. From memory."""

LYE_MAX_PCT = 0.5
"""More lye than this is no pH adjuster any more. [% of formula] Our convention."""

LYE_RULE = (
    "0.5 % is our convention; Reg. (EC) 1223/2009 Annex III entry 15a, pH below 11 as an "
    "adjuster, from memory"
)

CATIONIC_MAX_PCT = 0.1
"""Most alkyl trimethyl ammonium chloride as a preservative. [% of formula] See `CATIONIC_RULE`."""

CATIONIC_CHLORIDES = ("cetrimonium_chloride", "steartrimonium_chloride", "behentrimonium_chloride")
"""Chlorides with limits by use, by id."""

CATIONIC_HAIR_PCT = {True: 1.0, False: 2.5}
"""Most of the chlorides in hair products left on and rinsed off. [% of formula] 1.0 as a forum quotes
an opinion of the SCCS (rate_forum_quoting_the_sccs_opinion_e_tex), 2.5 from memory."""

CATIONIC_FACE_PCT = 0.5
"""Most of them in products left on the face, quoted in the same place. [% of formula]"""

CATIONIC_SOLUTION = 0.3
"""Active part of the solutions that the chlorides are sold as. [-] From memory."""

CATIONIC_LEAST = 0.5
"""Below this share of the lowest rate a cationic emulsifier is told as little. [-] Our convention."""

ESSENTIAL_OILS_BODY_PCT, ESSENTIAL_OILS_FACE_PCT = 3.0, 1.0
"""Most of all essential oils together in what stays on the body and on the face. [% of formula]"""

ESSENTIAL_OILS_RULE = PRACTICE

AHA_MAX_PCT, AHA_LEAST_PH, AHA_WORTH_PCT = 10.0, 3.5, 1.0
"""Most alpha hydroxy acid in what stays on the skin [% of formula], its least pH [-], and from how
much on it is told [% of formula, our convention]."""

AHA_RULE = "10 % and pH 3.5: opinion of an industry panel on alpha hydroxy acids, from memory"

CATIONIC_RULE = (
    "Reg. (EC) 1223/2009 Annex V entry 44: at most 0.1 % as a preservative "
    "(cosing_annex_v_2015); Annex III for hair and face, quoted second-hand and from memory"
)

NOTICE = (
    "This tool does arithmetic and recalls published limits. It does not test a product, does not "
    "certify it as safe or legal, and does not replace a qualified safety assessor, a laboratory "
    "or a lawyer. Rules change and differ by place: check the current text before you sell."
)
"""What every list of findings ends with."""

WHO_RULE = (
    "Reg. (EC) 1223/2009 Art. 10 and Annex I (safety report), Art. 11 (file), Art. 13 (notice), "
    f"Art. 4 {MEMORY}; the rest {PRACTICE}"
)


@lru_cache(4096)
def allergen_word(text: str, note: str) -> str:
    """The food that people are allergic to, behind an ingredient.

    Parameters
    ----------
    text : str
        Its names.
    note : str
        Its note in the tables.

    Returns
    -------
    str
        As the note says, else the word of `ALLERGENIC` in the names; blank where there is none.

    Examples
    --------
    >>> allergen_word("sweet almond oil", ""), allergen_word("x", "allergen: tree nut. Pressed.")
    ('almond', 'tree nut')
    """
    said = note.partition("allergen: ")[2].partition(".")[0].partition(";")[0]
    folded = text.casefold()
    return said or next((w for w in ALLERGENIC if re.search(rf"\b{w}", folded)), "")


def dioxane_in_product(ethoxylated_pct: float, supplier_ppm: float) -> float:
    """1,4-dioxane that the ethoxylated ingredients bring into the product.

    Parameters
    ----------
    ethoxylated_pct : float
        Ethoxylated ingredients, as bought. [% of formula]
    supplier_ppm : float
        The supplier's figure for them. [ppm by mass]

    Returns
    -------
    float
        Share times figure. [ppm by mass]

    Examples
    --------
    >>> dioxane_in_product(8, 15)
    1.2
    """
    pct = checked(ethoxylated_pct, "ethoxylated ingredients", low=0, high=100, unit="%")
    return pct * checked(supplier_ppm, "1,4-dioxane", low=0, high=1e6, unit="ppm") / 100


def dioxane_allowed(ethoxylated_pct: float, limit_ppm: float) -> float:
    """The supplier's figure at which the product just meets a limit.

    Parameters
    ----------
    ethoxylated_pct : float
        Ethoxylated ingredients, as bought, above 0. [% of formula]
    limit_ppm : float
        Limit in the product. [ppm by mass]

    Returns
    -------
    float
        Most 1,4-dioxane in the ingredients. [ppm by mass]

    Examples
    --------
    >>> dioxane_allowed(8, DIOXANE_CLEANSING_PPM)
    12.5
    """
    pct = checked(ethoxylated_pct, "ethoxylated ingredients", above=0, high=100, unit="%")
    return 100 * checked(limit_ppm, "limit", low=0, high=1e6, unit="ppm") / pct
