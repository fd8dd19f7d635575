"""Files that the page gives are those of the core."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bench import Bench, opened
from serving import Served

import hlbcore as hlb

WORKED = hlb.work_out(hlb.example_formula())


def fetched(bench: Bench, label: str) -> bytes:
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name=label, exact=True).first.click()
    return Path(waiting.value.path()).read_bytes()


@pytest.mark.parametrize(
    ("part", "label", "made"),
    [
        (
            "Take the formula along: JSON, CSV",
            "Blend as CSV",
            lambda: hlb.cells.to_csv(hlb.tables.blend_table(WORKED)),
        ),
        ("Take the formula along: JSON, CSV", "Formula as JSON", lambda: WORKED.formula.to_json().encode()),
        (
            "Where the figures come from",
            "Sources as CSV",
            lambda: hlb.cells.to_csv(hlb.tables.sources_of(WORKED)),
        ),
    ],
    ids=["blend", "formula", "sources"],
)
def test_a_file_is_that_of_the_core(browser: Any, server: Served, part: str, label: str, made: Any) -> None:
    with opened(browser, server.url) as bench:
        bench.open(part)
        bench.settle()
        assert fetched(bench, label) == made()


@pytest.mark.parametrize("kind", ["SVG", "PNG"])
def test_a_picture_is_that_of_the_core(browser: Any, server: Served, kind: str) -> None:
    with opened(browser, server.url) as bench:
        bench.open("Pictures to keep or print")
        bench.settle()
        bench.choose("Picture", "HLB axis with every emulsifier")
        drawing = hlb.plots.of_formula(WORKED, "axis")
        made = hlb.plots.to_svg(drawing) if kind == "SVG" else hlb.plots.to_png(drawing)
        assert fetched(bench, f"Figure axis as {kind}") == made
