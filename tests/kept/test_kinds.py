"""Anything can be kept: another kind is one entry, and needs nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import msgspec
import pytest

from hlbcore import InvalidInput, Store, example_formula, export_all, import_all, plan_import
from hlbcore.errors import Conflict
from hlbcore.kept.kinds import KINDS, Kind, Listed

SAVED = Path(__file__).parents[1] / "saved"

# a whole new kind


@dataclass(frozen=True)
class PriceList:
    supplier: str
    prices: dict[str, float]


PRICES = Kind(
    "price list",
    PriceList,
    dump=lambda body: msgspec.json.encode(body).decode(),
    load=lambda text: msgspec.json.decode(text, type=PriceList),
    listed_as=lambda body: Listed(body.supplier, f"{len(body.prices)} prices", tuple(body.prices)),
    changed=lambda before, after: f"{len(set(after.prices.items()) - set(before.prices.items()))} prices",
)

# what it can do with that alone

SPRING = PriceList("Meadow supplies", {"shea butter": 9.5})
SUMMER = PriceList("Meadow supplies", {"shea butter": 10.0, "beeswax": 14.0})


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "w.db", kinds=(*KINDS, PRICES))


def test_it_is_kept_opened_and_listed(store: Store) -> None:
    kept = store.save(SPRING, who="me")
    assert store.open(kept.work, kind=PRICES).body == SPRING
    assert store.listed(PRICES)[["name", "product"]].values.tolist() == [["Meadow supplies", "1 prices"]]
    assert [len(store.listed(PRICES, words)) for words in ("shea", "tallow")] == [1, 0]
    assert store.formulas().empty


def test_its_changes_are_worded_undone_and_done_again(store: Store) -> None:
    first = store.save(SPRING)
    second = store.save(SUMMER, on=first)
    assert second.what == "2 prices"
    store.point_at(first, on=second)
    assert store.open(first.work).body == SPRING
    store.point_at(second, on=first)
    assert store.history(first.work)["what"].tolist() == ["2 prices", "first state"]


def test_two_windows_lose_nothing_of_it(store: Store) -> None:
    first = store.save(SPRING)
    store.save(SUMMER, on=first)
    with pytest.raises(Conflict) as both:
        store.save(PriceList("Meadow supplies", {}), on=first)
    assert store.version(both.value.mine).body.prices == {}


def test_it_is_marked_put_away_and_brought_back(store: Store) -> None:
    kept = store.mark(store.save(SPRING), "agreed by phone")
    store.put_away(kept.work)
    assert store.listed(PRICES).empty
    store.bring_back(kept.work)
    assert store.open(kept.work).why == "agreed by phone"


def test_it_leaves_and_comes_back(store: Store) -> None:
    last = store.save(SUMMER, on=store.save(SPRING))
    with Store(in_memory=True, kinds=(*KINDS, PRICES)) as other:
        plan = plan_import(other, export_all(store))
        assert plan.table["does"].tolist() == ["comes in as a new price list with 2 versions"]
        import_all(other, plan)
        assert other.open(last.work) == last


def test_a_version_of_this_tool_that_does_not_know_it_keeps_the_rest(store: Store) -> None:
    store.save(SPRING)
    store.save(example_formula())
    with Store(in_memory=True) as other:
        import_all(other, plan_import(other, export_all(store)))
        assert len(other.formulas()) == 1


def test_what_no_kind_knows_is_refused(store: Store) -> None:
    with pytest.raises(InvalidInput, match=r"a dict cannot be kept\. Save a formula or a ladder"):
        store.save({"a": 1})


def test_what_could_not_be_read_back_is_not_saved(store: Store) -> None:
    before = store.listed(PRICES)
    with pytest.raises(InvalidInput, match="price list: it cannot be read"):
        store.save(PriceList("Meadow supplies", {"shea butter": "dear"}))  # type: ignore[dict-item]
    assert store.listed(PRICES).equals(before)


# the kinds of today


@pytest.mark.parametrize("kind", KINDS, ids=[kind.name for kind in KINDS])
def test_what_each_kind_wrote_is_read_for_ever(kind: Kind[Any]) -> None:
    files = sorted(SAVED.glob(f"{kind.name}_v*.json"))
    assert files, f"Put a file of its form into tests/saved/{kind.name}_v1.json."
    for file in files:
        body = kind.read(file.read_text("utf-8"))
        assert isinstance(body, kind.of)
        assert kind.read(kind.written(body)) == body
