"""Names outside the lists: remarks, strengths, parts, kinds. Names with an address were printed there."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import Library, UnknownIngredient
from hlbcore.names import read_name, split_parts

# name as printed: the ingredient it means
SAME = {
    "white beeswax": "beeswax",  # kosterkeunen.com, formula of a PEG-free cream
    "vegetable glycerin": "glycerin",  # chemistscorner.com, why-is-my-lotion-too-runny
    "granulated sugar": "sucrose",  # charmedhandmade.com, scrub
    "magnesium chloride hexahydrate": "magnesium_chloride",  # forum of makers
    "aloe vera leaf juice": "aloe_juice",  # swiftcraftymonkey.blogspot.com 2009-03, toner
    "fractionated coconut oil": "caprylic_capric_triglyceride",  # craftserver.com 94258
    "MCT coconut oil": "caprylic_capric_triglyceride",  # forum of makers
    "scleroglucan": "sclerotium_gum",  # cosmeticsandtoiletries.com 208740971
    "calendula oil": "calendula_oil",  # maker's recipe of a w/o cream
    "soap, shredded": "soap",  # craftserver.com 94258
    "thistle oil": "safflower_oil",  # aromantic.co.uk, moisturising face and body cream
}

# name as printed: kind, parts
BLENDS = {
    # chemistscorner.com/cosmeticsciencetalk/discussion/conditioner
    "behentrimonium methosulfate (and) cetyl alcohol (and) butylene glycol": ("emulsifying wax", 3),
    "propylene glycol (and) diazolidinyl urea (and) iodopropynyl butylcarbamate": ("preservative", 3),
    # sofw.com 1436
    "lauryl glucoside (and) polyglyceryl-2 dipolyhydroxystearate (and) glycerin": ("emulsifying wax", 3),
    "lactobacillus/soybean ferment extract (and) pentylene glycol (and) caprylyl glycol": ("preservative", 3),
    # cosphatec.com 100.1.1.1
    "caprylyl glycol (and) glyceryl caprylate (and) dipropylene glycol": ("preservative", 3),
    # azeliscanada.com natural-green-body-mask
    "sunflower oil (and) pumpkin seed extract (and) rosemary extract": ("oil", 3),
    # cosmeticsandtoiletries.com 208740971
    "beta-sitosterol (and) sucrose stearate (and) sucrose distearate (and) cetyl alcohol": (
        "emulsifying wax",
        4,
    ),
}

# name as printed: kind
BY_KIND = {
    "cyanidium caldarium extract": "active",  # azeliscanada.com natural-green-body-mask
    "ahnfeltia concinna extract": "active",  # chemistscorner.com 9835
    "myrica cerifera fruit wax": "wax",  # kosterkeunen.com, formula of a PEG-free cream
    "aloe vera infused oil": "oil",  # maker's recipe of a cream
    "oat powder": "powder",  # protecingredia.com FEFE1833
    "vanilla fragrance oil": "fragrance",  # swiftcraftymonkey.blogspot.com 2010-07, bath oils
    "chelating agent": "salt",  # chemistscorner.com, improving-emulsion-sensory-properties
    "PEG-free emulsifier, composition unknown": "emulsifier",  # forum of makers
    # invented names of an ordinary build
    "neroli hydrosol": "water",
    "pomegranate juice": "water",
    "papaya seed oil": "oil",
    "hydrolyzed rice protein": "active",
    "PEG-9 stearate": "emulsifier",
    "ceteareth-12": "emulsifier",
    "polyglyceryl-5 trioleate": "emulsifier",
    "isopropyl laurate": "ester",
    "CI 77492": "colour",
    "violet leaf absolute": "essential oil",
}


@pytest.mark.parametrize("name", SAME)
def test_another_way_to_write_a_name_is_known(library: Library, name: str) -> None:
    assert library.find(name).id == SAME[name]


@pytest.mark.parametrize("name", BLENDS)
def test_a_name_made_of_known_parts_is_known(library: Library, name: str) -> None:
    found = library.find(name)
    kind, parts = BLENDS[name]
    assert (found.kind, len(found.parts)) == (kind, parts)
    assert (found.hlb, found.required_hlb()) == (None, None)


@pytest.mark.parametrize("name", BY_KIND)
def test_a_name_that_tells_its_kind_is_known_by_it_without_figures(library: Library, name: str) -> None:
    found = library.find(name)
    assert (found.kind, found.hlb, found.required_hlb()) == (BY_KIND[name], None, None)


def test_a_polyglyceryl_ester_known_by_its_name_is_not_judged_by_hlb(library: Library) -> None:
    assert not library.find("polyglyceryl-5 trioleate").hlb_judges
    assert library.find("ceteareth-12").hlb_judges


@pytest.mark.parametrize(
    ("name", "key", "pct"),
    [
        ("sodium hydroxide, 50 % solution", "sodium_hydroxide", 50),
        ("citric acid 50 % solution", "citric_acid", 50),
        ("lactic acid 80 %", "lactic_acid", 80),
        ("Lactic acid, 80%", "lactic_acid", 80),
        ("glycerin 85 %", "glycerin", 85),
        ("sorbitol 70 %", "sorbitol", 70),
        ("1 % hyaluronic acid solution", "hyaluronic_acid", 1),
        ("sodium lactate 60,5 %", "sodium_lactate", 60.5),
    ],
)
def test_a_strength_is_kept_as_active_share(library: Library, name: str, key: str, pct: float) -> None:
    found = library.find(name)
    assert (found.id, found.active_pct) == (key, pct)


@pytest.mark.parametrize("name", ["lactic acid 0 %", "lactic acid 180 %", "unheardof 80 %"])
def test_a_strength_that_cannot_be_is_unknown(library: Library, name: str) -> None:
    with pytest.raises(UnknownIngredient):
        library.find(name)


@pytest.mark.parametrize("name", ["olive oil", "glyceryl stearate"])
def test_a_pure_name_has_no_active_share(library: Library, name: str) -> None:
    assert library.find(name).active_pct is None


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("Rosa Rubiginosa Seed Oil", "rosehip_oil"),
        ("Rosa Moschata Seed Oil", "rosehip_oil"),
        ("Macadamia Integrifolia Seed Oil", "macadamia_oil"),
        ("Cymbopogon Flexuosus Oil", "lemongrass_oil"),
        ("Cymbopogon Citratus Leaf Oil", "lemongrass_oil"),
        ("Glucomannan", "konjac_gum"),
    ],
)
def test_the_plant_that_was_typed_stays_on_the_label(library: Library, typed: str, key: str) -> None:
    found = library.find(typed)
    assert (found.id, found.inci) == (key, typed)


@pytest.mark.parametrize("name", ["magnesium oil", "corn syrup", "honey powder", "rose clay"])
def test_a_material_of_its_own_is_not_another(library: Library, name: str) -> None:
    assert library.find(name).id not in ("magnesium_chloride", "glucose", "honey", "kaolin")


@pytest.mark.parametrize(
    "name", ["sunflwer oil", "sunflwer seed oil", "polysorbat 80", "brand new oil", "my wax", "wonder butter"]
)
def test_a_slip_or_a_bare_word_is_no_new_material(library: Library, name: str) -> None:
    with pytest.raises(UnknownIngredient):
        library.find(name)


def test_a_slip_is_told_the_right_name(library: Library) -> None:
    with pytest.raises(UnknownIngredient) as caught:
        library.find("sunflwer oil")
    assert caught.value.close[0] == "sunflower oil"


def test_a_blend_with_an_unknown_part_is_unknown(library: Library) -> None:
    with pytest.raises(UnknownIngredient):
        library.find("cetearyl alcohol (and) unheardof")


def test_the_kind_named_last_leads_over_a_part_of_it(library: Library) -> None:
    # a list of parts is never known by its last word alone
    with pytest.raises(UnknownIngredient):
        library.find("unheardof (and) green tea extract")


def test_key_of_a_name_is_the_id_it_is_found_under(library: Library) -> None:
    for name in ("lactic acid 80 %", "cyanidium caldarium extract", "wonder butter"):
        try:
            expected = library.find(name).id
        except UnknownIngredient:
            expected = "wonderbutter"
        assert library.key(name) == expected


@pytest.mark.parametrize(
    "text", ["a (and) b", "a, b", "a + b", "a & b", "a; b", "a and b", "a / b", "A (10-20 %), B (about 80)"]
)
def test_parts_are_read_whatever_stands_between(text: str) -> None:
    assert split_parts(text) == ("a", "b")


def test_a_slash_or_a_number_inside_a_name_parts_nothing() -> None:
    assert split_parts("caprylic/capric triglyceride") == ("caprylic/capric triglyceride",)
    assert split_parts("1,3-butanediol") == ("1,3-butanediol",)


@given(st.text(string.printable + "éß🧈", max_size=60))
def test_any_text_gives_an_ingredient_or_nothing(text: str) -> None:
    found = read_name(text, lambda name: None, [])
    assert found is None or found.by_kind
