from __future__ import annotations

import pytest

from hlbcore import Facts, Finding, Formula, Line, check, work_out
from hlbcore.checks.charge import charge


def told(
    *lines: Line, product: str = "o/w cream", ph: float | None = None, water: float = 70
) -> list[Finding]:
    """Findings on a product with water, oil and these lines."""
    base = (Line("water", water, phase="water"), Line("olive oil", 15, phase="oil"))
    return charge(work_out(Formula("x", product, (*base, *lines), facts=Facts(ph=ph))))


def titles(findings: list[Finding]) -> str:
    """All titles as one text."""
    return "; ".join(f.title for f in findings)


def of(findings: list[Finding], words: str) -> Finding:
    """The one finding with these words in its title."""
    (found,) = [f for f in findings if words in f.title]
    return found


def test_plain_cream_has_no_finding() -> None:
    assert told(Line("polysorbate 80", 4)) == []


# --- salt


def test_10_pct_magnesium_sulfate_in_o_w_is_a_caution() -> None:
    found = of(told(Line("magnesium sulfate", 10)), "Divalent salt")
    assert (found.level, found.figure) == ("caution", "10 % of the formula")
    assert "14.3 % of the water" in found.detail
    assert found.mend.startswith("Take out more than 9 %")


def test_1_pct_magnesium_sulfate_in_w_o_is_none_of_that_kind() -> None:
    assert told(Line("magnesium sulfate", 1), product="w/o cream") == []


def test_w_o_without_salt_is_a_note() -> None:
    assert of(told(product="w/o cream"), "w/o emulsion without salt").level == "note"


@pytest.mark.parametrize(
    ("name", "pct", "words"),
    [
        ("magnesium sulfate", 1, "Divalent salt"),
        ("calcium chloride", 1.5, "Divalent salt"),
        ("sodium chloride", 2, "Salt in an o/w emulsion"),
        ("sodium lactate", 2.5, "Salt in an o/w emulsion"),
    ],
)
def test_salt_where_an_emulsion_failed_is_a_caution(name: str, pct: float, words: str) -> None:
    assert [f.title.startswith(words) for f in told(Line(name, pct))] == [True]


@pytest.mark.parametrize(
    ("name", "pct"), [("magnesium sulfate", 0.5), ("sodium chloride", 1), ("disodium EDTA", 0.1)]
)
def test_little_salt_is_left_alone(name: str, pct: float) -> None:
    assert told(Line(name, pct)) == []


def test_active_part_counts() -> None:
    assert told(Line("sodium lactate", 3, active_pct=60)) == []


def test_any_divalent_salt_with_soap_is_a_caution() -> None:
    found = told(Line("magnesium sulfate", 0.2), Line("sodium stearate", 3), ph=9)
    assert "or replace the soap" in of(found, "Divalent salt").mend


def test_salt_grains_without_water_are_left_alone() -> None:
    grains = Line("sodium chloride", 60, phase="solids")
    assert told(grains, product="wash-off scrub", water=0) == []


# --- pH


@pytest.mark.parametrize("name", ["sodium stearate", "glyceryl stearate SE", "potassium oleate"])
def test_ph_4_5_with_soap_emulsifier_is_a_caution(name: str) -> None:
    found = of(told(Line(name, 4), ph=4.5), "pH below what a soap")
    assert (found.level, found.figure) == ("caution", "pH 4.5, 3.5 below 8")


def test_soap_at_its_ph_is_left_alone() -> None:
    assert told(Line("sodium stearate", 4), ph=8.5) == []


def test_missing_ph_is_said_for_soap() -> None:
    assert of(told(Line("sodium stearate", 4)), "pH is missing").level == "note"


def test_missing_ph_is_not_asked_where_nothing_turns_on_it() -> None:
    assert told(Line("polysorbate 60", 3), Line("glyceryl stearate", 2)) == []


def test_soap_made_in_the_pot_counts() -> None:
    pot = (Line("stearic acid", 3), Line("triethanolamine", 1))
    found = told(*pot, ph=6)
    assert "the soap made in the pot" in of(found, "pH below what a soap").detail
    assert "A soap forms" not in titles(found)


def test_acid_with_soap_is_a_caution() -> None:
    found = told(Line("sodium stearate", 4), Line("lactic acid", 1))
    assert of(found, "Acid with a soap").level == "caution"


@pytest.mark.parametrize(("ph", "level"), [(4.5, "caution"), (6.0, "note"), (None, "note")])
def test_lactylate_by_ph(ph: float | None, level: str) -> None:
    (found,) = told(Line("sodium stearoyl lactylate", 2), ph=ph)
    assert found.level == level
    assert "near 4 at low pH" in found.detail


