"""The softness band: what it holds, what it refuses to say, and its words."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hlbcore import Formula, Line, work_out
from hlbcore.errors import EmptyPhase, InvalidInput
from hlbcore.rules.jar import softness as soft
from hlbcore.rules.jar.families import EUTECTICS, eutectics_in
from hlbcore.rules.jar.soft_parts import SoftPart
from hlbcore.rules.jar.softness import CANNOT_SAY, Softness, softness_of


def softness(facts: dict[str, str] | None = None, **lines: float) -> Softness:
    held = [Line(n.replace("_", " "), pct) for n, pct in lines.items()]
    return softness_of(work_out(Formula("x", "whipped butter", held, facts=facts or {})))


def word(made: Softness, c: float) -> str:
    return made.at("here", c).word


def test_linear_mixing_is_the_upper_edge_before_it_is_widened() -> None:
    made = softness(cocoa_butter=50, olive_oil=50).band([20.0])
    assert made.high[0] == pytest.approx(0.5 * 76 + soft.LITERATURE_BY)


def test_the_band_never_promises_more_than_what_can_be_solid() -> None:
    made = softness(cocoa_butter=20, olive_oil=80).band(np.linspace(-5, 60, 200))
    assert made.high.max() <= 20 + 1e-9
    assert (made.low <= made.high).all()
    assert made.low.min() >= 0


def ideal(parts: list[tuple[float, float]], share: float, c: float) -> float:
    """Solids of species that each dissolve as ideal and freeze apart (Hildebrand), in liquid oil. [%]

    Independent of the band: melting points [°C] and shares of the species, 150 kJ/mol.
    """
    kelvin, solid = c + 273.15, 0.0
    for melts, part in parts:
        dissolved = math.exp(-150e3 / soft.GAS * (1 / kelvin - 1 / (melts + 273.15)))
        if dissolved < 1:
            solid += 100 * max(share * part - dissolved, 0.0) / (1 - dissolved)
    return solid


def test_the_band_holds_computed_references_before_it_is_widened(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("SUPPLIER_BY", "LITERATURE_BY", "LITERATURE_WARM_BY"):
        monkeypatch.setattr(soft, name, 0.0)
    rng = np.random.default_rng(22)
    grid = np.arange(5.0, 51.0, 0.5)
    missed = tried = 0
    for _ in range(40):
        cuts = rng.dirichlet([3, 2, 2]) * rng.uniform(0.4, 0.9)
        species = list(zip(rng.uniform([40, 33, 25], [44, 38, 30]), cuts, strict=True))
        curve = tuple((t, *[ideal(species, 1.0, t)] * 3) for t in grid)
        for share in (0.2, 0.4, 0.6, 0.8):
            butter = SoftPart("butter", "shea_butter", share, "curve", curve, 51.0, supplier=True)
            made = Softness((butter, SoftPart("oil", "olive_oil", 1 - share, "liquid"))).band(
                [15, 20, 25, 30]
            )
            for n, t in enumerate(made.temperature_c):
                tried += 1
                missed += not made.low[n] - 1 <= ideal(species, share, t) <= made.high[n] + 0.01
    assert tried == 640
    assert missed <= tried // 100


@pytest.mark.parametrize(
    ("share", "kelvin"), [(0.8, 1.14), (0.5, 3.53), (0.3, 6.13), (0.2, 8.20), (0.1, 11.7)]
)
def test_shift_by_the_oil_that_a_butter_dissolves_in(share: float, kelvin: float) -> None:
    assert soft.GAS * 303.15**2 / 150e3 * math.log(1 / share) == pytest.approx(kelvin, abs=0.05)


def test_a_butter_without_a_curve_cannot_be_said_and_is_named() -> None:
    room = softness(shea_butter=40, sunflower_oil=60).at("in a room", 20, 25)
    assert (room.low, room.high, room.word) == (0, 40, CANNOT_SAY)
    assert "no solids figure for shea butter" in room.why


def test_the_suppliers_figures_decide_where_the_tables_have_none() -> None:
    typed = {"solid_fat": "shea butter: N10 60, N20 55, N25 50, N30 40, N35 20"}
    assert word(softness(typed, shea_butter=90, sunflower_oil=10), 20) == "firm"
    wide = softness({"solid_fat": "shea butter: N20 55, N35 20"}, shea_butter=90, sunflower_oil=10)
    assert wide.of_group("curve")[0].supplier


def test_nothing_is_said_below_the_first_and_above_the_last_figure() -> None:
    made = softness(palm_oil=100).band([0.0, 60.0])
    assert np.isnan(softness({"solid_fat": "palm oil: N20 30, N30 10"}, palm_oil=100).band([5.0]).middle[0])
    assert made.high[0] == 100


def test_all_butters_are_liquid_in_a_hot_parcel() -> None:
    for name in ("cocoa_butter", "shea_butter", "coconut_oil", "mango_butter"):
        assert softness(**{name: 100}).at("in a hot parcel", 46, 50).word == "liquid"


def test_wax_counts_by_mass_and_gives_no_word_on_firmness() -> None:
    made = softness(beeswax=20, olive_oil=80)
    assert made.band([25.0]).low[0] == made.band([25.0]).high[0] == pytest.approx(20)
    assert word(made, 25) == CANNOT_SAY
    assert made.at("here", 25).solids_text == "20"
    assert "set by beeswax up to 61 °C" in made.at("here", 25).why
    assert made.of_group("sets")[0].gels_from == (1.5, 2.0)
    assert word(made, 70) == "liquid"


def test_oil_in_a_fridge_is_not_called_liquid() -> None:
    assert word(softness(olive_oil=100), 4) == CANNOT_SAY
    assert word(softness(olive_oil=100), 20) == "liquid"


def test_cocoa_butter_with_coconut_oil_may_lie_25_points_lower() -> None:
    one = softness(cocoa_butter=50, coconut_oil=50).at("here", 25)
    assert one.low == 0
    assert [pair.source for pair, _ in eutectics_in(["cocoa_butter", "coconut_oil"])] == [EUTECTICS[0].source]
    assert eutectics_in(["cocoa_butter", "shea_butter"]) == []


def test_cold_is_never_softer_than_warm() -> None:
    made = softness(cocoa_butter=40, coconut_oil=20, olive_oil=40).band(np.arange(10.0, 50.0, 0.5))
    assert (np.diff(made.high[made.temperature_c > 32]) <= 1e-9).all()
    assert made.high[0] >= made.high[-1]


@pytest.mark.parametrize("bad", [[math.nan], [], [400.0]])
def test_temperatures_that_cannot_be_used_are_told(bad: list[float]) -> None:
    with pytest.raises(InvalidInput, match="Enter -20 to 120 °C"):
        softness(olive_oil=100).band(bad)


def test_a_formula_without_fat_is_told() -> None:
    with pytest.raises(EmptyPhase, match="The fat phase"):
        softness(water=100)
