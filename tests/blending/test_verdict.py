from __future__ import annotations

import itertools
import math

import pytest

from hlbcore import (
    Estimate,
    Formula,
    InvalidInput,
    Library,
    Line,
    RequiredHlb,
    SupplierRate,
    UnknownIngredient,
    Verdict,
    judge,
    product_types,
    required_hlb,
    work_out,
)
from hlbcore.blending.judging import System
from hlbcore.blending.verdict import doubt_of
from hlbcore.product_types import ProductType

SCRUB = {"polysorbate 80": 8.0}
PAIR = {"sorbitan oleate": 2.1, "polysorbate 80": 2.9}  # HLB 10.5


def titles(found: Verdict, level: str = "") -> list[str]:
    return [f.title for f in found.findings if not level or f.level == level]


# --- HLB governs


def test_matched_blend_is_inside() -> None:
    found = judge(PAIR, 10.5, "o/w cream", oil_pct=20)
    assert (found.word, found.beside) == ("inside", None)
    assert found.share is not None
    assert found.share >= 0.8


def test_blend_far_off_is_outside() -> None:
    assert judge(PAIR, 15.0, "o/w cream", oil_pct=20).word == "outside"


def test_blend_at_the_edge_is_inside_and_the_doubt_stands_beside() -> None:
    found = judge(PAIR, Estimate(11.5, 10.0, 13.0), "o/w cream", oil_pct=20)
    assert (found.word, found.rule) == ("inside", "HLB")
    assert found.doubt == "fair: about 50 % of the sources' spread lies inside the window"


@pytest.mark.parametrize(
    ("ends", "doubt"), [((10.0, 11.0), "firm"), ((8.0, 13.0), "fair"), ((5.0, 16.0), "weak")]
)
def test_wider_range_of_the_requirement_is_more_doubt_and_no_other_word(
    ends: tuple[float, float], doubt: str
) -> None:
    found = judge(PAIR, Estimate(10.5, *ends), "o/w cream", oil_pct=20)
    assert found.word == "inside"
    assert found.doubt.startswith(doubt)


@pytest.mark.parametrize(
    ("word", "share", "doubt"),
    [
        ("inside", 0.80, "firm"),
        ("inside", 0.79, "fair"),
        ("inside", 0.40, "fair"),
        ("inside", 0.39, "weak"),
        ("outside", 0.20, "firm"),
        ("outside", 0.21, "fair"),
        ("outside", 0.60, "fair"),
        ("outside", 0.61, "weak"),
    ],
)
def test_doubt_turns_at_four_and_at_two_fifths_of_the_spread(word: str, share: float, doubt: str) -> None:
    required = required_hlb({"mineral oil": 1})
    assert doubt_of(word, share, required, System((), (), ())).startswith(f"{doubt}:")


def test_sentence_gives_blend_target_window_and_share() -> None:
    found = judge(PAIR, 10.5, "o/w cream", oil_pct=20)
    assert found.blend is not None
    ends = f"({found.blend.low:.1f} to {found.blend.high:.1f})"
    assert f"the blend has HLB 10.5 {ends}" in found.sentence.casefold().replace("hlb", "HLB")
    assert "the oil phase requires 10.5 (10.5 to 10.5), window ±1" in found.sentence
    assert "of the sources' spread lies inside the window" in found.sentence
    assert found.sentence.endswith("A best estimate to start from: HLB picks a start, a few vials decide.")


def test_wider_window_turns_outside_to_inside() -> None:
    assert judge(PAIR, 13.5, "o/w cream", oil_pct=20).word == "outside"
    assert judge(PAIR, 13.5, "o/w cream", oil_pct=20, window=4.0).word == "inside"


def test_good_hlb_with_a_low_dose_is_two_findings() -> None:
    tenth = {n: m / 10 for n, m in PAIR.items()}
    found = judge(tenth, 10.5, "o/w cream", oil_pct=20)
    assert found.word == "inside"
    assert found.dose is not None
    assert (found.dose.title, found.dose.level) == ("Dose is low", "caution")


def test_dose_does_not_touch_the_word() -> None:
    words = {
        judge({n: m * k for n, m in PAIR.items()}, 10.5, "o/w cream", oil_pct=20).word for k in (0.1, 1, 4)
    }
    assert words == {"inside"}