@pytest.mark.parametrize(
    ("name", "ph", "words"),
    [
        ("ultramarines", 5.0, "spoiled by acid"),
        ("ferric ferrocyanide", 8.5, "spoiled by alkali"),
        ("ultramarines", None, "pH is missing"),
    ],
)
def test_colour_that_acid_or_alkali_spoils(name: str, ph: float | None, words: str) -> None:
    assert words in titles(told(Line(name, 1), ph=ph))


@pytest.mark.parametrize(("name", "ph"), [("ultramarines", 7.5), ("ferric ferrocyanide", 6.0)])
def test_colour_at_a_ph_that_suits_it_is_left_alone(name: str, ph: float) -> None:
    assert told(Line(name, 1), ph=ph) == []


# --- charge


@pytest.mark.parametrize("anionic", ["sodium stearoyl lactylate", "sodium cetearyl sulfate"])
def test_cationic_preservative_with_anionic_emulsifier_is_a_stop(anionic: str) -> None:
    found = told(Line("benzalkonium chloride", 0.1), Line(anionic, 2), ph=6)
    assert of(found, "Cationic preservative").level == "stop"


def test_two_emulsifiers_of_opposite_charge_are_left_to_the_verdict() -> None:
    found = told(Line("cetrimonium chloride", 1), Line("sodium lauryl sulfate", 1))
    assert found == []


def test_cationic_emulsifier_with_soap_from_the_pot_is_a_stop() -> None:
    pot = (Line("stearic acid", 3), Line("triethanolamine", 1), Line("cetrimonium chloride", 1))
    stops = [f for f in check(Formula("x", "o/w cream", pot)) if f.level == "stop"]
    assert [f.title for f in stops if "soap that forms" in f.detail] == ["Anionic with cationic"]


@pytest.mark.parametrize("gum", ["xanthan gum", "sodium carbomer", "sodium alginate"])
@pytest.mark.parametrize("cationic", ["benzalkonium chloride", "cetrimonium chloride"])
def test_anionic_gum_with_a_cationic_is_a_caution(gum: str, cationic: str) -> None:
    found = told(Line(gum, 0.3), Line(cationic, 0.5))
    assert of(found, "Anionic gum").level == "caution"


def test_gum_without_charge_goes_with_a_cationic() -> None:
    assert told(Line("hydroxyethylcellulose", 0.5), Line("cetrimonium chloride", 1)) == []


# --- carbomer


def test_carbomer_without_base_names_the_amount() -> None:
    found = of(told(Line("carbomer", 0.3)), "no base to neutralise")
    assert "0.12 % sodium hydroxide" in found.mend


def test_carbomer_with_base_is_left_alone() -> None:
    found = told(Line("carbomer", 0.3), Line("triethanolamine", 0.4), ph=6.5)
    assert "neutralise" not in titles(found)


@pytest.mark.parametrize("polymer", ["sodium carbomer", "sodium polyacrylate"])
def test_neutralised_polymer_needs_no_base(polymer: str) -> None:
    assert told(Line(polymer, 0.3)) == []


@pytest.mark.parametrize("salt", ["sodium chloride", "sodium PCA", "zinc oxide"])
def test_carbomer_with_salt_is_a_caution(salt: str) -> None:
    found = told(Line("sodium carbomer", 0.3), Line(salt, 0.5), ph=7)
    assert of(found, "with salt").level == "caution"


def test_carbomer_at_low_ph_is_thin() -> None:
    assert "thin at low pH" in titles(told(Line("sodium carbomer", 0.3), ph=4.5))


def test_alginate_with_calcium_is_a_caution() -> None:
    found = told(Line("sodium alginate", 0.5), Line("calcium chloride", 0.2))
    assert of(found, "Alginate").level == "caution"


def test_text_never_promises() -> None:
    found = told(
        Line("magnesium sulfate", 10),
        Line("sodium stearate", 3),
        Line("carbomer", 0.3),
        Line("benzalkonium chloride", 0.1),
        Line("ultramarines", 1),
        ph=4.5,
    )
    said = " ".join(f"{f.title} {f.detail} {f.mend}" for f in found).casefold()
    assert not [w for w in ("stable", "is safe", "may be left out") if w in said]


def test_cationic_emulsifier_with_an_anionic_is_a_stop_where_no_verdict_tells_of_it() -> None:
    rinse = [Line("water", 92), Line("behentrimonium methosulfate", 5), Line("sodium cetearyl sulfate", 3)]
    found = charge(work_out(Formula("x", "conditioner", rinse)))
    assert of(found, "Cationic emulsifier with soap or another anionic").level == "stop"


def test_cationic_polymer_with_an_anionic_emulsifier_is_a_caution() -> None:
    found = told(Line("guar hydroxypropyltrimonium chloride", 0.3), Line("sodium cetearyl sulfate", 2))
    assert of(found, "Cationic polymer with an anionic emulsifier").level == "caution"
