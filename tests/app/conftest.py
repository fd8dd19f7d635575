"""Each test keeps its work in a file of its own."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "kept.db"
    monkeypatch.setenv("HLB_FILE", str(path))
    return path
