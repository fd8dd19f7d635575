"""Bench results and a cream that several tests learn from; made up for the tests."""

from __future__ import annotations

from hlbcore import BenchResult, Formula, Line

SOLID = ("sorbitan stearate", "polysorbate 60")
LADDERS = tuple(
    BenchResult({"sunflower oil": 10, other: share}, SOLID, optimum, optimum - 0.5, optimum + 0.5, name=name)
    for name, other, share, optimum in (
        ("a", "shea butter", 5, 8.6),
        ("b", "jojoba oil", 8, 7.6),
        ("c", "avocado oil", 6, 8.4),
        ("d", "cocoa butter", 10, 7.5),
        ("e", "castor oil", 10, 11.8),
    )
)
CREAM = Formula(
    "Cream",
    "o/w cream",
    lines=[
        Line("sunflower oil", 12, phase="oil"),
        Line("shea butter", 6, phase="oil"),
        Line("sorbitan stearate", 2.5, phase="oil"),
        Line("polysorbate 60", 1.5, phase="oil"),
        Line("water", 78, phase="water"),
    ],
)
