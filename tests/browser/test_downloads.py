"""Files that the page gives are those of the core."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from bench import Bench, opened
from serving import Served

import hlbcore as hlb

OUTCOME = hlb.work_out(hlb.example_sheet())


def fetched(bench: Bench, label: str) -> bytes:
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name=label, exact=True).first.click()
    return Path(waiting.value.path()).read_bytes()


@pytest.mark.parametrize(
    ("label", "made"),
    [
        ("SVG", lambda: hlb.plots.to_svg(hlb.plots.of_sheet(OUTCOME, "axis"))),
        ("PNG", lambda: hlb.plots.to_png(hlb.plots.of_sheet(OUTCOME, "axis"))),
        ("Blend as CSV", lambda: hlb.cells.to_csv(hlb.report.blend_table(OUTCOME))),
    ],
    ids=["svg", "png", "csv"],
)
def test_a_file_is_that_of_the_core(browser: Any, server: Served, label: str, made: Any) -> None:
    with opened(browser, server.url) as bench:
        assert fetched(bench, label) == made()


def test_sources_can_be_taken_along(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.open("Where the figures come from")
        wanted = hlb.cells.to_csv(hlb.report.sources_of(OUTCOME))
        assert fetched(bench, "Sources as CSV") == wanted
