"""Own ingredients and figures as typed on the page."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore.own import own_items


def test_a_number_is_kept_as_a_reading_without_a_range() -> None:
    (item,) = own_items("shea butter", value="9")
    assert item == hlb.OwnReading("shea butter", 9.0, kind="oil")


def test_the_middle_of_a_range_counts() -> None:
    (item,) = own_items("shea butter", value="8 to 11")
    assert isinstance(item, hlb.OwnReading)
    assert (item.value, item.low, item.high) == (9.5, 8, 11)


def test_a_label_name_makes_an_ingredient_beside_the_figure() -> None:
    made = own_items("meadow butter", value="9", kind="butter", inci="Pratum Butter")
    assert [type(item).__name__ for item in made] == ["OwnIngredient", "OwnReading"]


def test_without_a_figure_the_ingredient_alone_is_kept() -> None:
    assert own_items("house salt", kind="salt") == (hlb.OwnIngredient("house salt", "salt"),)


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("value", "lots", "figure: 'lots' is not a number"),
        ("value", "45", "45 is out of range"),
        ("value", "-1", "-1"),
        ("value", "8 to 200", "figure: 200 is out of range"),
        ("dose_pct", "much", "dose: 'much' is not a number"),
        ("temperature_c", "hot", "temperature: 'hot' is not a number"),
    ],
)
def test_what_cannot_be_used_is_named(field: str, text: str, words: str) -> None:
    typed = {"value": "9", field: text}
    with pytest.raises(hlb.InvalidInput, match=words):
        own_items("shea butter", **typed)


def test_a_blank_name_is_asked_for() -> None:
    with pytest.raises(hlb.InvalidInput, match="the name is blank"):
        own_items("  ", value="9")
