"""What must hold of the real tables, whatever figures they get."""

from __future__ import annotations

import csv
import re
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

import hlbcore
from hlbcore import Library
from hlbcore._sorting import ORDER
from hlbcore.folders import data_folder
from hlbcore.ingredients import fold
from hlbcore.library import OIL_SIDE
from hlbcore.readings import NO_ROOT, TABLE_GRADES

TABLES = (
    "ingredients",
    "aliases",
    "emulsifier_hlb",
    "required_hlb",
    "properties",
    "sources",
    "class_ranges",
    "standing_doubts",
    "supplier_rates",
    "dose_evidence",
    "corrections",
)
HLB_TABLES = ("emulsifier_hlb", "required_hlb")
READING_TABLES = (*HLB_TABLES, "properties")


def rows(table: str) -> list[dict[str, str]]:
    with (data_folder() / f"{table}.csv").open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def source_kinds() -> dict[str, str]:
    return {r["key"]: r["kind"] for r in rows("sources")}


def repeated(words: list[str]) -> list[str]:
    return [w for w, n in Counter(words).items() if n > 1]


def test_ids_are_unique() -> None:
    assert repeated([r["id"] for r in rows("ingredients")]) == []


def test_ids_are_lower_case_letters_digits_and_single_underscores() -> None:
    bad = [r["id"] for r in rows("ingredients") if not re.fullmatch(r"[a-z0-9]+(_[a-z0-9]+)*", r["id"])]
    assert bad == []


def test_source_keys_are_unique_and_well_formed() -> None:
    keys = [r["key"] for r in rows("sources")]
    assert repeated(keys) == []
    assert [k for k in keys if not re.fullmatch(r"[a-z0-9]+(_[a-z0-9]+)*", k)] == []


def test_every_ingredient_has_a_common_name_and_a_kind() -> None:
    assert [r["id"] for r in rows("ingredients") if not (r["common_name"] and r["kind"])] == []


def test_aliases_are_unique_after_folding() -> None:
    assert repeated([fold(r["alias"]) for r in rows("aliases")]) == []


def test_no_alias_meets_the_id_or_common_name_of_another_ingredient() -> None:
    taken: dict[str, set[str]] = {}
    for r in rows("ingredients"):
        for name in (r["id"], r["common_name"]):
            taken.setdefault(fold(name), set()).add(r["id"])
    met = [
        (r["alias"], r["id"]) for r in rows("aliases") if taken.get(fold(r["alias"]), {r["id"]}) != {r["id"]}
    ]
    assert met == []


def test_no_two_ingredients_share_a_common_name() -> None:
    assert repeated([fold(r["common_name"]) for r in rows("ingredients")]) == []


def test_every_alias_is_found_under_its_own_ingredient(library: Library) -> None:
    assert [r for r in rows("aliases") if library.find(r["alias"]).id != r["id"]] == []


@pytest.mark.parametrize("table", [*READING_TABLES, "aliases"])
def test_every_id_exists(table: str) -> None:
    known = {r["id"] for r in rows("ingredients")}
    assert {r["id"] for r in rows(table)} - known == set()


def test_every_source_key_resolves(library: Library) -> None:
    assert [str(f) for f in library.faults] == []


def test_every_source_is_used() -> None:
    used = {
        r[column]
        for path in data_folder().glob("*.csv")
        for r in rows(path.stem)
        for column in r
        if column == "source" or column.endswith("_source")
    }
    code = "\n".join(p.read_text(encoding="utf-8") for p in Path(hlbcore.__file__).parent.rglob("*.py"))
    named = set(re.findall(r"\w+", code))
    assert sorted(set(source_kinds()) - used - named) == []


@pytest.mark.parametrize("table", READING_TABLES)
def test_low_value_high_rise(table: str) -> None:
    for r in rows(table):
        held = [float(r[c]) for c in ("low", "value", "high") if r[c]]
        assert held == sorted(held), r


@pytest.mark.parametrize("table", READING_TABLES)
def test_reading_has_a_figure_or_a_printed_limit(table: str) -> None:
    assert [r for r in rows(table) if not (r["value"] or r["low"] or r["high"])] == []


@pytest.mark.parametrize("table", HLB_TABLES)
def test_hlb_is_0_to_40(table: str) -> None:
    held = [(r["id"], float(r[c])) for r in rows(table) for c in ("low", "value", "high") if r[c]]
    assert [pair for pair in held if not 0 <= pair[1] <= 40] == []


@pytest.mark.parametrize("table", READING_TABLES)
def test_every_grade_is_known_and_every_reading_says_where(table: str) -> None:
    assert [r for r in rows(table) if r["grade"] not in TABLE_GRADES or not r["where"]] == []


@pytest.mark.parametrize("table", READING_TABLES)
def test_grade_is_memory_exactly_where_the_source_is(table: str) -> None:
    kinds = source_kinds()
    odd = [
        (r["id"], r["grade"], r["source"])
        for r in rows(table)
        if (r["grade"] == "memory") != (kinds.get(r["source"], r["grade"]) == "memory")
    ]
    assert odd == []


