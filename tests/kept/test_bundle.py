from __future__ import annotations

import hashlib
import io
import json
import struct
import warnings
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

import pytest

from hlbcore import (
    Formula,
    InvalidInput,
    OwnIngredient,
    OwnReading,
    Store,
    example_formula,
    export_all,
    import_all,
    plan_import,
)
from hlbcore.errors import NotSaved
from hlbcore.kept import _archive
from hlbcore.kept.export import own_table
from hlbcore.kept.versions import Version

CREAM = example_formula()
UID = "0123456789abcdef" * 2


@pytest.fixture
def store() -> Iterator[Store]:
    with Store(in_memory=True) as opened:
        yield opened


@pytest.fixture
def other() -> Iterator[Store]:
    with Store(in_memory=True) as opened:
        yield opened


@pytest.fixture
def full(store: Store) -> Store:
    """Two formulas, one of them put away; own figures, one of them withdrawn; a setting."""
    first = store.save(CREAM, who="me", why="good", figures={"required": 7.0, "word": "inside"})
    second = store.save(replace(CREAM, aims=replace(CREAM.aims, window="2")), on=first, digest="d")
    store.point_at(first, on=second)
    store.put_away(store.save(Formula(name="=old <b>é\U0001f9f4</b>")).work)
    store.add_own(OwnReading("shea butter", 9.0, pair="a"), OwnIngredient("meadow butter"), who="me")
    store.withdraw_own(store.add_own(OwnReading("beeswax", 10.0))[0])
    store.set_setting("who", "me")
    return store


