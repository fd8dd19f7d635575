from __future__ import annotations

import dataclasses

import pytest

from hlbcore import Finding, InvalidInput
from hlbcore.findings import LEVELS, Changes, changes, worst_first


def test_unknown_level_is_refused_with_the_choices() -> None:
    with pytest.raises(InvalidInput, match=r"'fatal' is not one .* Use stop, caution, note\."):
        Finding("fatal", "x")


def test_level_is_folded() -> None:
    assert Finding(" Stop", "x").level == "stop"


def test_finding_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        Finding("note", "x").level = "stop"  # type: ignore[misc]


def test_worst_comes_first() -> None:
    found = worst_first([Finding(level, level) for level in reversed(LEVELS)])
    assert [f.level for f in found] == ["stop", "caution", "note"]


def test_order_is_kept_within_a_level() -> None:
    found = worst_first([Finding("note", "b"), Finding("stop", "s"), Finding("note", "a")])
    assert [f.title for f in found] == ["s", "b", "a"]


def test_repeats_are_said_once() -> None:
    assert worst_first([Finding("note", "a"), Finding("note", "a")]) == (Finding("note", "a"),)


def test_findings_that_differ_in_a_figure_are_both_kept() -> None:
    assert len(worst_first([Finding("note", "a", figure="1"), Finding("note", "a", figure="2")])) == 2


def test_changes_are_what_is_gone_and_what_is_new() -> None:
    stays = Finding("note", "stays")
    found = changes([Finding("stop", "a"), stays], [stays, Finding("note", "b")])
    assert [f.title for f in found.gone] == ["a"]
    assert [f.title for f in found.new] == ["b"]


def test_a_figure_that_moved_is_gone_and_new() -> None:
    found = changes([Finding("note", "a", figure="1")], [Finding("note", "a", figure="2")])
    assert [f.figure for f in found.gone] == ["1"]
    assert [f.figure for f in found.new] == ["2"]


def test_the_order_of_findings_is_no_change() -> None:
    pair = [Finding("note", "a"), Finding("note", "b")]
    assert changes(pair, reversed(pair)) == Changes((), ())


def test_changes_back_and_forth_mirror_each_other() -> None:
    before, after = [Finding("note", "a")], [Finding("note", "b"), Finding("stop", "c")]
    there, back = changes(before, after), changes(after, before)
    assert (there.gone, there.new) == (back.new, back.gone)


def test_changes_may_be_given_as_a_stream() -> None:
    found = changes(iter([Finding("note", "a")]), iter([Finding("note", "b")]))
    assert (len(found.gone), len(found.new)) == (1, 1)
