"""Anonymous, [food-emulsions textbook page: surface excess sets the least emulsifier].

https://www.barnardhealth.us/food-emulsions/info-rkq.html ; the formula m = 6 Gamma/(rho d) from
memory. Figures: surface excess 2 mg/m², density 0.915 g/cm³; arithmetic of the formula.
"""

import pytest
from printed_values import printed, within

from hlbcore.blending.coverage import Coverage, covering_dose, surface_excess
from hlbcore.rules.jar.settling import stokes_speed

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("droplet_um", "text"), [(2, "0.65574"), (5, "0.26230"), (1, "1.31148")], ids=["2", "5", "1"]
)
def test_least_emulsifier_that_covers_the_droplets(droplet_um: float, text: str) -> None:
    assert covering_dose(2.0, droplet_um, density=0.915) == printed(text)


def test_surface_excess_of_1310_grams_per_mole_on_one_square_nanometre() -> None:
    assert surface_excess(1310, 1.0) == printed("2.17531")


def test_coverage_of_one_per_cent_is_the_inverse_of_the_dose() -> None:
    row = Coverage(oil_pct=20, droplet_um=2, excess_mg_m2={"a": 2.0}).row(("a",))
    assert 1 / row[0] == within(20 * 0.65574 / 100, 1e-6)


def test_creaming_of_a_droplet_of_1_um_radius() -> None:
    # n1.html, after Dickinson 1992: 910 in 1000 kg/m³, 1 mPa s, "about 17 mm/day"; exact 16.9517
    assert -stokes_speed(2.0, 910 - 1000, 1.0) == printed("17")
    assert -stokes_speed(2.0, 910 - 1000, 1.0) == within(16.9517, 0.0001)
