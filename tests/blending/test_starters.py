"""What to buy first: computed from the tables and from print, with reason and source."""

from __future__ import annotations

from collections import defaultdict

import pytest

import hlbcore as hlb
from hlbcore import load_library
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.dose_evidence import dose_rows
from hlbcore.blending.starters import starter_set
from hlbcore.product_types import PRACTICE, product_type, product_types

NONE = ("whipped butter",)


@pytest.mark.parametrize("kind", [k.name for k in product_types()])
def test_two_or_three_emulsifiers_that_the_tables_know_and_none_for_what_has_none(kind: str) -> None:
    names = starter_set(kind).names
    assert len(names) == len(set(names))
    assert len(names) == 0 if kind in NONE else 2 <= len(names) <= 3
    for name in names:
        assert load_library().emulsifier(name).common_name == name


@pytest.mark.parametrize("kind", [k.name for k in product_types()])
def test_each_has_a_reason_and_a_source_that_resolves(kind: str) -> None:
    sources = load_library().sources
    for starter in starter_set(kind).starters:
        assert starter.why
        keys = starter.source.split(", ")
        assert starter.source in (PRACTICE, "readings of the tables; default choice, our convention") or all(
            key in sources for key in keys
        )


def test_authors_are_counted_as_the_table_prints_them() -> None:
    roots = defaultdict(set)
    for row in dose_rows():
        if row.product_type == "wash-off scrub" and "emulsifying wax NF" in row.uses:
            roots["wax"].add(row.root)
    found = next(s for s in starter_set("wash-off scrub").starters if s.names == ("emulsifying wax NF",))
    assert found.roots == len(roots["wax"]) == 5
    assert found.why.startswith("Printed by 5 independent authors for wash-off scrubs")


def test_the_pair_of_a_cream_is_the_one_that_the_tool_chooses_and_spans_most_oils() -> None:
    first = starter_set("o/w cream").starters[0]
    assert first.names == choose_emulsifiers(7.0, "o/w cream").names
    low, high = (load_library().emulsifier(n).hlb.value for n in first.names)  # type: ignore[union-attr]
    held = [e.value for i in load_library().oils if (e := i.required_hlb()) is not None]
    reached = sum(low <= v <= high for v in held)
    assert f"what {reached} of the {len(held)} oils" in first.why
    assert reached > 0.8 * len(held)


def test_a_w_o_cream_starts_with_w_o_emulsifiers() -> None:
    sold_for = {r.emulsion for n in starter_set("w/o cream").names for r in load_library().ready_rows(n)}
    assert sold_for == {"w/o"}


def test_every_name_that_a_printed_dose_uses_is_an_emulsifier_of_the_tables() -> None:
    for row in dose_rows():
        for name in row.uses:
            found = load_library().known(name)
            assert found is not None, (row.emulsifier, name)
            assert found.convention in ("emulsifier", "all_in_one", "emulsifier_or_oil"), name


def test_a_product_without_emulsifier_says_why() -> None:
    assert starter_set("whipped butter").reason.startswith(product_type("whipped butter").reason)


def test_the_pair_of_the_set_makes_an_ordinary_cream_inside() -> None:
    lines = [hlb.Line("water", 76, phase="water"), hlb.Line("sunflower oil", 14), hlb.Line("shea butter", 6)]
    lines += [hlb.Line(n) for n in starter_set("o/w cream").starters[0].names]
    worked = hlb.work_out(hlb.Formula("x", "o/w cream", lines))
    assert worked.verdict.word == "inside"
