from __future__ import annotations

import math

import pytest

from hlbcore import InvalidInput, Jars, Scale
from hlbcore.batch.scales import FLOORS, scales_of, standard_g, tolerance_g
from hlbcore.batch.size import in_unit, size_of, with_loss


@pytest.mark.parametrize(
    ("floor", "least"), [("ten divisions", 1.0), ("20 e", 2.0), ("50 d", 5.0), ("USP <41>", 82.0)]
)
def test_smallest_weight_follows_the_floor_that_is_picked(floor: str, least: float) -> None:
    assert Scale(0.1, floor=floor).least_g == least


def test_usp_floor_follows_a_measured_spread_above_its_least() -> None:
    assert Scale(0.1, floor="USP <41>", repeatability_g=0.2).least_g == 400.0
    assert Scale(0.1, floor="USP <41>", repeatability_g=0.001).least_g == 82.0


def test_a_tared_amount_is_two_readings() -> None:
    assert Scale(0.1).standard_g == pytest.approx(math.sqrt(2) * 0.05 / math.sqrt(3))
    assert Scale(0.1).worst_g == pytest.approx(0.1)


def test_a_measured_spread_holds_both_roundings_already() -> None:
    assert Scale(0.1, repeatability_g=0.2).standard_g == pytest.approx(0.2)
    assert Scale(0.1, repeatability_g=0.01).standard_g == Scale(0.1).standard_g


def test_an_error_found_with_a_check_weight_adds() -> None:
    scale = Scale(0.1, error_g=0.3)
    assert scale.standard_g == pytest.approx(standard_g(Scale(0.1).standard_g, [0.3]))
    assert (scale.reading_g, scale.worst_g) == (0.3, pytest.approx(0.4))
    assert "largest error 0.3 g" in scale.assumed


def test_what_is_not_measured_is_said() -> None:
    assert "its truth was not checked" in Scale(0.1).assumed


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: Scale(0), "readability"),
        (lambda: Scale(-0.1), "readability"),
        (lambda: Scale(math.nan), "not a finite number"),
        (lambda: Scale(1e-9), "finer than a microgram"),
        (lambda: Scale("0.1 %"), "no mass"),
        (lambda: Scale(0.1, 0.05), "less than one division"),
        (lambda: Scale(0.1, 200, vessel_g=200), "so nothing can be weighed"),
        (lambda: Scale(0.1, floor="a feeling"), "ten divisions, 20 e, 50 d, USP <41>"),
        (lambda: Scale(0.1, repeatability_g=-1), "spread of repeats"),
        (lambda: scales_of([]), "there is none"),
        (lambda: scales_of([0.1] * 21), "at most 20"),
        (lambda: tolerance_g(10_001, 1), "more than 10 000"),
    ],
)
def test_a_scale_that_cannot_be_is_told_in_a_sentence(made, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        made()


def test_scales_stand_with_the_finest_first_and_take_text() -> None:
    assert [s.readability_g for s in scales_of(["1 g", 0.1, Scale("0.01 g", "200 g")])] == [0.01, 0.1, 1.0]
    assert Scale("0.1 g", "2 kg").capacity_g == 2000.0


def test_every_floor_names_its_rule() -> None:
    assert all(rule for _, rule in FLOORS.values())


# --- size


def test_jars_and_loss_make_the_mass() -> None:
    assert size_of(Jars(12, "50 g"), 4) == pytest.approx(625.0)
    assert with_loss(600, 4) == pytest.approx(625.0)
    assert size_of("2 lb") == pytest.approx(907.18474)
    assert size_of(500, 5) == 500.0  # a mass given is what is made


def test_a_volume_needs_the_density_that_was_measured() -> None:
    assert Jars(1, "100 ml", density_g_ml=0.95).fill_g == pytest.approx(95.0)
    assert Jars(1, "4 fl. oz", density_g_ml=1).fill_g == pytest.approx(118.29412)
    with pytest.raises(InvalidInput, match="is a volume"):
        Jars(1, "100 ml")


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (lambda: Jars(0, 50), "0 cannot be filled"),
        (lambda: Jars(10_001, 50), "1 to 10,000 jars"),
        (lambda: Jars(2.5, 50), "2.5 cannot be filled"),
        (lambda: Jars(10, 0), "fill of a jar"),
        (lambda: Jars(10, "50 ml", density_g_ml=0), "no density"),
        (lambda: Jars(10, "50 drops"), "fill of a jar"),
        (lambda: size_of(0), "batch"),
        (lambda: size_of(500, 60), "loss"),
        (lambda: in_unit(5, "stone"), "no unit of mass"),
    ],
)
def test_a_size_that_cannot_be_is_told_in_a_sentence(made, message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        made()


def test_ten_thousand_jars_are_a_batch() -> None:
    assert size_of(Jars(10_000, "50 g")) == 500_000.0
