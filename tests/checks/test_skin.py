"""Essential oils and alpha hydroxy acids that stay on the skin."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Facts, Finding, Line
from hlbcore.checks.skin import skin


def found(*lines: Line, kind: str = "o/w cream", **facts: object) -> list[Finding]:
    rest = Line("water", 100 - sum(x.pct for x in lines), phase="water")
    known = Facts(**facts)  # type: ignore[arg-type]
    return skin(hlb.work_out(hlb.Formula("x", kind, (*lines, rest), facts=known)))


def oils(*amounts: float) -> tuple[Line, ...]:
    names = ("tea tree oil", "lavender essential oil")
    return tuple(Line(n, a, phase="cool-down") for n, a in zip(names, amounts, strict=False))


@pytest.mark.parametrize(
    ("amounts", "area", "told"),
    [
        ((3.0,), "body", False),
        ((3.1,), "body", True),
        ((2.0, 1.1), "body", True),
        ((1.0,), "face", False),
        ((1.1,), "face", True),
    ],
)
def test_all_essential_oils_together_are_held_against_the_area(
    amounts: tuple[float, ...], area: str, told: bool
) -> None:
    assert [f.level for f in found(*oils(*amounts), area=area)] == ["caution"] * told


def test_what_is_rinsed_off_is_not_asked() -> None:
    assert found(*oils(10), kind="wash-off scrub") == []


@pytest.mark.parametrize(
    ("pct", "ph", "level"),
    [(10, 3.5, None), (10.1, 4, "caution"), (8, 3, "caution"), (8, None, "note"), (0.5, 3, None)],
)
def test_an_alpha_hydroxy_acid_is_held_against_amount_and_ph(
    pct: float, ph: float | None, level: str | None
) -> None:
    held = found(Line("glycolic acid", pct, phase="water"), ph=ph)
    assert [f.level for f in held] == ([level] if level else [])
    assert all("assessor" in f.mend for f in held if f.level == "caution")


def test_a_strength_in_the_name_counts_as_active_part() -> None:
    assert found(Line("lactic acid 80 %", 12, phase="water"), ph=4) == []
