"""What the jar of a formula does: phases, grains, droplets, pouring, syrup; and what cannot be said."""

from __future__ import annotations

import pytest

from hlbcore import Formula, Line, work_out
from hlbcore.rules.jar.grains import DOUBTFUL, HELD, PACKED, SINKS
from hlbcore.rules.jar.phases import UNDETERMINED
from hlbcore.rules.jar.sheet import Jar, JarSheet, work_out_jar
from hlbcore.rules.jar.softness import CANNOT_SAY
from hlbcore.rules.jar.words import answers


def jar(*lines: Line, kind: str = "wash-off scrub", sheet: JarSheet | None = None, **facts: str) -> Jar:
    return work_out_jar(work_out(Formula("x", kind, lines, facts=facts)), sheet)


def sugar(pct: float) -> Line:
    return Line("sugar", pct, phase="solids")


SYRUP_SCRUB = (Line("water", 10, phase="water"), sugar(60), Line("olive oil", 30))


# --- phases


def test_sugar_that_dissolves_belongs_to_the_water_phase() -> None:
    held = jar(*SYRUP_SCRUB)
    assert held.contents.sugar_dissolved == pytest.approx(10 * 66.72 / 33.28, abs=0.05)
    assert held.contents.grain_pct == pytest.approx(60 - held.contents.sugar_dissolved)
    assert held.ratio is not None
    assert held.ratio.oil < held.ratio.oil_without_sugar


@pytest.mark.parametrize(
    ("water", "oil", "word"),
    [(70, 30, "room for round droplets"), (20, 80, "concentrated emulsion"), (9, 91, UNDETERMINED)],
)
def test_type_by_volume(water: float, oil: float, word: str) -> None:
    held = jar(Line("water", water, phase="water"), Line("sunflower oil", oil), kind="o/w cream")
    assert held.ratio is not None
    assert held.ratio.word == word


def test_water_is_the_inner_phase_of_a_w_o_cream() -> None:
    held = jar(Line("water", 78, phase="water"), Line("sunflower oil", 22), kind="w/o cream")
    assert held.ratio is not None
    assert held.ratio.inner == pytest.approx(0.765, abs=0.002)
    assert "no room" in held.ratio.words


# --- grains


def test_grains_that_touch_are_held_by_packing() -> None:
    grains = jar(sugar(66), Line("olive oil", 34)).grains
    assert grains is not None
    assert grains.word == PACKED
    assert grains.clear is not None
    assert grains.clear[0] == 0


def test_no_liquid_oil_holds_grains() -> None:
    grains = jar(sugar(40), Line("olive oil", 60), grain_um="0.5 mm").grains
    assert grains is not None
    assert (grains.word, grains.outer) == (SINKS, "oil")
    assert "a grain of 500 µm falls 50 mm in" in grains.why
    assert grains.clear is not None
    assert 0.3 < grains.clear[0] < grains.clear[1] < 0.7


@pytest.mark.parametrize(("tau", "word"), [("0.1", SINKS), ("0.3", DOUBTFUL), ("2", HELD)])
def test_a_measured_yield_stress_decides(tau: str, word: str) -> None:
    grains = jar(sugar(40), Line("olive oil", 50), Line("beeswax", 10), grain_um="500", yield_pa=tau).grains
    assert grains is not None
    assert grains.word == word


def test_a_yield_stress_without_a_grain_size_asks_for_it() -> None:
    grains = jar(sugar(40), Line("olive oil", 50), Line("beeswax", 10), yield_pa="2").grains
    assert grains is not None
    assert grains.word == CANNOT_SAY
    assert "without the size of a grain" in grains.why


def test_gum_counts_only_where_water_is_outside() -> None:
    lines = (
        Line("water", 30, phase="water"),
        Line("xanthan gum", 0.06, phase="water"),
        Line("olive oil", 35),
        Line("pumice", 5, phase="solids"),
        Line("sea salt", 30, phase="solids"),
    )
    inside, outside = (jar(*lines, outer_phase=o).grains for o in ("oil", "water"))
    assert inside is not None
    assert outside is not None
    assert "does nothing here: oil is outside" in inside.why
    assert "not proven to hold grains" in outside.why
    unknown = jar(*lines).grains
    assert unknown is not None
    assert unknown.word == CANNOT_SAY
    assert "Stir a little into water" in unknown.why


def test_there_is_no_fat_network_in_the_warm_jar() -> None:
    held = jar(sugar(35), Line("coconut oil", 65))
    assert held.grains is not None
    assert held.warm_grains is not None
    assert (held.grains.word, held.warm_grains.word) == (CANNOT_SAY, SINKS)


def test_own_bulk_weight_beats_the_range() -> None:
    grains = jar(sugar(40), Line("olive oil", 60), grain_bulk_g="87").grains
    assert grains is not None
    assert grains.packing == pytest.approx((0.548, 0.548), abs=0.001)


