from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from hlbcore import (
    Formula,
    InvalidInput,
    Line,
    OwnIngredient,
    OwnReading,
    Store,
    example_formula,
    load_library,
)
from hlbcore.errors import Conflict, NotSaved
from hlbcore.kept.benches import stamp_of
from hlbcore.kept.versions import Version, checked_uid, local_time
from hlbcore.limits import TEXT_MOST

CREAM = example_formula()
NOWHERE = "0" * 32


def titled(title: str) -> Formula:
    return replace(CREAM, name=title)


@pytest.fixture
def store() -> Iterator[Store]:
    with Store(in_memory=True) as opened:
        yield opened


@pytest.fixture
def chain(store: Store) -> list[Version]:
    """Three states of one formula, each made from the one before."""
    states = [store.save(titled("a"))]
    states += [store.save(titled("b"), on=states[-1])]
    states += [store.save(titled("c"), on=states[-1])]
    return states


# versions


def test_a_saved_formula_comes_back_as_it_was(store: Store) -> None:
    kept = store.save(CREAM)
    assert store.version(kept.uid).body == store.open(kept.work).body == CREAM


def test_a_version_holds_who_what_why_when_figures_and_digest(store: Store) -> None:
    kept = store.save(
        CREAM,
        who="bench two",
        what="more shea",
        why="too thin",
        digest="d1",
        figures={"required": 7.25, "word": "inside"},
    )
    again = store.version(kept.uid)
    assert (again.who, again.what, again.why, again.digest) == ("bench two", "more shea", "too thin", "d1")
    assert again.figures == {"required": 7.25, "word": "inside"}
    assert again.at.endswith("Z")
    assert again == kept


def test_versions_count_from_one_within_each_formula(store: Store) -> None:
    first = store.save(titled("a"))
    second = store.save(titled("b"), on=first)
    assert [v.number for v in (first, second, store.save(titled("other")))] == [1, 2, 1]
    assert second.parent == first.uid
    assert second.work == first.work


def test_what_changed_is_worded_where_nobody_says_it(store: Store) -> None:
    first = store.save(CREAM)
    assert first.what == "first state"
    assert store.save(replace(CREAM, aims=replace(CREAM.aims, window="2")), on=first).what == "window 1 → 2"


def test_a_reason_marks_the_version_as_kept(store: Store) -> None:
    assert [store.save(CREAM, why=why).kept for why in ("", "sold")] == [False, True]


def test_figures_that_are_no_numbers_are_left_out(store: Store) -> None:
    kept = store.save(CREAM, figures={"required": float("nan"), "blend": float("inf"), "total": 5})
    assert kept.figures == {"total": 5}


def test_the_history_lists_the_newest_first(store: Store, chain: list[Version]) -> None:
    table = store.history(chain[0].work)
    assert table.columns.tolist() == [
        "version",
        "at",
        "who",
        "what",
        "why",
        "kept",
        "current",
        "uid",
        "parent",
    ]
    assert table["version"].tolist() == [3, 2, 1]
    assert table["uid"].tolist() == [v.uid for v in reversed(chain)]
    assert table["parent"].tolist() == [chain[1].uid, chain[0].uid, ""]
    assert table["current"].tolist() == [True, False, False]


def test_the_history_of_an_unknown_formula_is_empty(store: Store) -> None:
    assert store.history(NOWHERE).empty


@pytest.mark.parametrize("ask", [Store.version, Store.open], ids=["version", "formula"])
def test_what_is_not_in_the_file_is_named_with_the_mend(store: Store, ask: object) -> None:
    assert callable(ask)
    with pytest.raises(InvalidInput, match=r"^formula: it is not in the file\. Choose one"):
        ask(store, NOWHERE)


def test_a_state_made_from_one_that_is_not_here_is_not_saved(store: Store) -> None:
    with Store(in_memory=True) as other:
        strange = other.save(CREAM)
    with pytest.raises(NotSaved, match=r"not in the file\. Save it as a new formula"):
        store.save(CREAM, on=strange)
    assert store.formulas().empty


