"""The app as its start command serves it, on a free port, and a browser that is on the PATH."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import hlbcore as hlb
from hlbcore.kept.kinds import KINDS

ROOT = Path(__file__).resolve().parents[2]
MAIN = ROOT / "app" / "main.py"
CLASSROOM = ROOT / "app" / "classroom.py"
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")
FLAGS = (
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
STREAMLIT = ("-m", "streamlit", "run")
FLAGS_OF_START = (
    *("--browser.gatherUsageStats", "false"),
    *("--server.headless", "true"),
    *("--server.showEmailPrompt", "false"),
)


@dataclass(frozen=True)
class Served:
    """A running server."""

    url: str
    port: int
    pid: int


FILES: dict[str, Path] = {}
"""The file of kept work of each server, by its address."""


def clear(url: str) -> None:
    """Put away all kept work and own values, so that a new visit begins with the example."""
    file = FILES.get(url)
    if file is None or not file.exists():
        return
    with hlb.Store(file) as store:
        for kind in KINDS:
            for uid in store.listed(kind)["uid"]:
                store.put_away(uid)
        for uid, *_ in store.own():
            store.withdraw_own(uid)


def browser_path() -> str:
    """A Chromium or Chrome on the PATH, blank if there is none."""
    return next((p for p in map(shutil.which, NAMES) if p), "")


def launched(playwright: Any) -> Any:
    """The browser of the system, never one that Playwright fetched."""
    root = hasattr(os, "geteuid") and os.geteuid() == 0
    return playwright.chromium.launch(
        executable_path=browser_path(), args=[*FLAGS, *(["--no-sandbox"] if root else [])]
    )


def free_port() -> int:
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return int(s.getsockname()[1])


@contextmanager
def served(
    script: Path = MAIN,
    folder: Path | None = None,
    *,
    file: Path | None = None,
    options: tuple[str, ...] = (),
    port: int | None = None,
) -> Iterator[Served]:
    """The script served with the flags of the start command, by default from another folder.

    It keeps work in the file given, or in one that goes with the server.
    """
    port = port or free_port()
    run = ["--address", "127.0.0.1", "--port", str(port)]
    if script != CLASSROOM:
        run = ["--server.address", "127.0.0.1", "--server.port", str(port), *FLAGS_OF_START]
    url = f"http://127.0.0.1:{port}"
    with (
        tempfile.TemporaryDirectory() as elsewhere,
        subprocess.Popen(
            [sys.executable, *(() if script == CLASSROOM else STREAMLIT), str(script), *run, *options],
            env={**os.environ, "HLB_FILE": str(FILES.setdefault(url, file or Path(elsewhere) / "kept.db"))},
            cwd=folder or elsewhere,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        ) as process,
    ):
        try:
            wait_until_healthy(url, process)
            yield Served(url, port, process.pid)
        finally:
            FILES.pop(url, None)
            process.terminate()
            try:
                process.wait(10)
            except subprocess.TimeoutExpired:
                process.kill()


def wait_until_healthy(url: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(300):
        if process.poll() is not None:
            break
        try:
            with urllib.request.urlopen(f"{url}/_stcore/health", timeout=2) as answer:
                if answer.status == 200:
                    return
        except OSError:
            time.sleep(0.1)
    raise RuntimeError(f"the server at {url} does not answer")