def test_grains_without_a_density_are_named_and_a_few_do_no_harm() -> None:
    few = jar(
        sugar(60), Line("ground coffee", 5, phase="solids", counts="powder"), Line("olive oil", 35)
    ).grains
    many = jar(Line("ground coffee", 40, phase="solids", counts="powder"), Line("olive oil", 60)).grains
    assert few is not None
    assert few.share is not None
    assert few.share[0] < few.share[1]
    assert many is not None
    assert many.share is None
    assert "No density is known for ground coffee" in many.why


# --- droplets


def test_droplets_of_a_gel_network_are_not_asked_for() -> None:
    cream = (Line("water", 75, phase="water"), Line("olive oil", 22), Line("cetyl alcohol", 3))
    held = jar(*cream, kind="o/w cream").creaming
    assert held is not None
    assert held.droplet is None
    assert "cetyl alcohol makes a network" in held.why
    typed = jar(*cream, kind="o/w cream", viscosity_mpas="2 Pa s").creaming
    assert typed is not None
    assert typed.droplet is not None
    assert typed.droplet.low_um < typed.droplet.high_um < 20


def test_thicker_water_keeps_larger_droplets() -> None:
    def size(mpas: str) -> float:
        lines = (Line("water", 80, phase="water"), Line("olive oil", 20))
        held = jar(*lines, kind="light o/w lotion", viscosity_mpas=mpas).creaming
        assert held is not None
        assert held.droplet is not None
        return held.droplet.low_um

    assert size("400") == pytest.approx(2 * size("100"))


def test_without_an_emulsion_there_are_no_droplets() -> None:
    held = jar(Line("olive oil", 100), kind="whipped butter").creaming
    assert held is not None
    assert held.why.startswith("Not applicable")


# --- pouring


CREAM = (
    Line("water", 70, phase="water"),
    Line("olive oil", 20, phase="oil"),
    Line("beeswax", 10, phase="oil"),
)


def test_cold_water_sets_the_wax_and_the_least_temperatures_are_told() -> None:
    cold = jar(*CREAM, kind="o/w cream", sheet=JarSheet(oil_c="75", water_c="25")).pourings[0]
    assert cold.word == "sets while you stir"
    assert cold.highest is not None
    assert cold.highest.name == "beeswax"
    least = dict(cold.least)["water phase"]
    again = jar(*CREAM, kind="o/w cream", sheet=JarSheet(oil_c="75", water_c=f"{least + 1}")).pourings[0]
    assert again.word == "stays melted"


def test_pouring_says_what_sets_and_what_to_warm() -> None:
    def said(oil_c: str, water_c: str) -> str:
        return jar(*CREAM, kind="o/w cream", sheet=JarSheet(oil_c=oil_c, water_c=water_c)).pourings[0].words

    assert "Beeswax sets up to 66 °C: it sets while you stir. At least: water phase 64 °C" in said("75", "25")
    assert "Beeswax sets up to 66 °C, 9 K below." in said("75", "75")


def test_melting_and_congealing_stand_side_by_side() -> None:
    held = jar(Line("stearic acid", 10), Line("beeswax", 10), Line("olive oil", 80)).sets
    assert [(s.name, s.melts, s.sets) for s in held] == [
        ("stearic acid", None, (53.0, 69.0)),
        ("beeswax", (61.0, 66.0), None),
    ]
    assert [(s.melts_text, s.sets_text) for s in held] == [("", "53 to 69"), ("61 to 66", "")]


def test_flash_points_come_from_the_tables_or_from_the_sheet() -> None:
    held = jar(Line("isododecane", 10), Line("C13-15 alkane", 10), Line("olive oil", 80)).flash
    assert [(f.name, f.low_c, f.recalled) for f in held] == [
        ("isododecane", 42, True),
        ("C13-15 alkane", None, True),
    ]


# --- syrup


def test_crystals_beside_glycerin_open_the_band_upwards() -> None:
    plain = jar(*SYRUP_SCRUB).syrup.activity
    both = jar(*SYRUP_SCRUB[:2], Line("glycerin", 10, phase="water"), Line("olive oil", 20)).syrup.activity
    assert plain is not None
    assert both is not None
    assert both.value < plain.value
    assert both.high == pytest.approx(plain.high)


def test_what_has_no_constant_is_named() -> None:
    made = jar(
        Line("water", 60, phase="water"),
        Line("glycerin", 30, phase="water"),
        Line("propylene glycol", 10, phase="water"),
        kind="o/w cream",
    ).syrup
    assert made.activity is not None
    assert made.activity.not_counted == ("propylene glycol",)
    assert "preserve the product all the same" in made.words


def test_sugar_alone_has_no_water_to_dissolve_in() -> None:
    held = jar(sugar(100))
    assert "No water is entered" in held.syrup.words
    assert held.softness is None
    assert held.ratio is None
    assert held.grains is not None


