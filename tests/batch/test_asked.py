from __future__ import annotations

import pytest

from hlbcore import InvalidInput, Scale, example_formula, work_out
from hlbcore.batch.asked import BatchAsked, read_scales, work_out_batch


def outcome(**asked: object):
    return work_out_batch(work_out(example_formula()), BatchAsked(**asked))


def test_scales_are_read_a_line_each() -> None:
    typed = "Pocket: 0,01 g up to 200 g, vessel 30 g, error 0.05 g\n\n0.1 g up to 2 kg; 1"
    assert read_scales(typed, "50 d") == (
        Scale(0.01, 200, "50 d", error_g=0.05, vessel_g=30, name="Pocket"),
        Scale(0.1, 2000, "50 d"),
        Scale(1, floor="50 d"),
    )


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("0.1 g, weight 5", "scale 1: 'weight 5' is not understood"),
        ("0.1 g\n0.1 litres", "scale 2, scale, readability"),
        ("0.1 g up to 50 g, vessel 50 g", "scale 1, scale, vessel"),
        ("0", "readability"),
    ],
)
def test_a_scale_that_cannot_be_read_is_named(text: str, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        read_scales(text)


def test_blank_fields_take_the_formula_s_own() -> None:
    made = outcome()
    assert made.sheet is not None
    assert (made.sheet.size_g, made.sheet.scales) == (500.0, (Scale(0.1),))


def test_jars_with_fill_density_and_loss() -> None:
    made = outcome(by="jars", jars="12", fill="50 ml", density="0,96 g/ml", loss="4 %")
    assert made.sheet is not None
    assert made.sheet.yield_g == pytest.approx(576, abs=0.1)


@pytest.mark.parametrize(
    ("asked", "field", "message"),
    [
        ({"mass": "0"}, "mass", "too small"),
        ({"mass": "lots"}, "mass", "not a number"),
        ({"by": "jars", "jars": "", "fill": "50"}, "jars", "blank"),
        ({"by": "jars", "jars": "5", "fill": ""}, "jars", "50 g"),
        ({"by": "jars", "jars": "5", "fill": "50 ml"}, "jars", "is a volume"),
        ({"by": "jars", "jars": "5", "fill": "50 ml", "density": "0"}, "jars", "density"),
        ({"by": "jars", "jars": "5", "fill": "50 ml", "density": "x"}, "density", "not a number"),
        ({"by": "jars", "jars": "100000", "fill": "50"}, "jars", "1 to 10,000"),
        ({"loss": "80"}, "loss", "0 to 50"),
        ({"scales": "0.1 g up to 100 g"}, "sheet", "more than any scale carries"),
        ({"scales": "1 kg"}, "scales", "more than the whole batch"),
        ({"scales": "oops"}, "scales", "scale 1"),
    ],
)
def test_what_is_in_the_way_stands_beside_its_field(asked, field: str, message: str) -> None:
    made = outcome(**asked)
    assert made.sheet is None
    assert message in made.errors[field]
