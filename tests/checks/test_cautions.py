from __future__ import annotations

import pytest

from hlbcore import Composite, Facts, Finding, Formula, Line, work_out
from hlbcore.checks.cautions import cautions
from hlbcore.formula.lines import CompositePart

CREAM, SCRUB, BUTTER = "o/w cream", "wash-off scrub", "whipped butter"


def found(kind: str, *lines: Line, **facts: object) -> dict[str, Finding]:
    formula = Formula("x", kind, lines, facts=Facts(**facts))  # type: ignore[arg-type]
    return {f.title: f for f in cautions(work_out(formula))}


def titled(findings: dict[str, Finding], word: str) -> Finding:
    return next(f for t, f in findings.items() if word in t)


def test_an_empty_formula_has_no_findings() -> None:
    assert cautions(work_out(Formula("x", CREAM))) == []


def test_plain_oil_left_on_gets_the_closing_note_alone() -> None:
    assert list(found(BUTTER, Line("olive oil", 100))) == ["Who to ask"]


def test_line_with_amount_0_counts_nowhere() -> None:
    assert list(found(BUTTER, Line("olive oil", 100), Line("peanut oil", 0))) == ["Who to ask"]


def test_missing_dioxane_is_asked_for_with_both_limits() -> None:
    one = found(CREAM, Line("polysorbate 80", 8))["1,4-dioxane is not known"]
    assert (one.level, one.always) == ("note", True)
    assert "1 ppm, met with a supplier's figure up to 12.5 ppm" in one.detail
    assert "10 ppm, met with a supplier's figure up to 125 ppm" in one.detail
    assert "Ask the supplier" in one.mend


@pytest.mark.parametrize(
    ("cleansing", "ppm", "level", "title"),
    [
        pytest.param(True, 5, "note", "under the limit", id="0.4 ppm cleansing"),
        pytest.param(True, 15, "caution", "over the limit of a cleansing", id="1.2 ppm cleansing"),
        pytest.param(False, 15, "note", "under the limit", id="1.2 ppm cosmetic"),
        pytest.param(False, 200, "caution", "over the limit of a cosmetic", id="16 ppm cosmetic"),
        pytest.param(None, 15, "caution", "over the limit of a cleansing", id="1.2 ppm unsaid"),
        pytest.param(None, 12.5, "note", "under the limit", id="exactly 1 ppm"),
    ],
)
def test_cleansing_decides_the_limit(cleansing: bool | None, ppm: float, level: str, title: str) -> None:
    one = titled(found(CREAM, Line("polysorbate 80", 8), dioxane_ppm=ppm, cleansing=cleansing), "1,4-dioxane")
    assert one.level == level
    assert title in one.title


def test_mend_of_dioxane_meets_the_limit() -> None:
    lines = Line("polysorbate 80", 8)
    one = titled(found(CREAM, lines, dioxane_ppm=15, cleansing=True), "over the limit")
    assert "at most 12.5 ppm" in one.mend
    assert "6.67 % of the formula" in one.mend


def test_ethoxylated_part_of_a_bought_blend_counts_alone() -> None:
    blend = Composite("own wax", (CompositePart("cetearyl alcohol", 80), CompositePart("polysorbate 60", 20)))
    formula = Formula("x", CREAM, (Line("own wax", 10),), blends=(blend,))
    titles = {f.title: f for f in cautions(work_out(formula))}
    assert titles["1,4-dioxane is not known"].figure.startswith("2 %")


@pytest.mark.parametrize("partner", ["bronopol", "5-Bromo-5-Nitro-1,3-Dioxane", "sodium nitrite"])
@pytest.mark.parametrize("amine", ["triethanolamine", "cocamide MEA", "diethanolamine"])
def test_amine_with_a_nitrosating_partner_is_a_stop(amine: str, partner: str) -> None:
    one = found(CREAM, Line(amine, 1), Line(partner, 0.05))["An amine with a nitrosating partner"]
    assert one.level == "stop"
    assert "Annex V entries 20, 21" in one.rule


@pytest.mark.parametrize("name", ["triethanolamine", "bronopol"])
def test_amine_or_bronopol_alone_is_no_stop(name: str) -> None:
    assert "stop" not in {f.level for f in found(CREAM, Line(name, 1)).values()}


@pytest.mark.parametrize(
    ("kind", "pct", "over"),
    [
        pytest.param(CREAM, 3.0, True, id="left on"),
        pytest.param(CREAM, 2.5, False, id="at the limit"),
        pytest.param(SCRUB, 3.0, False, id="rinsed off"),
    ],
)
def test_triethanolamine_is_limited_where_it_stays_on(kind: str, pct: float, over: bool) -> None:
    titles = found(kind, Line("triethanolamine", pct))
    assert any("over the limit for products left on" in t for t in titles) is over
    assert any("purity" in t for t in titles)


@pytest.mark.parametrize(
    ("name", "pct", "level"),
    [
        ("cyclotetrasiloxane", 0.01, "stop"),
        ("cyclopentasiloxane", 0.1, "caution"),
        ("cyclopentasiloxane", 0.09, "note"),
        ("cyclomethicone", 3, "caution"),
    ],
)
def test_cyclic_silicones(name: str, pct: float, level: str) -> None:
    one = titled(found(CREAM, Line(name, pct, phase="oil")), "Cyclic silicone")
    assert one.level == level
    assert "6 June 2027" in one.rule


