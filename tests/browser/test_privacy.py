"""The app listens on this computer only and asks no other computer for anything."""

from __future__ import annotations

import os
import re
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from serving import ROOT, Served, served

README = (ROOT / "README.md").read_text("utf-8")
START = [line for line in README.splitlines() if "streamlit run" in line]
LISTENS = "0A"  # state of a listening socket in /proc/net/tcp


@pytest.fixture(scope="module")
def server() -> Iterator[Served]:
    """Started from another folder: the start command alone has to keep to this computer."""
    with served() as running:
        yield running


def listening(pid: int) -> set[str]:
    """Local addresses of the listening sockets of a process, as /proc prints them."""
    held = set()
    for link in Path(f"/proc/{pid}/fd").iterdir():
        try:
            found = re.fullmatch(r"socket:\[(\d+)\]", os.readlink(link))
        except FileNotFoundError:
            continue
        if found:
            held.add(found[1])
    addresses = set()
    for table in ("tcp", "tcp6"):
        for row in Path(f"/proc/{pid}/net/{table}").read_text("ascii").splitlines()[1:]:
            cells = row.split()
            if cells[3] == LISTENS and cells[9] in held:
                addresses.add(cells[1].partition(":")[0])
    return addresses


def test_the_server_listens_on_this_computer_only(server: Served) -> None:
    if Path("/proc/net/tcp").exists():
        assert listening(server.pid) == {"0100007F"}  # 127.0.0.1, lowest byte first
    else:
        outside = socket.gethostbyname(socket.gethostname())
        with socket.socket() as knock:
            assert outside.startswith("127.") or knock.connect_ex((outside, server.port)) != 0


def test_the_page_asks_no_other_computer(browser: Any, server: Served) -> None:
    context = browser.new_context()
    asked: set[str] = set()
    page = context.new_page()
    page.on("request", lambda request: asked.add(request.url))
    page.on("websocket", lambda ws: asked.add(ws.url))
    page.goto(server.url)
    page.locator(".verdict-line").first.wait_for(timeout=15_000)
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("link", name="Values and sources").click()
    page.get_by_role("heading", name="Values and sources").wait_for(timeout=15_000)
    page.wait_for_timeout(800)
    context.close()
    hosts = {urlsplit(url).hostname for url in asked if not url.startswith(("data:", "blob:"))}
    assert any(url.startswith("ws") for url in asked)
    assert hosts == {"127.0.0.1"}


@pytest.mark.parametrize("line", START, ids=["posix", "powershell"])
@pytest.mark.parametrize("flags", ["--server.address 127.0.0.1", "--browser.gatherUsageStats false"])
def test_each_start_command_keeps_to_this_computer(line: str, flags: str) -> None:
    assert flags in line
