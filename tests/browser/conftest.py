"""Fixtures of the browser tests: one browser and one server for all, a tab a visit."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from serving import ROOT, Served, browser_path, launched, served


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """All tests of this folder drive a browser; without one they are skipped and say so."""
    reason = ""
    if not browser_path():
        reason = "no Chromium or Chrome on the PATH"
    else:
        try:
            import playwright  # noqa: F401
        except ImportError:
            reason = "playwright is not installed"
    here = __file__.rpartition("conftest")[0]
    for item in items:
        if not str(item.path).startswith(here):
            continue
        item.add_marker(pytest.mark.browser)
        if reason:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = launched(playwright)
        yield started
        started.close()


@pytest.fixture(scope="session")
def server() -> Iterator[Served]:
    """Started from the checkout, as README says, so that its settings hold."""
    with served(folder=ROOT) as running:
        yield running