@pytest.mark.parametrize(
    ("kind", "name", "phase", "level"),
    [
        pytest.param(SCRUB, "polyethylene beads", "solids", "stop", id="beads in a scrub"),
        pytest.param(SCRUB, "plastic glitter", "solids", "stop", id="plastic glitter in a scrub"),
        pytest.param(CREAM, "nylon powder", "water", "caution", id="powder left on"),
        pytest.param(CREAM, "polyethylene wax", "oil", "note", id="melted wax"),
        pytest.param(CREAM, "gold glitter", "cool-down", "note", id="glitter of unknown make"),
    ],
)
def test_microplastics(kind: str, name: str, phase: str, level: str) -> None:
    one = titled(found(kind, Line(name, 1, phase=phase)), "Microplastic")
    assert one.level == level


def test_jojoba_beads_are_no_microplastic() -> None:
    titles = found(SCRUB, Line("jojoba beads", 5, phase="solids"))
    assert not any("Microplastic" in t for t in titles)


@pytest.mark.parametrize("kind", [SCRUB, "cleansing balm", "dispersing bath or cleansing oil"])
def test_rinsed_off_oil_slips(kind: str) -> None:
    one = found(kind, Line("olive oil", 90))["Slippery tub and floor"]
    assert "rinse tub and shower" in one.mend
    assert "anzelc_2022" in one.rule


def test_oil_left_on_does_not_slip() -> None:
    assert "Slippery tub and floor" not in found(CREAM, Line("olive oil", 20))


def test_glass_is_a_note_since_the_package_is_not_known() -> None:
    assert titled(found(SCRUB, Line("olive oil", 90)), "glass").level == "note"


@pytest.mark.parametrize(
    ("line", "hottest", "fires"),
    [
        pytest.param(Line("beeswax", 5), None, True, id="wax, temperature unknown"),
        pytest.param(Line("olive oil", 5), 60.0, True, id="60 °C"),
        pytest.param(Line("olive oil", 5), 59.0, False, id="59 °C, oil alone"),
        pytest.param(Line("olive oil", 5), None, False, id="oil alone"),
    ],
)
def test_hot_fat(line: Line, hottest: float | None, fires: bool) -> None:
    assert ("Hot fat burns" in found(CREAM, line, hottest_c=hottest)) is fires


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("sweet almond oil", "almond"),
        ("argan oil", "argan"),
        ("walnut shell powder", "walnut"),
        ("wheat germ oil", "wheat"),
        ("brazil nut oil", "tree nut"),
        ("soybean oil", "soy"),
    ],
)
def test_food_allergens_are_named(name: str, word: str) -> None:
    one = titled(found(BUTTER, Line(name, 10)), "Food allergens")
    assert one.level == "note"
    assert word in one.detail


def test_fragrance_allergens_are_no_food_allergens() -> None:
    titles = found(BUTTER, Line("lavender oil", 1), Line("benzyl alcohol", 1))
    assert not any("Food allergens" in t for t in titles)


@pytest.mark.parametrize(
    ("name", "figure"), [("peanut oil", "0.5 ppm"), ("hydrolyzed wheat protein", "3.5 kDa")]
)
def test_protein_figure_of_the_supplier_is_asked_for(name: str, figure: str) -> None:
    one = titled(found(CREAM, Line(name, 1)), "figure of the supplier is missing")
    assert one.level == "caution"
    assert figure in one.rule


@pytest.mark.parametrize(("name", "word"), [("shea butter", "Shea"), ("lanolin", "Lanolin")])
def test_shea_and_lanolin_get_a_note(name: str, word: str) -> None:
    assert titled(found(BUTTER, Line(name, 10)), word).level == "note"


@pytest.mark.parametrize(
    ("grain", "area", "fires"),
    [
        pytest.param("pumice", "body", True, id="sharp"),
        pytest.param("sugar", "face", True, id="face"),
        pytest.param("sugar", "body", False, id="round on the body"),
    ],
)
def test_scrub_grains(grain: str, area: str, fires: bool) -> None:
    titles = found(SCRUB, Line(grain, 40, phase="solids"), area=area)
    assert ("Scrub grains: body only" in titles) is fires


def test_salt_scrub_stings_and_acid_adds_the_sun() -> None:
    grain = Line("sea salt", 50, phase="solids")
    assert "sun" not in titled(found(SCRUB, grain), "Stings").mend
    assert "sun" in titled(found(SCRUB, grain, Line("lactic acid", 2)), "Stings").mend


@pytest.mark.parametrize(("pct", "fires"), [(0.5, False), (0.51, True)])
def test_lye_above_a_half_per_cent_is_a_stop(pct: float, fires: bool) -> None:
    titles = found(CREAM, Line("stearic acid", 5), Line("sodium hydroxide", pct))
    assert ("Lye beyond setting a pH" in titles) is fires
    assert ("stop" in {f.level for f in titles.values()}) is fires


def test_closing_note_says_what_a_laboratory_is_for_and_defers() -> None:
    one = list(found(CREAM, Line("water", 80), Line("honey", 5)).values())[-1]
    assert "since it holds water; honey can carry germs" in one.detail
    assert "safety assessor" in one.detail
    assert "safety assessor" in one.mend


EVERYTHING = (
    "water",
    "polysorbate 80",
    "sorbitan oleate",
    "triethanolamine",
    "bronopol",
    "cyclomethicone",
    "nylon powder",
    "beeswax",
    "peanut oil",
    "shea butter",
    "lanolin",
    "pumice",
    "sea salt",
    "sodium hydroxide",
    "cetrimonium chloride",
    "honey",
)


@pytest.mark.parametrize("kind", [CREAM, SCRUB])
def test_every_finding_is_complete_and_never_says_stable_or_safe_to_use(kind: str) -> None:
    lines = [Line(n, 3, phase="solids" if n in ("pumice", "sea salt") else "") for n in EVERYTHING]
    for one in found(kind, *lines, area="face").values():
        assert one.detail
        assert one.rule
        assert one.mend or one.level == "note"
        text = f"{one.title} {one.detail} {one.mend}".casefold()
        assert "stable" not in text
        assert "is safe" not in text