def dump(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """All rows of all tables."""
    with store.reading() as link:
        return {
            table: sorted(link.execute(f"SELECT * FROM {table}").fetchall(), key=repr)
            for table in ("formula", "version", "own", "setting")
        }


def parts(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as z:
        return {n: z.read(n) for n in z.namelist()}


def packed(files: dict[str, bytes], pack: int = zipfile.ZIP_DEFLATED) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", pack) as z:
        for name, body in files.items():
            z.writestr(name, body)
    return held.getvalue()


def sealed(files: dict[str, bytes], /, **manifest: object) -> bytes:
    """A zip whose checksums are right."""
    files = {n: b for n, b in files.items() if n != "manifest.json"}
    listed = [{"name": n, "sha256": hashlib.sha256(b).hexdigest()} for n, b in files.items()]
    head = {"schema": "hlbcore kept work", "version": 1, "files": listed} | manifest
    return packed({"manifest.json": json.dumps(head).encode(), **files})


def carried(source: Store, target: Store) -> int:
    return import_all(target, plan_import(target, export_all(source)))


def does(target: Store, data: bytes) -> list[str]:
    return plan_import(target, data).table["does"].tolist()


# there and back


def test_everything_comes_back_as_it_was(full: Store, other: Store) -> None:
    carried(full, other)
    assert dump(other) == dump(full)


def test_a_second_import_does_nothing(full: Store, other: Store) -> None:
    carried(full, other)
    before = dump(other)
    plan = plan_import(other, export_all(full))
    assert (plan.count, import_all(other, plan)) == (0, 0)
    assert set(plan.table["does"]) == {"nothing: it is here already"}
    assert dump(other) == before


def test_an_empty_store_goes_there_and_back(store: Store, other: Store) -> None:
    assert carried(store, other) == 0


def test_a_plan_changes_nothing_and_says_what_an_import_will_do(full: Store, other: Store) -> None:
    plan = plan_import(other, export_all(full))
    assert other.formulas().empty
    assert plan.table.columns.tolist() == ["what", "name", "does"]
    assert sorted(plan.table["does"]) == sorted(
        [
            "comes in as a new formula with 2 versions",
            "comes in as a new formula with 1 version",
            "comes in as an own value",
            "comes in as an own value",
            "comes in as an own value, out of use",
            "is set to 'me'",
        ]
    )
    assert plan.count == 6


def test_only_what_is_chosen_comes_in(full: Store, other: Store) -> None:
    plan = plan_import(other, export_all(full))
    assert import_all(other, plan, only=[plan.items[0].uid]) == 1
    assert len(dump(other)["formula"]) == 1
    assert dump(other)["own"] == dump(other)["setting"] == []


def test_the_file_can_be_read_without_this_tool(full: Store) -> None:
    held = parts(export_all(full))
    manifest = json.loads(held["manifest.json"])
    assert {f["name"] for f in manifest["files"]} == set(held) - {"manifest.json"}
    for file in manifest["files"]:
        body = held[file["name"]]
        assert (file["bytes"], file["sha256"]) == (len(body), hashlib.sha256(body).hexdigest())
    assert held["formulas.csv"].decode("utf-8-sig").startswith("name,product,changed,versions,uid")
    assert held["own_values.csv"].decode("utf-8-sig").count("shea butter") == 1


def test_no_cell_of_its_tables_runs_in_a_spreadsheet(store: Store) -> None:
    store.save(Formula(name="=HYPERLINK(1)"))
    store.add_own(OwnIngredient("+meadow butter"))
    held = parts(export_all(store))
    cells = (held["formulas.csv"] + held["own_values.csv"]).decode("utf-8-sig").replace("\n", ",")
    assert not [c for c in cells.split(",") if c.strip('"').startswith(("=", "+", "@"))]


def test_the_table_of_own_values_is_empty_without_any(store: Store) -> None:
    assert own_table(store).empty


def test_the_table_of_own_values_names_who_and_leaves_blanks(full: Store) -> None:
    table = own_table(full)
    assert table["name"].tolist() == ["shea butter", "meadow butter"]
    assert table["who"].tolist() == ["me", "me"]
    assert not table.isna().any().any()


@pytest.mark.parametrize("length", [3_000, 20_000])
def test_a_long_reason_goes_there_and_back(store: Store, other: Store, length: int) -> None:
    store.save(CREAM, why="x" * length)
    carried(store, other)
    assert dump(other) == dump(store)


# merging


@pytest.fixture
def shared(store: Store, other: Store) -> tuple[Store, Store, Version]:
    """Two stores that hold one formula."""
    first = store.save(CREAM)
    carried(store, other)
    return store, other, first


def test_a_later_state_goes_on_from_ours(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    second = store.save(replace(CREAM, name="second"), on=first)
    store.save(replace(CREAM, name="third"), on=second)
    assert does(other, export_all(store)) == ["goes on from your state with 2 versions from the file"]
    carried(store, other)
    assert other.open(first.work).body.name == "third"
    assert other.formulas("third")["name"].tolist() == ["third"]
    assert other.history(first.work)["version"].tolist() == [3, 2, 1]


def test_an_earlier_state_changes_nothing_here(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    older = export_all(store)
    newest = other.save(replace(CREAM, name="newer"), on=first)
    assert plan_import(other, older).count == 0
    assert other.open(first.work) == newest


def test_where_both_were_changed_ours_stays_in_front(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    theirs = store.save(replace(CREAM, name="theirs"), on=first)
    ours = other.save(replace(CREAM, name="ours"), on=first)
    (said,) = does(other, export_all(store))
    assert said == (
        "adds 1 version from the file to the history; your state stays in front, since both were changed"
    )
    carried(store, other)
    assert other.open(first.work) == ours
    merged = other.version(theirs.uid)
    assert (merged.body, merged.parent, merged.number) == (theirs.body, first.uid, 3)
    assert plan_import(other, export_all(store)).count == 0


def test_stores_that_import_each_other_hold_the_same_states(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    store.save(replace(CREAM, name="theirs"), on=first)
    other.save(replace(CREAM, name="ours"), on=first)
    carried(store, other)
    carried(other, store)
    uids = [set(s.history(first.work)["uid"]) for s in (store, other)]
    assert uids[0] == uids[1]
    assert len(uids[0]) == 3


def changed(data: bytes, change: Callable[[dict[str, Any]], object]) -> bytes:
    """The file with its first formula changed, checksums right."""
    files = parts(data)
    name = next(n for n in files if n.startswith("formulas/"))
    whole = json.loads(files[name])
    change(whole)
    files[name] = json.dumps(whole).encode()
    return sealed(files)


def test_one_identity_with_other_contents_comes_in_apart(shared: tuple[Store, Store, Version]) -> None:
    store, _, first = shared
    strange = changed(export_all(store), lambda f: f["versions"][0]["sheet"].update(name="not the same"))
    (said,) = does(store, strange)
    assert said == "comes in beside yours as a formula of its own with 1 version: they differ"
    import_all(store, plan_import(store, strange))
    assert store.version(first.uid) == first
    assert sorted(store.formulas()["name"]) == sorted(["not the same", CREAM.name])


def test_what_came_in_apart_comes_in_once(shared: tuple[Store, Store, Version]) -> None:
    store, _, first = shared
    store.save(replace(CREAM, name="second"), on=first)
    strange = changed(export_all(store), lambda f: f["versions"][0]["sheet"].update(name="other"))
    import_all(store, plan_import(store, strange))
    assert plan_import(store, strange).count == 0
    assert len(store.formulas()) == 2


def test_a_version_that_another_formula_holds_comes_in_apart(shared: tuple[Store, Store, Version]) -> None:
    store, _, first = shared
    strange = changed(export_all(store), lambda f: f.update(uid=UID))
    import_all(store, plan_import(store, strange))
    assert len(store.formulas()) == 2
    assert store.version(first.uid) == first


def test_settings_and_own_figures_that_are_here_stay(store: Store, other: Store) -> None:
    uid = store.add_own(OwnReading("shea butter", 9.0))[0]
    carried(store, other)
    store.set_setting("who", "theirs")
    other.set_setting("who", "ours")
    other.withdraw_own(uid)
    assert carried(store, other) == 0
    assert other.setting("who") == "ours"
    assert other.own() == ()


def test_what_differs_and_stays_is_said(store: Store, other: Store) -> None:
    uid = store.add_own(OwnReading("shea butter", 9.0))[0]
    carried(store, other)
    store.set_setting("who", "theirs")
    other.set_setting("who", "ours")
    other.withdraw_own(uid)
    assert does(other, export_all(store)) == [
        "nothing: it stays out of use here",
        "nothing: it stays 'ours' here",
    ]


def test_a_reason_comes_in_where_there_is_none(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    store.mark(first, "held four weeks")
    assert does(other, export_all(store)) == ["adds reasons to versions that have none here: 1"]
    carried(store, other)
    there = other.version(first.uid)
    assert (there.why, there.kept) == ("held four weeks", True)


def test_a_reason_that_is_here_stays_and_that_is_said(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    store.mark(first, "theirs")
    other.mark(first, "ours")
    assert does(other, export_all(store)) == ["reasons that differ stay as they are here: 1"]
    assert carried(store, other) == 0
    assert other.version(first.uid).why == "ours"


# all or nothing


def test_an_import_that_fails_leaves_nothing(full: Store, other: Store) -> None:
    plan = plan_import(other, export_all(full))
    last = next(i for i in reversed(plan.items) if i.kind == "formula")
    with other.writing() as link:
        link.execute("PRAGMA defer_foreign_keys = ON")
        row = list(last._rows[0])
        row[1] = UID
        link.execute("INSERT INTO formula VALUES (?, '', '', '', ?, '', '', NULL, 'formula')", (UID, row[0]))
        link.execute("INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", row)
    before = dump(other)
    with pytest.raises(NotSaved, match=r"changed in the meantime\. Look at the newest state"):
        import_all(other, plan)
    assert dump(other) == before


def test_a_change_after_the_plan_is_not_overrun(shared: tuple[Store, Store, Version]) -> None:
    store, other, first = shared
    store.save(replace(CREAM, name="theirs"), on=first)
    plan = plan_import(other, export_all(store))
    ours = other.save(replace(CREAM, name="ours"), on=first)
    with pytest.raises(NotSaved, match="changed in the meantime"):
        import_all(other, plan)
    assert other.open(first.work) == ours


def test_a_session_that_is_full_takes_nothing_of_an_import(store: Store) -> None:
    for n in range(30):
        store.save(replace(CREAM, name=str(n), note="x" * 10_000))
    with Store(in_memory=True, most_bytes=150_000) as small:
        with pytest.raises(NotSaved, match="a session cannot hold more"):
            carried(store, small)
        assert small.formulas().empty
        small.save(Formula())


# files that are refused


def refused(store: Store, data: bytes, words: str) -> None:
    before = dump(store)
    with pytest.raises(InvalidInput, match=words) as caught:
        plan_import(store, data)
    assert caught.value.item == "file"
    assert caught.value.mend
    assert dump(store) == before


@pytest.mark.parametrize(
    "data",
    [b"", b"x", b"PK\x03\x04", b"PK\x05\x06" + bytes(18), b"\0" * 1000, b"{}"],
    ids=["empty", "letter", "begun", "empty zip", "zeros", "json"],
)
def test_what_is_no_file_of_this_tool_is_refused(store: Store, data: bytes) -> None:
    refused(store, data, "it is no zip that can be read|its list of contents cannot be read")


def test_a_file_cut_short_is_refused(full: Store) -> None:
    data = export_all(full)
    for share in (3, 50, 90, 99):
        refused(full, data[: len(data) * share // 100], "it is no zip that can be read")


def test_a_changed_file_is_refused_by_its_checksum(full: Store) -> None:
    files = parts(export_all(full))
    files["settings.json"] = b'{"who": "them"}'
    refused(full, packed(files), r"'settings\.json' was changed or damaged: its checksum differs")


@pytest.mark.parametrize("name", ["settings.json", "formulas.csv"])
def test_a_file_that_is_missing_inside_is_named(full: Store, name: str) -> None:
    files = parts(export_all(full))
    del files[name]
    refused(full, packed(files), f"'{name}' is missing, or not in its list of contents")


def test_a_file_that_was_added_is_named(full: Store) -> None:
    files = parts(export_all(full)) | {"more.txt": b"x"}
    refused(full, packed(files), r"'more\.txt' is missing, or not in its list of contents")


@pytest.mark.parametrize(
    "name", ["../x.json", "formulas/../../x.json", "/etc/x.json", "\\x.json", "..\\x.json"]
)
def test_a_name_that_leads_elsewhere_is_refused(store: Store, name: str) -> None:
    refused(store, sealed({name: b"{}"}), "is no name of a file of this tool")


def test_two_files_of_one_name_are_refused(full: Store) -> None:
    held = io.BytesIO(export_all(full))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(held, "a") as z:
            z.writestr("settings.json", b"{}")
    refused(full, held.getvalue(), "two files of one name")


def test_a_zip_bomb_is_refused_before_it_is_unpacked(store: Store) -> None:
    data = sealed({"own.json": b" " * 30_000_000})
    assert len(data) < 50_000
    refused(store, data, "it would unpack to more than a file of this tool can hold")


@pytest.mark.parametrize("size", [10, 2**31], ids=["too small", "too large"])
def test_a_size_that_lies_is_refused(store: Store, size: int) -> None:
    data = bytearray(sealed({"own.json": b"[" + b" " * 100_000 + b"]"}))
    at = data.index(b"PK\x01\x02", data.index(b"PK\x01\x02") + 1)
    struct.pack_into("<I", data, at + 24, size)  # in the list of contents of the zip
    local = data.index(b"PK\x03\x04", 4)
    struct.pack_into("<I", data, local + 22, size)
    refused(store, bytes(data), "no zip that can be read|larger than it says|would unpack to more")


def test_a_file_that_is_too_large_is_refused(full: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_archive, "MOST_BYTES", 1000)
    refused(full, export_all(full), "it is larger than 0.001 MB")


def test_too_many_files_are_refused(full: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(_archive, "MOST_FILES", 3)
    refused(full, export_all(full), "it holds more than 3 files")


@pytest.mark.parametrize("pack", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA], ids=["bzip2", "lzma"])
def test_a_packing_that_may_ask_for_much_memory_is_refused(full: Store, pack: int) -> None:
    refused(full, packed(parts(export_all(full)), pack), "packed in a way")


def test_a_locked_zip_is_refused(full: Store) -> None:
    data = bytearray(export_all(full))
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(mark) + at] |= 1
    refused(full, bytes(data), "it is no zip that can be read")


def test_a_file_of_a_later_version_is_refused(store: Store) -> None:
    refused(store, sealed({}, version=2), "a later version of this tool wrote it")


@pytest.mark.parametrize(
    "head",
    [
        {"schema": "other"},
        {"version": "1"},
        {"version": 0},
        {"version": True},
        {"version": None},
        {"version": 1e999},
        {"files": None},
        {"files": [1]},
        {"files": {}, "schema": []},
    ],
    ids=str,
)
def test_an_odd_list_of_contents_is_refused(store: Store, head: dict[str, object]) -> None:
    refused(store, sealed({}, **head), "its list of contents cannot be read")


@pytest.mark.parametrize("name", ["own.json", "settings.json", "formulas/a.json"])
@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"null",
        b"1",
        b'"x"',
        b"[1]",
        b'{"a": 1}',
        b"[[]]",
        b"[{}]",
        b"[null]",
        b"{} {}",
        b"\xff",
        b"[" * 5_000,
        b'{"a": NaN}',
        b'[{"uid": Infinity}]',
        b'{"a": "\\ud800"}',
        b'{"\\ud800": "a"}',
    ],
    ids=lambda b: repr(b[:20]),
)
def test_a_part_of_another_kind_is_refused(store: Store, name: str, body: bytes) -> None:
    if name == "settings.json" and body == b'{"a": 1}':
        body = b'{"a": [1]}'
    refused(store, sealed({name: body}), "it cannot be read")


def whole() -> dict[str, Any]:
    version = {
        "uid": UID,
        "number": 1,
        "parent": None,
        "at": "",
        "who": "",
        "what": "",
        "why": "",
        "kept": False,
        "digest": "",
        "figures": {},
        "sheet": {},
    }
    return {
        "uid": UID[::-1],
        "current": UID,
        "created": "",
        "changed": "",
        "removed": None,
        "versions": [version],
    }


def test_the_smallest_formula_is_read(store: Store) -> None:
    data = sealed({"formulas/a.json": json.dumps(whole()).encode()})
    import_all(store, plan_import(store, data))
    assert store.open(UID[::-1]).body == Formula.from_json("{}")


LONG = "x" * 21_000
NO_TEXT: list[object] = [None, 1, True, [], {}, LONG]
NO_UID: list[object] = [*NO_TEXT, "", "1", "g" * 32, "F" * 32]
NO_LIST: list[object] = [None, 1, [], {}, "x", [None], [[]], [{}]]
WRONG: dict[tuple[Any, ...], list[object]] = {
    ("uid",): NO_UID,
    ("current",): [*NO_UID, "f" * 32],
    ("created",): NO_TEXT,
    ("changed",): NO_TEXT,
    ("removed",): NO_TEXT[1:],
    ("versions",): NO_LIST,
    ("versions", 0): [None, 1, [], {}, "x"],
    ("versions", 0, "uid"): NO_UID,
    ("versions", 0, "number"): [None, True, "1", -1, 0, 1.5, 10**30, [], {}],
    ("versions", 0, "parent"): [*NO_UID[1:], UID, "f" * 32],
    **{("versions", 0, n): NO_TEXT for n in ("at", "who", "what", "why", "digest")},
    ("versions", 0, "figures"): [None, 1, [], "x", {"a": None}, {LONG: 1}],
    ("versions", 0, "sheet"): [None, 1, [], "x", {"odd": 1}, {"lines": 1}, {"title": LONG}],
}


@pytest.mark.parametrize("place", WRONG, ids=str)
def test_a_wrong_kind_of_value_is_refused_wherever_it_stands(store: Store, place: tuple[Any, ...]) -> None:
    for wrong in WRONG[place]:
        formula = whole()
        holder: Any = formula
        for key in place[:-1]:
            holder = holder[key]
        holder[place[-1]] = wrong
        with pytest.raises(InvalidInput, match=r"it cannot be read|Shorten"):
            plan_import(store, sealed({"formulas/a.json": json.dumps(formula).encode()}))


@pytest.mark.parametrize("place", WRONG, ids=str)
def test_a_value_that_is_missing_is_refused(store: Store, place: tuple[Any, ...]) -> None:
    formula = whole()
    holder: Any = formula
    for key in place[:-1]:
        holder = holder[key]
    del holder[place[-1]]
    refused(store, sealed({"formulas/a.json": json.dumps(formula).encode()}), "it cannot be read")


@pytest.mark.parametrize("figure", [None, True, [], {}, 1e308, "x" * 300], ids=str)
def test_a_figure_is_a_number_or_a_short_text(store: Store, figure: object) -> None:
    formula = whole()
    formula["versions"][0]["figures"] = {"required": figure}
    refused(store, sealed({"formulas/a.json": json.dumps(formula).encode()}), "it cannot be read")


def test_a_version_that_follows_from_a_missing_one_is_refused(store: Store) -> None:
    formula = whole()
    formula["versions"][0]["parent"] = "f" * 32
    data = sealed({"formulas/a.json": json.dumps(formula).encode()})
    refused(store, data, "do not follow from one another")


@pytest.mark.parametrize("same", ["uid", "number"])
def test_two_versions_of_one_identity_or_number_are_refused(store: Store, same: str) -> None:
    formula = whole()
    version = formula["versions"][0] | {"uid": "f" * 32, "number": 2}
    formula["versions"].append(version | {same: formula["versions"][0][same]})
    data = sealed({"formulas/a.json": json.dumps(formula).encode()})
    refused(store, data, "do not follow from one another")


def test_two_formulas_of_one_identity_are_refused(store: Store) -> None:
    body = json.dumps(whole()).encode()
    data = sealed({"formulas/a.json": body, "formulas/b.json": body})
    refused(store, data, "two things in it have one identity")


def test_two_formulas_that_share_a_version_are_refused(store: Store) -> None:
    bodies = [json.dumps(whole() | {"uid": c * 32}).encode() for c in "ab"]
    data = sealed({"formulas/a.json": bodies[0], "formulas/b.json": bodies[1]})
    refused(store, data, "two things in it have one identity")


def test_two_own_figures_of_one_identity_are_refused(full: Store) -> None:
    files = parts(export_all(full))
    own = json.loads(files["own.json"])
    files["own.json"] = json.dumps([*own, own[0] | {"who": "them"}]).encode()
    refused(full, sealed(files), "two things in it have one identity")


def test_a_formula_that_cannot_be_read_stops_the_import(full: Store) -> None:
    data = changed(export_all(full), lambda f: f["versions"][0]["sheet"].update(note=[1]))
    with pytest.raises(InvalidInput, match="formula: it cannot be read"):
        plan_import(full, data)


def test_a_session_of_a_class_unpacks_no_more_than_it_may_hold(full: Store) -> None:
    data = export_all(full)
    small = Store(in_memory=True, most_bytes=20_000_000)
    assert small.most_unpacked < Store(in_memory=True).most_unpacked
    small.most_unpacked = 1000
    with pytest.raises(InvalidInput, match="unpack to more"):
        plan_import(small, data)
