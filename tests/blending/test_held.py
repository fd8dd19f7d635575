"""What the tables hold, as tables: nothing is left out, and what is asked for is what comes."""

from __future__ import annotations

from hlbcore import Library
from hlbcore.blending.held import figures_held, readings_held


def test_every_reading_stands_once(tiny_library: Library) -> None:
    held = readings_held(tiny_library)
    assert sorted(held["HLB"]) == [4.0, 4.0, 6.0, 6.5, 8.0, 9.0, 10.0, 12.0, 14.0, 15.0, 15.0]


def test_readings_are_filtered_by_quantity_grade_and_words(tiny_library: Library) -> None:
    held = readings_held(tiny_library, quantities=["required HLB, o/w"], grades=["craft"], words="GAMMA  wax")
    assert held["HLB"].tolist() == [9.0, 14.0]
    assert readings_held(tiny_library, words="no such word").empty


def test_the_widest_disagreement_stands_first(tiny_library: Library) -> None:
    first = figures_held(tiny_library).iloc[0]
    assert (first["ingredient"], first["least"], first["most"], first["apart"]) == (
        "gamma wax",
        9.0,
        14.0,
        5.0,
    )