def test_oil_phase_is_taken_from_the_result_where_given(tiny_library: Library) -> None:
    required = required_hlb({"alpha oil": 20}, library=tiny_library)
    found = judge({"delta oleate": 3, "epsilon oleate": 1}, required, "o/w cream", library=tiny_library)
    assert found.dose is not None
    assert "20 % of the oil phase" in found.dose.figure


def test_own_hlb_leads_in_the_blend() -> None:
    pair: dict[str, float | str] = {"polysorbate 80": 5, "polysorbate 60": 5}
    found = judge(pair, 9.0, "o/w cream", values={"polysorbate 80": 9.0, "polysorbate 60": 9.0})
    assert found.blend is not None
    assert (found.blend.value, found.word) == (9.0, "inside")
    assert judge(pair, 9.0, "o/w cream").word == "outside"


def test_one_emulsifier_alone_gets_no_verdict_even_where_it_meets_the_target() -> None:
    found = judge({"polysorbate 80": 5}, 9.0, "o/w cream", values={"polysorbate 80": 9.0})
    assert found.blend is not None
    assert (found.blend.value, found.word, found.rule) == (9.0, "no verdict: one emulsifier alone", "none")


def test_opposite_charges_are_a_stop_in_any_product() -> None:
    both = {"sodium lauryl sulfate": 1.0, "cetrimonium chloride": 1.0}
    for kind in product_types():
        assert "Anionic with cationic" in titles(judge(both, 10.0, kind, oil_pct=20), "stop")


# --- HLB is secondary


@pytest.mark.parametrize("kind", [k for k in product_types() if k.role == "secondary"], ids=lambda k: k.name)
def test_hydrophilic_emulsifier_alone_far_above_the_window_is_no_stop(kind: ProductType) -> None:
    found = judge(SCRUB, 8.0, kind, oil_pct=80)
    assert found.word == "no verdict: the rinse test decides"
    assert titles(found, "stop") == []
    assert "above the window on purpose" in found.sentence


def test_matched_pair_stands_beside_at_the_same_dose_with_its_price() -> None:
    beside = judge(SCRUB, 8.0, "wash-off scrub", oil_pct=80).beside
    assert beside is not None
    assert beside.blend.total == pytest.approx(8.0)
    assert beside.blend.hlb == pytest.approx(8.0, abs=1.0)
    assert "in the jar" in beside.price
    assert "rinses less readily" in beside.price


@pytest.mark.parametrize("name", ["polysorbate 80", "Polysorbate  80", "polysorbate_80"])
def test_price_of_the_pair_is_said_whatever_the_spelling(name: str) -> None:
    found = judge(SCRUB, 8.0, "wash-off scrub", oil_pct=80, cost={name: 10.0, "Sorbitan Oleate": 10.0})
    assert found.beside is not None
    assert "emulsifiers at 0.80 per kg of product" in found.beside.price


def test_price_is_not_said_where_one_is_missing() -> None:
    found = judge(SCRUB, 8.0, "wash-off scrub", oil_pct=80, cost={"polysorbate 80": 10.0})
    assert found.beside is not None
    assert "per kg" not in found.beside.price


def test_lipophilic_emulsifier_in_a_scrub_is_told_to_expect_a_film() -> None:
    found = judge({"sorbitan oleate": 8}, 8.0, "wash-off scrub", oil_pct=80)
    assert "expect an oily film" in found.sentence
    assert found.word == "no verdict: the rinse test decides"


def test_matched_blend_in_a_scrub_need_not_rinse() -> None:
    found = judge({"sorbitan oleate": 5, "polysorbate 80": 3}, 8.3, "wash-off scrub", oil_pct=80)
    assert "need not mean that it rinses" in found.sentence


def test_product_without_water_brings_the_solubility_caution() -> None:
    said = "polysorbate 80 may not stay dissolved in the oil"
    assert said in titles(judge(SCRUB, 8.0, "cleansing balm", oil_pct=80), "note")
    assert said in titles(judge(SCRUB, 8.0, "dispersing bath or cleansing oil", oil_pct=80), "caution")
    assert said not in titles(judge(PAIR, 10.5, "o/w cream", oil_pct=20))


# --- no verdict


