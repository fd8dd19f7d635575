"""What the file should hold: page by page from the log, and what may still lie in the log alone."""

from __future__ import annotations

import pytest

from hlbcore.kept.mirror import Logged, Mirror

PAGE = 512


def page(letter: str) -> bytes:
    return letter.encode() * PAGE


HEAD = b"SQLite format 3\0" + PAGE.to_bytes(2, "big") + bytes(PAGE - 18)
BEFORE = HEAD + page("a") + page("b")
CHANGE = Logged({3: page("c"), 4: page("d")}, size=4)
AFTER = HEAD + page("a") + page("c") + page("d")


def mirror(*, whole: bool = False, failed: bool = False) -> Mirror:
    made = Mirror(BEFORE)
    made.follow(CHANGE)
    made.arrive(CHANGE, whole=whole, failed=failed)
    return made


def differs(made: Mirror, file: bytes) -> bool:
    return made.differs(lambda at, size: file[at : at + size])


def test_what_was_written_back_must_stand_there() -> None:
    assert not differs(mirror(whole=True), AFTER)
    for file in (BEFORE, AFTER[:-1], AFTER + b"x", HEAD + page("x") + AFTER[2 * PAGE :], b""):
        assert differs(mirror(whole=True), file)


@pytest.mark.parametrize("file", [BEFORE, AFTER, AFTER[: 3 * PAGE]], ids=["none", "all", "one"])
def test_pages_that_lie_in_the_log_may_be_as_before(file: bytes) -> None:
    assert not differs(mirror(), file)


def test_a_write_back_that_a_reader_held_up_leaves_a_page_as_it_was_in_between() -> None:
    made = Mirror(BEFORE)
    log = Logged({3: page("c")}, {3: [page("m")]}, 3)
    made.follow(log)
    assert not differs(made, HEAD + page("a") + page("m"))
    made.arrive(log, whole=True, failed=False)
    assert differs(made, HEAD + page("a") + page("m"))


def test_other_pages_may_not() -> None:
    assert differs(mirror(), HEAD + page("x") + AFTER[2 * PAGE :])
    assert differs(mirror(), HEAD + page("a") + page("x") + page("d"))


def test_a_page_that_a_full_disk_broke_off_may_be_torn_until_all_is_written_back() -> None:
    torn = AFTER[: 3 * PAGE + 100]
    made = mirror(failed=True)
    assert not differs(made, torn)
    assert differs(made, HEAD + page("x") + torn[2 * PAGE :])
    made.arrive(CHANGE, whole=True, failed=False)
    assert differs(made, torn)


def test_a_page_of_the_last_change_in_another_file_is_seen() -> None:
    made = mirror(whole=True)
    older = HEAD + page("0") + page("1")
    assert not made.is_part_written(lambda at, size: older[at : at + size])
    mixed = older + page("d")
    assert made.is_part_written(lambda at, size: mixed[at : at + size])


def test_a_file_that_shrinks_ends_where_the_change_says() -> None:
    made = Mirror(BEFORE)
    made.follow(Logged({2: page("z")}, size=2))
    made.arrive(Logged(), whole=True, failed=False)
    assert not differs(made, HEAD + page("z"))
