"""Limits of law by annex, section and date, as printed in the sources that the constants name.

New York 6 NYCRR Subpart 352-1; Reg. (EC) 1223/2009 Annex III entry 62 and Annex V entry 44; REACH
Annex XVII entry 70; SCCS/1526/14. What was read in a summary says so in the rule.
"""

import pytest
from printed_values import printed

from hlbcore.rules import safety

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("limit", "page", "rule", "where"),
    [
        pytest.param(
            safety.DIOXANE_COSMETIC_PPM,
            "10",
            safety.DIOXANE_RULE,
            "31 Dec 2022",
            id="new_york_dioxane, cosmetics",
        ),
        pytest.param(
            safety.DIOXANE_CLEANSING_PPM,
            "1",
            safety.DIOXANE_RULE,
            "31 Dec 2023",
            id="new_york_dioxane, cleansing",
        ),
        pytest.param(
            safety.TRIETHANOLAMINE_MAX_PCT,
            "2.5",
            safety.AMINE_RULE,
            "Annex III entry 62",
            id="eu_annex_3_export, triethanolamine",
        ),
        pytest.param(
            safety.CYCLIC_MAX_PCT,
            "0.1",
            safety.CYCLIC_RULE,
            "Annex XVII entry 70",
            id="eu_2024_1328, cyclic silicones",
        ),
        pytest.param(
            safety.CATIONIC_MAX_PCT,
            "0.1",
            safety.CATIONIC_RULE,
            "Annex V entry 44",
            id="cosing_annex_v_2015, cationics",
        ),
    ],
)
def test_limit_is_the_printed_one_and_its_rule_says_where(
    limit: float, page: str, rule: str, where: str
) -> None:
    assert limit == float(page)
    assert where in rule


@pytest.mark.parametrize(
    ("supplier_ppm", "product_ppm"),
    [pytest.param(5, "0.4", id="5 ppm"), pytest.param(15, "1.2", id="15 ppm")],
)
def test_eight_per_cent_polysorbate_80_brings_its_share(supplier_ppm: float, product_ppm: str) -> None:
    # our own arithmetic: 0.08 times the supplier's figure
    assert safety.dioxane_in_product(8, supplier_ppm) == printed(product_ppm)


@pytest.mark.parametrize("date", ["17 Oct 2023", "17 Oct 2027", "17 Oct 2029"])
def test_dates_of_the_microplastics_rule_are_named(date: str) -> None:
    assert date in safety.MICROPLASTIC_RULE
