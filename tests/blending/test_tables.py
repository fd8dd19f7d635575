"""Tables of a worked formula: readings with sources, the blend, the lines; printed columns add up."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore import Aims, Formula, Library, Line, Worked, work_out
from hlbcore.blending.tables import (
    FORMULA_COLUMNS,
    READING_COLUMNS,
    blend_table,
    formula_table,
    readings_table,
    sources_of,
)

CREAM = "o/w cream"


def test_every_reading_stands_in_the_table_disagreements_too(tiny_library: Library) -> None:
    table = readings_table(tiny_library.find("alpha oil"), tiny_library)
    assert list(table.columns) == list(READING_COLUMNS)
    assert table[["quantity", "value", "grade", "source"]].values.tolist() == [
        ["required HLB, o/w", 6.0, "published", "a"],
        ["required HLB, o/w", 6.5, "published", "b"],
        ["required HLB, o/w", 8.0, "craft", "c"],
        ["required HLB, w/o", 4.0, "published", "a"],
    ]


def test_the_source_is_written_out(library: Library) -> None:
    table = readings_table(library.find("cocoa butter"))
    assert set(table["source"]) <= {s.citation for s in library.sources.values()}


def test_a_range_that_is_not_printed_stays_blank(tiny_library: Library) -> None:
    beta = readings_table(tiny_library.find("beta oil"), tiny_library)
    alpha = readings_table(tiny_library.find("alpha oil"), tiny_library)
    assert beta[["low", "high"]].values.tolist() == [[9.5, 12.0]]
    assert alpha[["low", "high"]].isna().all(axis=None)


SYSTEM = Formula(
    lines=(
        Line("alpha oil", 10),
        Line("beta oil", 10),
        Line("mine", 1, own=9),
        Line("delta ester", 2),
        Line("own ester", 3, own=15, counts="emulsifier"),
    )
)


def test_sources_are_those_of_the_side_and_emulsion_used(tiny_library: Library) -> None:
    table = sources_of(work_out(SYSTEM, tiny_library))
    assert list(table.columns) == list(READING_COLUMNS)
    assert table[["ingredient", "quantity", "value"]].values.tolist() == [
        ["alpha oil", "required HLB, o/w", 6.0],
        ["alpha oil", "required HLB, o/w", 6.5],
        ["alpha oil", "required HLB, o/w", 8.0],
        ["beta oil", "required HLB, o/w", 10.0],
        ["delta oleate", "HLB", 4.0],
    ]


def test_sources_of_an_ingredient_that_stands_twice_are_named_once(tiny_library: Library) -> None:
    twice = replace(SYSTEM, lines=(*SYSTEM.lines, Line("first oil", 1, phase="cool-down")))
    assert len(sources_of(work_out(twice, tiny_library))) == 5


def test_a_value_of_the_users_own_rests_on_no_source(tiny_library: Library) -> None:
    own = replace(SYSTEM, lines=(Line("alpha oil", 10, own=9),))
    assert "alpha oil" not in set(sources_of(work_out(own, tiny_library))["ingredient"])


def test_an_empty_formula_has_no_sources_but_the_columns(tiny_library: Library) -> None:
    table = sources_of(work_out(Formula(), tiny_library))
    assert (list(table.columns), len(table)) == (list(READING_COLUMNS), 0)


# --- the blend

COLUMNS = ["emulsifier", "pct_of_formula", "pct_of_blend", "grams", "hlb"]
ASKED = replace(
    hlb.example_formula(),
    lines=tuple(
        x.with_amount("") if x.name in ("sorbitan stearate", "polysorbate 60") else x
        for x in hlb.example_formula().lines
    ),
)
"""The example with the amounts of its emulsifiers left to the tool."""


def test_blend_table_of_the_example_shows_what_is_weighed() -> None:
    table = blend_table(work_out(ASKED))
    assert list(table.columns) == COLUMNS
    assert table["grams"].tolist() == [14.7, 7.8]
    assert table["pct_of_formula"].tolist() == [2.94, 1.56]


def test_without_emulsifiers_there_is_no_row() -> None:
    table = blend_table(work_out(Formula()))
    assert (list(table.columns), len(table)) == (COLUMNS, 0)


def test_without_a_batch_the_grams_stay_blank() -> None:
    table = blend_table(work_out(replace(ASKED, aims=Aims(dose="4.5 to 6", batch=""))))
    assert table["grams"].isna().all()
    assert table["pct_of_formula"].tolist() == [2.94, 1.56]


def test_an_emulsifier_without_a_figure_stays_in_the_table() -> None:
    lines = (Line("olive oil", 20), Line("house wax", 5, counts="emulsifier"))
    table = blend_table(work_out(Formula(lines=lines)))
    assert table["emulsifier"].tolist() == ["house wax"]
    assert table["hlb"].isna().all()


@given(st.floats(3, 12), st.floats(1, 30), st.floats(20, 5000))
def test_printed_columns_add_up(needed: float, total: float, batch: float) -> None:
    emulsifiers = [Line(n, own=h, counts="emulsifier") for n, h in (("a", 2), ("b", 7.3), ("c", 15))]
    aims = Aims("most tolerant", f"{total:.4f}", batch=f"{batch:.2f} g")
    found = work_out(Formula(lines=[Line("my oil", 20, own=f"{needed:.3f}"), *emulsifiers], aims=aims))
    table = blend_table(found)
    assert found.solved is not None
    printed = math.fsum(round(v, 2) for v in table["pct_of_formula"])
    assert printed == pytest.approx(found.solved.total, abs=0.00501)
    assert math.fsum(round(v, 1) for v in table["pct_of_blend"]) == pytest.approx(100, abs=1e-6)
    assert found.weighed is not None
    assert math.fsum(table["grams"]) == pytest.approx(found.weighed.total_g, abs=1e-6)


# --- the lines


def worked(*lines: Line, **aims: object) -> Worked:
    return work_out(Formula("x", CREAM, lines, aims=Aims("as typed", **aims)))  # type: ignore[arg-type]


def test_columns_are_those_written_down() -> None:
    assert list(formula_table(work_out(hlb.example_formula())).columns) == list(FORMULA_COLUMNS)


@settings(max_examples=50)
@given(st.lists(st.floats(0.01, 1000), min_size=1, max_size=20))
def test_the_printed_column_of_the_base_adds_to_100(masses: list[float]) -> None:
    # names repeat: two lines that look alike must still add up
    whole = math.fsum(masses)
    lines = [Line(f"n{i % 3}", 100 * m / whole, phase="oil") for i, m in enumerate(masses)]
    table = formula_table(worked(*lines))
    assert round(100 * math.fsum(table["pct"])) == 10_000
    assert all(math.isclose(100 * p, round(100 * p), abs_tol=1e-6) for p in table["pct"])


def test_three_lines_that_are_alike_add_up() -> None:
    thirds = (Line("a", 100 / 3),) * 3
    assert list(formula_table(worked(*thirds))["pct"]) == [33.34, 33.33, 33.33]


def test_what_is_on_top_does_not_count_in_the_column(two_colour_scrub: Formula) -> None:
    table = formula_table(work_out(two_colour_scrub))
    base = table[table["portion"] == ""]
    assert math.fsum(base["pct"]) == pytest.approx(100)
    assert set(table["portion"]) == {"", "lavender", "orange"}


def test_phases_stand_in_the_order_of_work_and_unknown_ones_last() -> None:
    lines = (
        Line("a", 1, phase="?"),
        Line("b", 1, phase="oil"),
        Line("c", 1, phase="water"),
        Line("d", 1, phase="oil"),
    )
    assert list(formula_table(worked(*lines))["ingredient"]) == ["c", "b", "d", "a"]


def test_grams_follow_the_batch_and_stay_blank_without_one() -> None:
    oil = Line("olive oil", 12.345)
    assert list(formula_table(worked(oil, batch="200 g"))["grams"]) == [pytest.approx(24.69)]
    assert formula_table(worked(oil, batch=""))["grams"].isna().all()


def test_the_table_says_how_each_line_counts() -> None:
    table = formula_table(work_out(hlb.example_formula())).set_index("ingredient")["counts_as"]
    assert table["sunflower oil"] == "oil phase"
    assert table["polysorbate 60"] == "emulsifier"
    assert table["water"] == ""


def test_a_bought_blend_is_one_row_as_bought() -> None:
    formula = Formula(
        lines=[Line("house wax", 6, phase="oil")], blends="house wax: cetearyl alcohol 80, lecithin 20"
    )
    table = formula_table(work_out(formula))
    assert table[["ingredient", "pct"]].values.tolist() == [["house wax", 6.0]]


def test_solved_amounts_stand_in_the_table() -> None:
    table = formula_table(work_out(ASKED)).set_index("ingredient")["pct"]
    assert table["sorbitan stearate"] + table["polysorbate 60"] == pytest.approx(4.5, abs=0.011)