@pytest.mark.parametrize("kind", [k for k in product_types() if k.role == "none"], ids=lambda k: k.name)
def test_product_where_hlb_has_no_role_gets_no_verdict_and_the_reason(kind: ProductType) -> None:
    found = judge({"polysorbate 20": 3}, 10.0, kind, oil_pct=1)
    assert (found.word, found.rule) == ("no verdict: HLB has no say here", "none")
    assert kind.reason in found.sentence
    assert kind.decides in found.sentence


def test_clear_product_is_told_its_solubiliser_ratio() -> None:
    found = judge({"polysorbate 20": 3}, None, "clear solubilised product", oil_pct=1)
    assert found.dose is not None
    assert found.dose.figure == "3 parts of solubiliser to 1 part of oil"


@pytest.mark.parametrize(
    ("product", "word", "said"),
    [
        (
            "o/w cream",
            "cannot say: the oil phase has no figure",
            "The required HLB of the oil phase is missing.",
        ),
        ("wash-off scrub", "no verdict: the rinse test decides", "The rinse test decides, not the figure. "),
    ],
)
def test_required_hlb_that_is_missing_gives_no_verdict(product: str, word: str, said: str) -> None:
    found = judge(PAIR, None, product, oil_pct=20)
    assert (found.word, found.share, found.beside) == (word, None, None)
    assert found.sentence.startswith(said)
    assert found.blend is not None


@pytest.mark.parametrize(
    ("amount", "oil", "word"),
    [
        (5, 20, "in its supplier's range"),  # 3 to 5 % of the formula, rate_gardenofwisdom
        (6, 20, "in its supplier's range"),  # 30 % of the oils; 25 % and more, dose_swiftcraftymonkey_3
        (5.3, 30.5, "cannot say: its sheets disagree"),  # too much by one, 17 % of the oils by the other
        (2, 20, "outside its supplier's range"),
    ],
)
def test_ready_wax_goes_by_the_rates_of_the_tables_where_none_is_typed(
    amount: float, oil: float, word: str
) -> None:
    found = judge({"emulsifying wax NF": amount}, 10.0, "o/w cream", oil_pct=oil)
    assert (found.word, found.rule) == (word, "supplier's rate")
    assert found.blend is None
    assert "3 to 5 %" in found.sentence
    assert "25 % or more" in found.sentence


def test_of_two_sheets_the_one_that_holds_the_formula_speaks_and_the_other_is_named() -> None:
    found = judge({"glyceryl stearate SE": 4}, 8.0, "o/w cream", oil_pct=17)
    assert found.word == "in its supplier's range"
    assert (
        "Another sheet says 6 to 8 % of the formula, 20 to 40 % oil phase, pH 6.8 to 8.2." in found.sentence
    )


def test_a_sheet_that_counts_the_emulsifier_in_the_oil_phase_is_held_against_both() -> None:
    found = judge({"glyceryl stearate SE": 7}, 8.0, "o/w cream", oil_pct=15)  # 22 % with the emulsifier
    assert found.word == "in its supplier's range"
    assert "outside" not in found.sentence


@pytest.mark.parametrize(("oil", "level"), [(25, None), (30, "note"), (40, "caution")])
def test_too_much_oil_for_a_ready_emulsifier_is_a_finding_of_its_own(oil: float, level: str | None) -> None:
    found = judge({"cetearyl olivate (and) sorbitan olivate": 5}, 8.0, "o/w cream", oil_pct=oil)
    much = [f for f in found.findings if f.title.startswith("Much oil for this much")]
    assert [f.level for f in much] == ([] if level is None else [level])
    assert all(f.figure == f"{oil:g} % oil phase, the supplier says up to 25 %" for f in much)
    assert all("Bring the oil phase to 25 %" in f.mend for f in much)


def test_little_wax_for_the_oil_is_a_finding_of_its_own() -> None:
    found = judge({"emulsifying wax NF": 5.3}, 7.0, "light o/w lotion", oil_pct=30.5)
    (much,) = [f for f in found.findings if f.title.startswith("Much oil for this much")]
    assert much.figure == "17.4 % of the oil phase, a craft author says 25 % or more"
    assert "too little emulsifier" in much.mend


def test_a_rate_typed_without_a_basis_says_what_it_is_taken_for() -> None:
    lines = [
        Line("water", 75),
        Line("olive oil", 20),
        Line("my wax", 5, counts="emulsifier", supplier_rate="20"),
    ]
    said = work_out(Formula("x", "o/w cream", lines)).verdict.sentence
    assert "No basis was typed with the rate: it is taken as % of the formula." in said


