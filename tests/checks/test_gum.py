from __future__ import annotations

from collections.abc import Iterable

from hlbcore import Finding, Formula, Line, work_out
from hlbcore.checks.gum import gum

WATER = Line("water", 60, phase="water")
XANTHAN = Line("xanthan gum", 0.3, phase="water")


def found(*lines: Line) -> list[Finding]:
    return gum(work_out(Formula("x", "light o/w lotion", lines)))


def titled(findings: Iterable[Finding], words: str) -> Finding:
    [one] = [f for f in findings if words in f.title]
    return one


def test_no_gum_gives_no_finding() -> None:
    assert found(WATER) == []


def test_share_stands_on_three_bases() -> None:
    one = titled(found(WATER, XANTHAN, Line("glycerin", 15)), "xanthan gum: share")
    assert one.detail == ("0.3 % of the jar = 0.5 % of the water = 0.4 % of water and humectant.")


def test_gums_add_up() -> None:
    both = found(WATER, XANTHAN, Line("guar gum", 0.2))
    assert titled(both, "share").figure == "0.5 % of the jar"


def test_the_active_part_counts() -> None:
    one = titled(found(WATER, Line("xanthan gum", 0.6, active_pct=50)), "share")
    assert one.figure == "0.3 % of the jar"


def test_no_limit_is_claimed() -> None:
    heavy = found(WATER, Line("xanthan gum", 10), Line("glycerin", 5))
    assert {f.level for f in heavy} == {"note"}


def test_gum_without_water_is_a_caution() -> None:
    assert titled(found(XANTHAN), "Gum without water").level == "caution"


def test_wetting_names_the_humectant_and_the_ratio() -> None:
    one = titled(found(WATER, XANTHAN, Line("glycerin", 3)), "wet it")
    assert one.figure == "10 g/g"
    assert "into the glycerin" in one.mend


def test_a_solid_humectant_wets_nothing() -> None:
    one = titled(found(WATER, XANTHAN, Line("betaine", 3)), "wet it")
    assert "No liquid humectant" in one.detail


def test_sugar_and_salt_come_after_the_gum() -> None:
    one = titled(found(WATER, XANTHAN, Line("salt", 2), Line("sugar", 8)), "hydrate it")
    assert one.figure == "10 % of the jar"


def test_grains_come_after_the_gum() -> None:
    one = titled(found(WATER, XANTHAN, Line("pumice", 5, phase="solids")), "hydrate it")
    assert "5 % pumice" in one.detail


def test_a_trace_of_salt_is_not_worth_a_line() -> None:
    assert [f for f in found(WATER, XANTHAN, Line("salt", 0.2)) if "hydrate" in f.title] == []


def test_grams_and_the_error_of_a_spoon_stand_side_by_side() -> None:
    one = titled(found(WATER, XANTHAN), "weigh it")
    assert one.figure == "0.3 g in 100 g"
    assert "0.79 to 3.8 g" in one.detail
    assert "none was found for xanthan" in one.detail