def test_a_state_made_from_a_lost_version_is_not_saved(store: Store) -> None:
    lost = replace(store.save(CREAM), uid=NOWHERE)
    with pytest.raises(NotSaved, match="Save it as a new formula"):
        store.save(CREAM, on=lost)


@pytest.mark.parametrize("name", ["who", "what", "why"])
def test_a_text_that_is_too_long_is_refused_before_anything_is_written(store: Store, name: str) -> None:
    texts = {name: "x" * (TEXT_MOST + 1)}
    with pytest.raises(InvalidInput, match="Shorten it"):
        store.save(CREAM, **texts)  # type: ignore[arg-type]
    assert store.formulas().empty


@pytest.mark.parametrize(
    "text",
    [
        "",
        "' OR 1=1; DROP TABLE formula; --",
        "<script>alert(1)</script>",
        "=1+1",
        "a\x00b\r\nc",
        "\u202ecream\u0301 \U0001f9f4",
        "%_\\ \"'",
    ],
    ids=["blank", "sql", "script", "spreadsheet", "controls", "odd signs", "wildcards"],
)
def test_any_text_is_kept_letter_by_letter(store: Store, text: str) -> None:
    formula = Formula(text, lines=[Line(text, text, own=text, note=text)], portions=text, note=text)
    kept = store.save(formula, who=text, why=text)
    again = store.open(kept.work)
    assert (again.body, again.who, again.why) == (formula, text, text)


@pytest.mark.parametrize(
    "write",
    [
        lambda s: s.save(Formula(name="\ud800")),
        lambda s: s.save(CREAM, why="\udfff"),
        lambda s: s.set_setting("who", "\ud800"),
        lambda s: s.mark(s.save(CREAM), "\ud800"),
    ],
    ids=["title", "reason", "setting", "mark"],
)
def test_half_a_sign_gives_a_sentence(store: Store, write: object) -> None:
    assert callable(write)
    with pytest.raises((NotSaved, InvalidInput), match="half a sign"):
        write(store)


def test_searching_for_half_a_sign_gives_a_sentence(store: Store) -> None:
    with pytest.raises(NotSaved, match="half a sign"):
        store.formulas("\ud800")


# undo and redo


def test_undo_leads_to_the_parent(store: Store, chain: list[Version]) -> None:
    before = store.before(chain[2])
    assert before == chain[1]
    store.point_at(chain[1], on=chain[2])
    assert store.open(chain[0].work) == chain[1]


def test_there_is_nothing_before_the_first_state(store: Store) -> None:
    assert store.before(store.save(CREAM)) is None


def test_there_is_nothing_after_the_newest_state(store: Store, chain: list[Version]) -> None:
    assert store.after(chain[2]) is None


def test_redo_leads_back(store: Store, chain: list[Version]) -> None:
    store.point_at(chain[1], on=chain[2])
    assert store.after(chain[1]) == chain[2]
    store.point_at(chain[2], on=chain[1])
    assert store.open(chain[0].work) == chain[2]


def test_undo_deletes_nothing(store: Store, chain: list[Version]) -> None:
    store.point_at(chain[0], on=chain[2])
    table = store.history(chain[0].work)
    assert len(table) == 3
    assert table.loc[table["current"], "version"].tolist() == [1]


def test_undo_brings_the_name_in_the_list_back(store: Store, chain: list[Version]) -> None:
    store.point_at(chain[0], on=chain[2])
    assert store.formulas()["name"].tolist() == ["a"]
    assert store.formulas("a")["uid"].tolist() == [chain[0].work]


def test_a_change_after_undo_starts_a_branch_and_keeps_the_other(store: Store, chain: list[Version]) -> None:
    store.point_at(chain[1], on=chain[2])
    branch = store.save(titled("d"), on=chain[1])
    assert (branch.number, branch.parent) == (4, chain[1].uid)
    assert store.version(chain[2].uid) == chain[2]
    assert store.before(branch) == chain[1]