@pytest.mark.parametrize(
    ("amount", "word"), [(3.9, "outside its"), (4, "in its"), (6, "in its"), (6.1, "outside its")]
)
def test_ready_wax_outside_its_typed_rate_is_said_by_the_verdict_with_both_figures(
    amount: float, word: str
) -> None:
    found = judge(
        {"emulsifying wax NF": amount},
        10.0,
        "o/w cream",
        oil_pct=20,
        supplier={"emulsifying wax NF": SupplierRate(4, 6)},
    )
    assert found.word == f"{word} supplier's range"
    assert found.figure == f"{amount:g} % of the formula, the supplier says 4 to 6 %"
    assert not [t for t in titles(found) if t.startswith("Outside")]  # the verdict says it


def test_dose_inside_the_suppliers_rate_is_not_held_against_print() -> None:
    rate = {"my wax": SupplierRate(12, 15)}
    inside, outside = (
        judge({"my wax": n}, 10.0, "o/w cream", oil_pct=20, supplier=rate).dose for n in (14, 17)
    )
    assert inside is None
    assert outside is not None
    assert outside.title == "Dose is high"


def test_oil_above_the_suppliers_limit_is_said_by_the_verdict_with_both_figures() -> None:
    rate = SupplierRate(4, 6, oil_limit_pct=25)
    for oil, said in ((25, False), (30, True)):
        found = judge({"my wax": 5}, 10.0, "o/w cream", oil_pct=oil, supplier={"my wax": rate})
        assert ("30 % oil phase, the supplier says up to 25 %" in found.figure) is said
        assert ("30 % oil phase, the supplier says up to 25 %" in found.sentence) is said


def test_spelling_of_the_wax_and_of_its_rate_may_differ() -> None:
    found = judge({"My Wax": 5}, 10.0, "o/w cream", oil_pct=20, supplier={"my wax": SupplierRate(4, 6)})
    assert found.word == "in its supplier's range"
    assert found.sentence.startswith("My Wax: 5 % of the formula, its supplier says 4 to 6 %")


def test_unknown_wax_without_a_rate_is_refused() -> None:
    with pytest.raises(UnknownIngredient, match="'my wax' is not in the tables"):
        judge({"my wax": 5}, 10.0, "o/w cream", oil_pct=20)


def test_oil_among_the_emulsifiers_is_refused() -> None:
    with pytest.raises(UnknownIngredient, match="'beeswax' is no emulsifier"):
        judge({"beeswax": 5}, 10.0, "o/w cream", oil_pct=20)


@pytest.mark.parametrize("amounts", [{}, {"polysorbate 80": 0}], ids=["none", "zero"])
def test_no_emulsifier_gives_no_verdict(amounts: dict[str, float | str]) -> None:
    found = judge(amounts, 10.0, "o/w cream", oil_pct=20)
    assert (found.word, found.rule) == ("no verdict: no emulsifier", "none")
    said = "No emulsifier has an amount yet: polysorbate 80."
    assert found.sentence == (said if amounts else "There is no emulsifier among the lines that are known.")


def test_suppliers_rate_with_swapped_ends_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"supplier's rate: the low end .*\. Swap them"):
        SupplierRate(6, 4)


@pytest.mark.parametrize("given", [(-1, 4, None), (4, 101, None), (4, 6, math.nan)])
def test_suppliers_figures_are_per_cent(given: tuple[float, float, float | None]) -> None:
    with pytest.raises(InvalidInput, match="supplier's figure, "):
        SupplierRate(*given)


@pytest.mark.parametrize(
    ("amounts", "required", "message"),
    [
        ({"polysorbate 80": -1}, 10.0, "emulsifier 'polysorbate 80': -1 % is negative"),
        ({"polysorbate 80": "8 g"}, 10.0, "emulsifier 'polysorbate 80': '8 g' is not in %"),
        ({"polysorbate 80": 5}, 41.0, "required HLB: 41 is out of range"),
        ({"polysorbate 80": 5}, math.nan, "required HLB: nan is not a finite number"),
    ],
    ids=["negative", "grams", "off the scale", "nan"],
)
def test_number_that_cannot_be_used_is_refused(
    amounts: dict[str, float | str], required: float, message: str
) -> None:
    with pytest.raises(InvalidInput) as caught:
        judge(amounts, required, "o/w cream", oil_pct=20)
    assert message in str(caught.value)


