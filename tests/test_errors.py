from __future__ import annotations

import pickle
from pathlib import Path

import pytest

from hlbcore import HlbError, InvalidInput, MissingValue, StoreError, UnknownIngredient, UnreachableTarget
from hlbcore.errors import (
    Conflict,
    DamagedFile,
    DamagedWork,
    EmptyPhase,
    LostFile,
    NewerFile,
    NotSaved,
    TableError,
    TimeLimitReached,
    clipped,
)

TEXTS = {
    "invalid": (
        InvalidInput("oil phase, 'shea'", "-2 g is negative", "Enter 0 g or more."),
        "oil phase, 'shea': -2 g is negative. Enter 0 g or more.",
    ),
    "empty": (
        EmptyPhase("The oil phase", "Enter an amount."),
        "The oil phase has no amount above 0. Enter an amount.",
    ),
    "unknown, close": (
        UnknownIngredient("shee", ["shea butter", "shea oil"]),
        "'shee' is not in the tables. Did you mean 'shea butter' or 'shea oil'? Otherwise give "
        "it a value of your own (a number, a range, or the range of its kind).",
    ),
    "unknown, nothing close": (
        UnknownIngredient("qqq"),
        "'qqq' is not in the tables. Check the spelling, or give "
        "it a value of your own (a number, a range, or the range of its kind).",
    ),
    "unknown, other side": (
        UnknownIngredient("beeswax", (), "is no emulsifier: it is a wax."),
        "'beeswax' is no emulsifier: it is a wax.",
    ),
    "missing": (
        MissingValue(["a", "b"], "w/o required HLB", "Give a value."),
        "No w/o required HLB is known for 'a', 'b'. Give a value.",
    ),
    "unreachable": (
        UnreachableTarget(16, (4.3, 15.0), ["widen the window to ±1.5"], ["steareth-20 (15.3)"]),
        "HLB 16 cannot be reached: these emulsifiers reach 4.3 to 15.0. "
        "Emulsifiers that would open the way: steareth-20 (15.3). "
        "Smallest change that makes it possible without one: widen the window to ±1.5.",
    ),
    "contradiction": (UnreachableTarget(10, None), "The limits contradict each other, so no blend exists."),
    "too long": (
        TimeLimitReached("The blend", 10.0, "Give fewer emulsifiers."),
        "The blend was not done within 10 s and was stopped. Give fewer emulsifiers.",
    ),
    "table": (
        TableError("aliases.csv", 7, "id", "'x' is not known here"),
        "aliases.csv, line 7, column 'id': 'x' is not known here",
    ),
}
STORED = {
    "lost": (
        LostFile("kept.db", "it was emptied"),
        "Not saved in kept.db: it was emptied. What is open here can be put back in its place, or "
        "written out elsewhere.",
    ),
    "damaged work": (
        DamagedWork("'Balm', version 2,", "it cannot be read."),
        "'Balm', version 2, is damaged in the file: it cannot be read. Open an earlier version of it.",
    ),
    "not saved": (
        NotSaved("kept.db", "the disk is full", "Free some space."),
        "Not saved in kept.db: the disk is full. Free some space.",
    ),
    "newer": (
        NewerFile("kept.db", 3, 1),
        "kept.db was written by a later version of this tool (form 3; this one reads up to 1). "
        "It was not touched. Install the later version, or name another file.",
    ),
    "damaged": (
        DamagedFile("kept.db", Path("aside.db"), Path("day.db")),
        "kept.db is damaged. It now lies at aside.db; nothing was deleted. "
        "The last backup is day.db. Start from it, or with an empty file.",
    ),
    "gone": (
        DamagedFile("kept.db"),
        "kept.db is not there, or could not be read. There is no backup. Start with an empty file.",
    ),
    "conflict": (
        Conflict("a", "b"),
        "This formula was changed in another window in the meantime. Both states are kept: "
        "take theirs, put yours on top, or keep yours as a formula of its own.",
    ),
}
TEXTS |= STORED
CASES = pytest.mark.parametrize(("error", "text"), TEXTS.values(), ids=TEXTS.keys())


@CASES
def test_text_names_the_item_and_the_mend(error: HlbError, text: str) -> None:
    assert str(error) == text


@CASES
def test_errors_survive_pickling(error: HlbError, text: str) -> None:
    again = pickle.loads(pickle.dumps(error))
    assert (type(again), str(again), vars(again)) == (type(error), text, vars(error))


@CASES
def test_every_error_is_caught_as_hlb_error_and_value_error(error: HlbError, text: str) -> None:
    assert isinstance(error, HlbError)
    assert isinstance(error, ValueError)


@pytest.mark.parametrize("kind", [UnknownIngredient, MissingValue])
def test_failed_look_ups_are_lookup_errors(kind: type[HlbError]) -> None:
    assert issubclass(kind, LookupError)


def test_every_error_class_has_its_text_tested() -> None:
    leaves, open_ = set(), [HlbError]
    while open_:
        kinds = [k for k in open_.pop().__subclasses__() if k.__module__ == "hlbcore.errors"]
        leaves |= {k for k in kinds if k is not StoreError}
        open_ += kinds
    assert {type(e) for e, _ in TEXTS.values()} == leaves


def test_long_names_are_clipped_in_messages() -> None:
    assert len(str(UnknownIngredient("x" * 10_000))) < 300


@pytest.mark.parametrize("length", [5, 60])
def test_clipped_text_is_one_line_of_at_most_the_length(length: int) -> None:
    line = clipped("a\nb\t" + "c" * 100, length)
    assert line.startswith("a b ")
    assert len(line) == length
    assert line.endswith("…")


def test_short_text_is_not_clipped() -> None:
    assert clipped("shea  butter") == "shea butter"
