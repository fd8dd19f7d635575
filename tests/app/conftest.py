"""Each test keeps its work in a file of its own; what is installed is looked through once."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from streamlit.components.v2 import manifest_scanner


@pytest.fixture(scope="session", autouse=True)
def scanned_once() -> Iterator[None]:
    """Each new `AppTest` reads the metadata of all packages: three quarters of what opening costs."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            manifest_scanner, "scan_component_manifests", cache(manifest_scanner.scan_component_manifests)
        )
        yield


@pytest.fixture(autouse=True)
def own_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "kept.db"
    monkeypatch.setenv("HLB_FILE", str(path))
    return path