# --- what is never said

FORBIDDEN = ("stable", "stability", "correct hlb")
SYSTEMS: list[dict[str, float | str]] = [
    {"polysorbate 80": 8},
    {"sorbitan oleate": 2.1, "polysorbate 80": 2.9},
    {"sorbitan oleate": 0.2, "polysorbate 80": 0.3},
    {"sodium lauryl sulfate": 1, "cetrimonium chloride": 1},
    {"sodium stearoyl lactylate": 2, "glyceryl stearate SE": 2},
    {"lecithin": 2, "sucrose stearate": 2},
    {"emulsifying wax NF": 5},
    {"cetearyl alcohol": 3, "steareth-20": 2},
    {},
]
FATS: list[dict[str, float | str]] = [
    {"shea butter": 10, "cocoa butter": 5, "olive oil": 5},
    {"beeswax": 4, "mineral oil": 16, "borax": 3},
    {"stearic acid": 4, "sweet almond oil": 14, "triethanolamine": 0.5, "lavender oil": 0.2},
    {"lanolin": 5, "petrolatum": 10, "cetyl alcohol": 3, "argan oil": 4},
]


def words(found: Verdict | RequiredHlb) -> str:
    findings = found.findings if isinstance(found, Verdict) else found.cautions
    said = [w for f in findings for w in (f.title, f.detail, f.figure, f.rule, f.mend)]
    if isinstance(found, Verdict):
        said += [found.sentence, found.beside.price if found.beside else ""]
        if found.dose:
            said += [found.dose.title, found.dose.detail, found.dose.mend]
    return " ".join(said).casefold()


@pytest.mark.parametrize("kind", product_types(), ids=lambda k: k.name)
def test_nothing_is_ever_called_stable_or_the_correct_hlb(kind: ProductType) -> None:
    for system, target in itertools.product(SYSTEMS, (None, 4.0, 8.0, 10.5, 16.0)):
        text = words(judge(system, target, kind, oil_pct=20))
        assert [w for w in FORBIDDEN if w in text] == [], (system, target)


@pytest.mark.parametrize("phase", FATS, ids=lambda p: next(iter(p)))
def test_no_oil_phase_is_called_stable_or_given_the_correct_hlb(phase: dict[str, float | str]) -> None:
    text = words(required_hlb(phase))
    assert text
    assert [w for w in FORBIDDEN if w in text] == []


def test_no_standing_caution_of_the_tables_speaks_of_the_correct_hlb(library: Library) -> None:
    assert [i.id for i in library if "correct hlb" in i.note.casefold()] == []


@pytest.mark.parametrize("phase", [{"olive oil": "200 g"}, {"olive oil": 300}], ids=["g", "plain"])
def test_masses_are_not_read_as_per_cent_of_the_formula(phase: dict[str, str | int]) -> None:
    found = judge({"polysorbate 60": 4}, required_hlb(phase), "o/w cream")
    assert found.dose is None
    assert found.blend is not None


def test_soap_from_the_pot_with_a_cationic_is_a_stop_in_the_verdict() -> None:
    phase = required_hlb({"olive oil": 20, "stearic acid": 4, "triethanolamine": 1})
    verdict = judge({"cetrimonium chloride": 1}, phase, "o/w cream")
    assert [f.title for f in verdict.findings if f.level == "stop"] == ["Anionic with cationic"]


def test_an_o_w_phase_is_not_judged_for_a_w_o_cream() -> None:
    phase = required_hlb({"mineral oil": 20})
    with pytest.raises(InvalidInput, match=r"a w/o cream is w/o\. Compute it with emulsion"):
        judge({"sorbitan oleate": 4}, phase, "w/o cream")


def test_one_emulsifier_on_two_lines_and_in_two_spellings_is_still_one() -> None:
    f = Formula(
        "x",
        "light o/w lotion",
        [Line("sunflower oil", 20), Line(" SORBITAN OLEATE ", 2), Line("sorbitan oleate", 1)],
    )
    assert work_out(f).verdict.word == "no verdict: one emulsifier alone"
