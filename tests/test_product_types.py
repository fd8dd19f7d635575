from __future__ import annotations

import dataclasses

import pytest

from hlbcore import InvalidInput, Library, product_types
from hlbcore.folders import data_folder
from hlbcore.product_types import PRACTICE, ROLES, ProductType, product_type

EACH = pytest.mark.parametrize("kind", product_types(), ids=lambda k: k.name)


@EACH
def test_role_is_one_of_three(kind: ProductType) -> None:
    assert kind.role in ROLES


@EACH
def test_type_says_why_and_what_decides(kind: ProductType) -> None:
    assert kind.reason.endswith(".")
    assert kind.decides.endswith(".")


@EACH
def test_dose_ends_are_given_together_and_in_order(kind: ProductType) -> None:
    if kind.dose_low is None or kind.dose_high is None:
        assert kind.dose_low is kind.dose_high is None
    else:
        assert 0 < kind.dose_low <= kind.dose_high


@EACH
def test_dose_has_a_source_or_says_that_it_has_none(kind: ProductType, library: Library) -> None:
    table, _, file = kind.dose_source.partition("/")
    if table == "data":
        assert (data_folder() / file).is_file()
    else:
        assert kind.dose_source == PRACTICE or kind.dose_source in library.sources


@EACH
def test_emulsion_type_is_given_where_hlb_plays_a_part(kind: ProductType) -> None:
    # w/o has a type too, though HLB has no say in it
    assert bool(kind.emulsion) == (kind.role != "none" or kind.name == "w/o cream")


@EACH
def test_window_is_above_zero(kind: ProductType) -> None:
    assert kind.window > 0


@pytest.mark.parametrize("name", ["wash-off scrub", "cleansing balm"])
def test_hlb_is_secondary_where_dispersal_is_the_aim(name: str) -> None:
    assert product_type(name).role == "secondary"


@pytest.mark.parametrize("name", ["clear solubilised product", "whipped butter", "conditioner", "w/o cream"])
def test_hlb_has_no_role_without_a_requirement_to_match(name: str) -> None:
    assert product_type(name).role == "none"


@pytest.mark.parametrize("name", ["O/W cream", " o/w  CREAM", "ow cream"])
def test_case_and_spacing_of_the_name_are_free(name: str) -> None:
    assert product_type(name).name == "o/w cream"


def test_type_itself_is_taken_as_it_is() -> None:
    own = dataclasses.replace(product_type("o/w cream"), name="my cream", window=0.5)
    assert product_type(own) is own


def test_unknown_type_is_told_the_choices() -> None:
    with pytest.raises(InvalidInput, match=r"'shampoo': it is not known here\. Use light o/w"):
        product_type("shampoo")


def test_names_are_unique() -> None:
    names = [k.name for k in product_types()]
    assert len(set(names)) == len(names)


def test_types_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        product_type("o/w cream").window = 5.0  # type: ignore[misc]