def test_redo_takes_the_newest_branch(store: Store, chain: list[Version]) -> None:
    store.point_at(chain[1], on=chain[2])
    branch = store.save(titled("d"), on=chain[1])
    store.point_at(chain[1], on=branch)
    assert store.after(chain[1]) == branch


def test_undo_in_a_stale_window_changes_nothing(store: Store, chain: list[Version]) -> None:
    with pytest.raises(Conflict) as caught:
        store.point_at(chain[0], on=chain[1])
    assert caught.value.theirs == chain[2].uid
    assert store.open(chain[0].work) == chain[2]


def test_two_windows_that_undo_the_same_step_agree(store: Store, chain: list[Version]) -> None:
    for _ in range(2):
        assert store.point_at(chain[1], on=chain[2]) == chain[1]
    assert store.open(chain[0].work) == chain[1]


def test_two_windows_that_make_the_same_change_make_one_version(store: Store, chain: list[Version]) -> None:
    mine, theirs = (store.save(titled("d"), on=chain[2]) for _ in range(2))
    assert mine == theirs
    assert len(store.history(mine.work)) == 4


def test_the_list_stays_in_order_when_the_clock_goes_back(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name, at in (
        ("first", "2026-03-01T12:00"),
        ("second", "2026-02-01T09:00"),
        ("third", "2026-02-02T09:00"),
    ):
        monkeypatch.setattr("hlbcore.kept.store.now", lambda at=at: f"{at}:00.000000Z")
        store.save(titled(name))
    assert store.formulas()["name"].tolist() == ["third", "second", "first"]


def test_a_formula_never_points_at_a_version_of_another(store: Store, chain: list[Version]) -> None:
    with pytest.raises(InvalidInput, match="belongs to another formula"):
        store.point_at(store.save(CREAM), on=chain[2])


def test_restore_puts_an_old_state_on_top(store: Store, chain: list[Version]) -> None:
    back = store.restore(chain[0], on=chain[2], who="me")
    assert (back.number, back.body, back.who) == (4, chain[0].body, "me")
    assert (back.what, back.parent) == ("version 1 restored", chain[2].uid)
    assert store.open(back.work) == back


def test_a_restored_state_keeps_its_figures(store: Store) -> None:
    first = store.save(titled("a"), figures={"required": 7.0}, digest="then")
    back = store.restore(first, on=store.save(titled("b"), on=first))
    assert (back.figures, back.digest) == ({"required": 7.0}, "then")


def test_a_mark_holds_the_reason(store: Store, chain: list[Version]) -> None:
    marked = store.mark(chain[1], "passed the cold week")
    assert (marked.why, marked.kept) == ("passed the cold week", True)
    assert (marked.body, marked.number) == (chain[1].body, 2)


def test_a_blank_reason_takes_the_mark_away(store: Store, chain: list[Version]) -> None:
    assert not store.mark(store.mark(chain[1], "good"), "  ").kept


def test_a_reason_that_another_window_gave_is_not_overwritten(store: Store, chain: list[Version]) -> None:
    store.mark(chain[1], "held four weeks")
    with pytest.raises(NotSaved, match=r"'held four weeks'.*'smells odd'"):
        store.mark(chain[1], "smells odd")
    assert store.version(chain[1].uid).why == "held four weeks"


# two at once


def test_a_stale_save_is_kept_beside_the_newer_state(store: Store) -> None:
    first = store.save(titled("a"))
    theirs = store.save(titled("theirs"), on=first)
    with pytest.raises(Conflict) as caught:
        store.save(titled("mine"), on=first)
    mine = store.version(caught.value.mine)
    assert caught.value.theirs == theirs.uid
    assert (mine.body.name, mine.parent, mine.number) == ("mine", first.uid, 3)
    assert store.open(first.work) == theirs


def test_a_conflict_says_what_to_do() -> None:
    assert str(Conflict("a", "b")).startswith("This formula was changed in another window")
    assert "Both states are kept" in str(Conflict("a", "b"))


def test_mine_can_go_on_top_after_a_conflict(store: Store) -> None:
    first = store.save(titled("a"))
    theirs = store.save(titled("theirs"), on=first)
    with pytest.raises(Conflict) as caught:
        store.save(titled("mine"), on=first)
    top = store.save(store.version(caught.value.mine).body, on=theirs)
    assert store.open(first.work).body.name == top.body.name == "mine"


def test_two_stores_on_one_file_see_each_other(tmp_path: Path) -> None:
    with Store(tmp_path / "w.db") as one, Store(tmp_path / "w.db") as two:
        kept = one.save(CREAM)
        assert two.open(kept.work) == kept


def test_threads_share_one_store(store: Store) -> None:
    first = store.save(CREAM)
    done: list[str] = []

    def work(n: int) -> None:
        for k in range(5):
            done.append(store.save(titled(f"{n} {k}")).uid)
            store.history(first.work)

    threads = [threading.Thread(target=work, args=(n,)) for n in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(set(done)) == 30
    assert len(store.formulas()) == 31


# the list


def test_the_last_changed_stands_first(store: Store) -> None:
    first = store.save(titled("a"))
    store.save(titled("b"))
    assert store.formulas()["name"].tolist() == ["b", "a"]
    store.save(titled("a2"), on=first)
    assert store.formulas()["name"].tolist() == ["a2", "b"]


def test_the_list_has_its_columns_and_counts_versions(store: Store, chain: list[Version]) -> None:
    table = store.formulas()
    assert table.columns.tolist() == ["name", "product", "changed", "versions", "uid"]
    assert table.iloc[0][["product", "versions", "uid"]].tolist() == [
        chain[0].body.product_type,
        3,
        chain[0].work,
    ]


def test_a_formula_without_a_title_has_a_name_in_the_list(store: Store) -> None:
    store.save(titled(""))
    assert store.formulas()["name"].tolist() == ["sunflower oil, shea butter"]


def test_a_formula_without_title_and_lines_has_a_name_in_the_list(store: Store) -> None:
    store.save(Formula(""))
    assert store.formulas()["name"].tolist() == ["No name yet"]


@pytest.mark.parametrize(
    "search",
    ["hand", "HAND cream", "cream hand", "o/w", "Shea", "polysorbate", "xanthan", " "],
    ids=["title", "case", "any order", "product", "oil", "emulsifier", "gum", "blank"],
)
def test_a_search_looks_through_name_product_and_ingredients(store: Store, search: str) -> None:
    store.save(
        Formula("Hand cream", lines=[Line(n, "5") for n in ("shea butter", "polysorbate 60", "xanthan gum")])
    )
    store.save(Formula("balm", "cleansing balm", [Line("olive oil")]))
    assert "Hand cream" in store.formulas(search)["name"].tolist()


def test_all_words_of_a_search_must_be_there(store: Store) -> None:
    store.save(titled("hand cream"))
    assert store.formulas("hand lotion").empty


@pytest.mark.parametrize("search", ["%", "_", "'", '"', "*", "hand' OR '1'='1"])
def test_signs_in_a_search_mean_themselves(store: Store, search: str) -> None:
    store.save(Formula(name="hand cream"))
    assert store.formulas(search).empty


def test_a_formula_put_away_leaves_the_list_and_stays_in_the_file(store: Store) -> None:
    kept = store.save(CREAM)
    store.put_away(kept.work)
    assert store.formulas().empty
    assert store.formulas(removed=True)["uid"].tolist() == [kept.work]
    assert store.open(kept.work) == kept


def test_a_formula_can_be_brought_back(store: Store) -> None:
    kept = store.save(CREAM)
    store.put_away(kept.work)
    store.bring_back(kept.work)
    assert store.formulas()["uid"].tolist() == [kept.work]
    assert store.formulas(removed=True).empty


def test_it_is_known_whether_a_formula_is_here(store: Store) -> None:
    assert store.has(store.save(CREAM).work)
    assert not store.has(NOWHERE)


# own figures


OWN = (
    OwnReading("shea butter", 9.0, 8.0, 10.0, pair="a with b", dose_pct=4.0, on="2026-03-01"),
    OwnIngredient("meadow butter", "butter"),
)


def test_own_figures_come_back_in_their_order(store: Store) -> None:
    uids = store.add_own(*OWN, who="me")
    held = store.own()
    assert tuple(uid for uid, *_ in held) == uids
    assert store.overlay() == OWN
    assert {who for _, _, who, _ in held} == {"me"}


def test_an_own_reading_leads_over_the_tables(store: Store) -> None:
    store.add_own(OWN[0])
    led = load_library(overlay=store.overlay()).oil("shea butter").required_hlb()
    assert led.value == 9.0


def test_a_withdrawn_figure_stays_in_the_file(store: Store) -> None:
    first, second = store.add_own(*OWN)
    store.withdraw_own(first)
    assert [uid for uid, *_ in store.own()] == [second]
    assert [(uid, item) for uid, item, *_ in store.own(withdrawn=True)] == [(first, OWN[0])]


def test_a_withdrawn_figure_can_be_used_again(store: Store) -> None:
    first, _ = store.add_own(*OWN)
    store.withdraw_own(first)
    store.use_own_again(first)
    assert store.overlay() == OWN


# settings


def test_a_setting_has_its_default_until_it_is_set(store: Store) -> None:
    assert store.setting("who", "nobody") == "nobody"
    store.set_setting("who", "bench two")
    store.set_setting("who", "bench three")
    assert store.setting("who", "nobody") == "bench three"


def test_a_setting_that_is_too_long_is_refused(store: Store) -> None:
    with pytest.raises(InvalidInput, match="setting who"):
        store.set_setting("who", "x" * (TEXT_MOST + 1))


# all or nothing


def test_what_fails_half_way_leaves_nothing(store: Store) -> None:
    def half() -> None:
        with store.writing() as link:
            link.execute("INSERT INTO setting VALUES ('half', 'done')")
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        half()
    assert store.setting("half") == ""
    store.set_setting("half", "whole")
    assert store.setting("half") == "whole"


def test_memory_that_is_used_up_gives_a_sentence_and_keeps_what_is_there() -> None:
    with Store(in_memory=True, most_bytes=200_000) as store:
        first = store.save(CREAM)

        def fill() -> None:
            for _ in range(100):
                store.save(replace(CREAM, note="x" * 19_000))

        with pytest.raises(NotSaved, match=r"session cannot hold more\. Export everything"):
            fill()
        assert store.open(first.work) == first
        store.put_away(first.work)
        assert first.work not in store.formulas()["uid"].tolist()


def test_sessions_in_memory_do_not_see_each_other(store: Store) -> None:
    store.save(CREAM)
    with Store(in_memory=True) as other:
        assert other.formulas().empty


def test_a_closed_store_says_so_in_a_sentence() -> None:
    store = Store(in_memory=True)
    store.close()
    store.close()
    with pytest.raises(NotSaved, match="closed"):
        store.save(CREAM)


# words around


@pytest.mark.parametrize("uid", ["", "x", "0" * 31, "g" * 32, "../" * 11, "0" * 33])
def test_an_odd_identity_in_an_address_is_refused(uid: str) -> None:
    with pytest.raises(InvalidInput, match="names none"):
        checked_uid(uid)


def test_an_identity_may_be_written_in_capitals() -> None:
    assert checked_uid(" " + "AB" * 16) == "ab" * 16


@pytest.mark.parametrize("at", ["", "yesterday", "0001-01-01T00:00:00Z", "9999-12-31T23:59:59Z"])
def test_an_odd_time_from_another_hand_is_shown_not_raised(at: str) -> None:
    assert isinstance(local_time(at), str)


def test_the_stamp_changes_with_all_that_is_written(tmp_path: Path) -> None:
    with Store(tmp_path / "kept.db") as store, Store(tmp_path / "kept.db") as other:
        first = stamp_of(store)
        assert stamp_of(store) == first
        store.set_setting("who", "Ada")
        second = stamp_of(store)
        assert second != first
        other.set_setting("who", "Bea")
        assert stamp_of(store) != second