# --- bad input: a sentence each, and nothing else is lost


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("oil_c", "167", "If it is Fahrenheit, enter 75"),
        ("oil_c", "hot", "'hot' is not a number"),
        ("days", "-1", "days to keep: -1 days"),
        ("layer_mm", "0", "clear layer: 0 mm is out of range"),
        ("jar_c", "1e308", "out of range"),
        ("grains_c", "20 K", "'k' is not a unit known for it"),
    ],
)
def test_a_field_that_cannot_be_used_is_told(field: str, text: str, words: str) -> None:
    held = jar(*SYRUP_SCRUB, sheet=JarSheet(**{field: text}))
    assert list(held.problems) == [field]
    assert words in held.problems[field]
    assert held.softness is not None


def test_fahrenheit_with_its_unit_is_turned() -> None:
    plain = jar(*CREAM, kind="o/w cream", sheet=JarSheet(oil_c="75"))
    typed = jar(*CREAM, kind="o/w cream", sheet=JarSheet(oil_c="167 °F"))
    assert typed.problems == {}
    assert typed.pourings[0].mixed.value == pytest.approx(plain.pourings[0].mixed.value)


@pytest.mark.parametrize(
    "lines",
    [
        (),
        (Line("", 5),),
        (Line("<b>x</b>", 50, phase="solids"), Line("olive oil", "lots")),
        (Line("gum arabic", 5), Line("olive oil", 95)),
        (Line("unheard of", 100, phase="oil"),),
        (Line("water", 100, phase="water"),),
        (Line("olive oil", 1e9),),
        (Line("olive oil", 0), Line("sugar", 0, phase="solids")),
    ],
    ids=["empty", "no name", "odd name", "gum without water", "unknown", "water", "huge", "zeros"],
)
def test_any_formula_gets_an_answer(lines: tuple[Line, ...]) -> None:
    held = jar(*lines)
    assert held.problems == {}
    assert held.syrup.words


def test_water_among_the_grains_makes_no_emulsion_to_cream() -> None:
    held = jar(Line("sunflower oil", 50, phase="oil"), Line("water", 50, phase="solids"), kind="o/w cream")
    assert held.creaming.droplet is None


# --- in words


def test_phases_are_told_by_volume_before_and_after_sugar_dissolves() -> None:
    lotion = jar(Line("water", 70, phase="water"), Line("sunflower oil", 30), kind="o/w cream").ratio
    scrub, dry = jar(*SYRUP_SCRUB).ratio, jar(Line("olive oil", 100)).ratio
    assert lotion is not None
    assert lotion.words.endswith("round droplets have room (up to 74 % inside).")
    assert scrub is not None
    assert "59 % of oil and water phase by volume, 77 % before sugar and salt dissolve" in scrub.words
    assert dry is None or "No water is entered" in dry.words


def test_droplets_that_keep_are_told_with_what_was_taken() -> None:
    lotion = (Line("water", 80, phase="water"), Line("olive oil", 20))
    made = jar(*lotion, kind="light o/w lotion", viscosity_mpas="400").creaming
    assert made is not None
    assert made.words.startswith("Droplets up to about")
    assert "for 90 days" in made.words


def test_a_jar_answers_only_what_applies() -> None:
    asked = {
        "lotion": [q for q, _ in answers(jar(*CREAM, kind="o/w cream"))],
        "scrub": [q for q, _ in answers(jar(*SYRUP_SCRUB))],
    }
    assert asked["lotion"] == ["Do droplets rise?", "Oil phase 75 °C into water phase 75 °C?"]
    assert asked["scrub"] == [
        "Does it stay soft?",
        "Do the grains stay up?",
        "Do droplets rise?",
        "Oil phase 75 °C into water phase 75 °C?",
        "Base 60 °C onto grains 20 °C?",
        "Does sugar keep it?",
    ]


def test_grains_that_the_cold_fat_holds_may_sink_in_a_warm_jar() -> None:
    (warm,) = [
        a for q, a in answers(jar(sugar(35), Line("coconut oil", 65))) if q == "Do the grains stay up?"
    ]
    assert warm == "cannot say; in a warm jar they sink"


def test_gum_needs_water_and_grains_a_phase_that_holds_them() -> None:
    dry = jar(
        sugar(40), Line("xanthan gum", 1), Line("glycerin", 59, phase="water"), outer_phase="water"
    ).grains
    assert dry is not None
    assert (dry.word, "xanthan gum needs water to swell" in dry.why) == (CANNOT_SAY, True)


def test_salt_that_dissolves_is_told() -> None:
    made = jar(
        Line("water", 30, phase="water"), Line("sodium chloride", 40, phase="solids"), Line("olive oil", 30)
    )
    assert "% of salt dissolves" in made.syrup.words
