"""Printed doses. The bands stand beside the review they were counted from: shops, makers, forums, papers."""

from __future__ import annotations

import pytest

from hlbcore import InvalidInput, Library
from hlbcore.blending.dose_evidence import dose_band, dose_rows
from hlbcore.product_types import product_types


@pytest.mark.parametrize(
    ("product", "basis", "low", "median", "high", "n", "formulas"),
    [
        ("light o/w lotion", "oil phase", 8, 21, 44, 17, 13),
        ("o/w cream", "oil phase", 9, 19, 32, 38, 19),
        ("o/w cream", "formula", 2.1, 5, 8, 32, 19),
        ("w/o cream", "oil phase", 9, 13, 20, 9, 5),
        ("wash-off scrub", "oil phase", 10, 13, 20, 8, 8),
        ("cleansing balm", "oil phase", 5, 11, 18, 7, 4),
        ("dispersing bath or cleansing oil", "oil phase", 9, 24, 53, 8, 6),
        ("conditioner", "formula", 2, 4, 11, 10, 10),
    ],
)
def test_band_is_that_of_the_review(
    product: str, basis: str, low: float, median: float, high: float, n: int, formulas: int
) -> None:
    band = dose_band(product, basis)
    assert band is not None
    assert (band.n, band.formulas) == (n, formulas)
    assert (band.low, band.median, band.high) == pytest.approx((low, median, high), abs=0.6)


def test_waxes_with_fatty_alcohol_stand_above_neat_emulsifiers() -> None:
    wax, neat = (dose_band("o/w cream", "formula", kind=k) for k in ("wax", "neat"))
    assert wax is not None
    assert neat is not None
    assert wax.median > neat.median
    assert wax.n + neat.n <= 32


def test_few_rows_are_marked() -> None:
    thin = dose_band("w/o cream", "formula")
    assert thin is not None
    assert thin.few
    assert "few sources" in thin.text


def test_product_without_evidence_has_no_band() -> None:
    assert dose_band("whipped butter") is None


def test_a_range_without_an_oil_phase_does_not_enter() -> None:
    printed = [r for r in dose_rows() if r.emulsifier_high is not None]
    assert printed
    assert all(r.emulsifier_pct is None for r in printed)


def test_unknown_basis_is_refused() -> None:
    with pytest.raises(InvalidInput, match="basis"):
        dose_band("o/w cream", "fat")


def test_rows_name_product_types_and_sources_of_the_tables(library: Library) -> None:
    names = {p.name for p in product_types()} | {"cleansing milk"}
    assert {r.product_type for r in dose_rows()} <= names
    assert {r.source for r in dose_rows()} <= set(library.sources)