@pytest.mark.parametrize(("table", "columns"), ORDER.items())
def test_rows_are_sorted(table: str, columns: tuple[str, ...]) -> None:
    keys = [tuple(r[c] for c in columns) for r in rows(table)]
    wrong = [pair for pair in pairwise(keys) if pair[0] > pair[1]]
    assert wrong == [], "Run: python -m hlbcore tables --sort"


def test_every_table_that_is_read_by_id_or_key_has_its_order() -> None:
    headed = {
        p.stem
        for p in data_folder().glob("*.csv")
        if p.read_text("utf-8").split(",", 1)[0] in ("id", "key", "alias")
    }
    assert headed == set(ORDER)


@pytest.mark.parametrize(
    ("table", "columns"),
    [("emulsifier_hlb", ("id", "source")), ("required_hlb", ("id", "emulsion", "source"))],
)
def test_one_source_gives_one_reading(table: str, columns: tuple[str, ...]) -> None:
    assert repeated(["/".join(r[c] for c in columns) for r in rows(table)]) == []


@pytest.mark.parametrize("table", TABLES)
def test_files_are_plain_utf8_with_unix_line_ends(table: str) -> None:
    raw = (data_folder() / f"{table}.csv").read_bytes()
    assert not raw.startswith(b"\xef\xbb\xbf")
    assert b"\r" not in raw
    assert raw.endswith(b"\n")
    raw.decode("utf-8")


@pytest.mark.parametrize("table", TABLES)
def test_cells_have_no_outer_blanks(table: str) -> None:
    assert [r for r in rows(table) if any(v != v.strip() for v in r.values())] == []


def test_required_hlb_stands_with_oil_phase_ingredients_alone() -> None:
    side = {r["id"]: r["convention"] for r in rows("ingredients")}
    odd = {r["id"] for r in rows("required_hlb") if side[r["id"]] not in OIL_SIDE}
    assert odd == set()


def test_own_hlb_stands_with_emulsifiers_alone() -> None:
    side = {r["id"]: r["convention"] for r in rows("ingredients")}
    odd = {r["id"] for r in rows("emulsifier_hlb") if side[r["id"]] in ("oil", "base", "outside")}
    assert odd == set()


def test_charge_stands_with_emulsifiers_alone() -> None:
    side = {"emulsifier", "all_in_one", "emulsifier_or_oil", "oil_or_emulsifier"}
    charges = {"nonionic", "anionic", "cationic", "amphoteric", ""}
    odd = [
        r["id"]
        for r in rows("ingredients")
        if r["charge"] not in charges or (r["charge"] and r["convention"] not in side)
    ]
    assert odd == []


def test_there_are_at_least_90_oil_phase_ingredients_with_a_reading(library: Library) -> None:
    assert sum(bool(i.ow_readings or i.wo_readings) for i in library.oils) >= 90


def test_there_are_at_least_80_emulsifiers_with_a_reading(library: Library) -> None:
    assert sum(bool(i.hlb_readings) for i in library.emulsifiers) >= 80


def test_required_hlb_of_glyceryl_stearate_is_not_its_own_hlb(library: Library) -> None:
    both = library.find("glyceryl stearate")
    own, required = both.hlb, both.required_hlb("o/w")
    assert own is not None
    assert required is None or required.value != own.value
    assert {r.value for r in both.ow_readings}.isdisjoint(r.value for r in both.hlb_readings)


def test_polysorbate_65_has_no_reading_at_15(library: Library) -> None:
    # 15 belongs to polysorbate 80 and 60; lists mix them up
    held = library.emulsifier("polysorbate 65").hlb_readings
    assert held
    assert all(r.value < 14 for r in held)


def test_beeswax_has_no_hlb_of_its_own(library: Library) -> None:
    assert library.find("beeswax").hlb_readings == ()


@pytest.mark.parametrize("table", HLB_TABLES)
def test_every_source_of_an_hlb_has_its_root_and_place(table: str) -> None:
    judged = {r["key"] for r in rows("sources") if r["root"] and r["place"]}
    assert {r["source"] for r in rows(table)} - judged == set()


@pytest.mark.parametrize("table", HLB_TABLES)
def test_second_hand_shop_pages_are_craft_without_a_root(table: str) -> None:
    odd = [
        (r["id"], r["source"])
        for r in rows(table)
        if r["source"].startswith("supplier_page_b") and r["grade"] != "craft"
    ]
    assert odd == []
    roots = {r["key"]: r["root"] for r in rows("sources")}
    assert {v for k, v in roots.items() if k.startswith("supplier_page_b")} == {NO_ROOT}


def test_what_is_measured_has_no_second_hand() -> None:
    place = {r["key"]: r["place"] for r in rows("sources")}
    held = [r for table in HLB_TABLES for r in rows(table) if r["grade"] == "measured"]
    assert {place[r["source"]] for r in held} == {"1"}


def test_a_label_name_is_another_than_the_ingredients_own() -> None:
    own = {r["id"]: fold(r["inci"]) for r in rows("ingredients")}
    held = [r for r in rows("aliases") if r["label_inci"]]
    assert held
    assert [r for r in held if fold(r["label_inci"]) in ("", own[r["id"]])] == []


def test_no_alias_holds_a_strength_that_would_be_lost() -> None:
    odd = [r["alias"] for r in rows("aliases") if re.search(r"(acid|lactate|sorbitol) \d+ %", r["alias"])]
    assert odd == []
