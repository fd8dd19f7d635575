"""Texture after a swap: ranges that overlap decide nothing."""

from __future__ import annotations

import hlbcore as hlb
from hlbcore import Finding, Line


def texture(out: str, into: str) -> Finding:
    lines = (
        Line(out, 15, phase="oil"),
        Line("sorbitan stearate", 2.5, phase="oil"),
        Line("polysorbate 60", 1.5, phase="oil"),
        Line("water", 81, phase="water"),
    )
    swap = hlb.swap(hlb.Formula("x", "o/w cream", lines), out=out, into=into)
    (one,) = [f for f in swap.findings if f.title.startswith("Texture: ")]
    return one


def test_shea_for_mango_may_change_and_the_tables_do_not_decide() -> None:
    """Iodine values 30 to 75 and 41.8 to 53.9 overlap wholly."""
    found = texture("shea butter", "mango butter")
    assert (found.level, found.title) == ("note", "Texture: may change")
    assert "the tables do not decide" in found.detail


def test_a_liquid_oil_for_a_butter_is_softer() -> None:
    assert texture("cocoa butter", "sunflower oil").title == "Texture: softer"
