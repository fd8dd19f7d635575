"""The door of a class: who comes in, how many, and that nothing outside is asked for it."""

from __future__ import annotations

import asyncio
import socket
import sys
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from serving import CLASSROOM, served
from websockets.sync.client import connect

sys.path.insert(0, str(CLASSROOM.parent))
from classroom import Door, own_names

HOST = b"teacher-pc:8501"


class Inside:
    """An app that holds what it was asked, and answers when it is told to."""

    def __init__(self) -> None:
        self.asked: list[dict[bytes, bytes]] = []
        self.go = asyncio.Event()

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        self.asked.append(dict(scope["headers"]))
        if scope["type"] == "websocket":
            await self.go.wait()


async def knock(
    door: Door, path: str = "/", kind: str = "http", host: bytes = HOST, **more: bytes
) -> list[dict[str, Any]]:
    said: list[dict[str, Any]] = []

    async def send(message: Any) -> None:
        said.append(message)

    async def receive() -> Any:
        return {"type": "websocket.connect"}

    headers = [(b"host", host), *((k.encode(), v) for k, v in more.items())]
    await door({"type": kind, "path": path, "headers": headers}, receive, send)
    return said


def ended(what: Coroutine[Any, Any, Any]) -> Any:
    """What it returns; in a thread of its own, since a browser of other tests may hold this one's loop."""
    with ThreadPoolExecutor(1) as alone:
        return alone.submit(asyncio.run, what).result()


def status(said: list[dict[str, Any]]) -> int:
    return int(said[0].get("status", said[0].get("code"))) if said else 200


@pytest.mark.parametrize(
    ("host", "origin", "known"),
    [
        (b"teacher-pc:8501", b"http://teacher-pc:8501", True),
        (b"TEACHER-PC:8501", b"http://teacher-pc:8501", True),
        (b"192.168.7.7:8501", b"http://192.168.7.7:8501", True),
        (b"[fe80::1]:8501", b"http://[fe80::1]:8501", True),
        (b"teacher-pc:8501", b"", True),
        (b"evil.example:8501", b"http://evil.example:8501", False),
        (b"teacher-pc:8501", b"http://evil.example", False),
        (b"teacher-pc:8501", b"null", False),
        (b"", b"", False),
        (b"[", b"", False),
    ],
)
def test_only_pages_of_this_computer_come_in(host: bytes, origin: bytes, known: bool) -> None:
    door = Door(Inside(), ["teacher-pc"])
    said = ended(knock(door, host=host, **({"origin": origin} if origin else {})))
    assert status(said) == (200 if known else 403)


def test_the_figures_of_the_server_are_for_nobody() -> None:
    assert status(ended(knock(Door(Inside(), ["teacher-pc"]), "/_stcore/metrics"))) == 404


def test_a_full_class_says_so_and_a_place_is_free_when_one_goes() -> None:
    async def day() -> list[int]:
        door = Door(inside := Inside(), ["teacher-pc"], places=1)
        first = asyncio.create_task(knock(door, kind="websocket"))
        await asyncio.sleep(0)
        page = await knock(door, accept=b"text/html,*/*")
        part = await knock(door, "/static/x.js", accept=b"*/*")
        second = await knock(door, kind="websocket")
        inside.go.set()
        await first
        third = await knock(door, kind="websocket")
        assert b"1 of 1 places" in page[1]["body"]
        return [status(x) for x in (page, part, second, third)]

    assert ended(day()) == [503, 200, 1013, 200]


def test_streamlit_has_nothing_to_look_up_for_an_origin() -> None:
    door = Door(inside := Inside(), ["teacher-pc"])
    inside.go.set()
    ended(knock(door, kind="websocket", origin=b"http://teacher-pc:8501"))
    assert inside.asked[0][b"origin"] == b"http://localhost"


def test_a_class_starts_and_serves_where_nothing_outside_can_be_asked(
    tmp_path: Path, monkeypatch: Any
) -> None:
    """Every name that is looked up, and every way to another computer, is refused and written down."""
    told = tmp_path / "asked.txt"
    (tmp_path / "sitecustomize.py").write_text(
        "import socket, sys\n"
        f"def refuse(event, given):\n"
        "    outside = event == 'socket.getaddrinfo' and given[0] not in (None, '127.0.0.1', 'localhost')\n"
        "    if outside or (event == 'socket.connect' and given[0].type == socket.SOCK_STREAM):\n"
        f"        open({str(told)!r}, 'a').write(f'{{event}} {{given}}\\n')\n"
        "        raise OSError('nothing outside')\n"
        "sys.addaudithook(refuse)\n",
        "utf-8",
    )
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with served(CLASSROOM, options=("--name", "teacher-pc.local")) as server:
        names = ["teacher-pc.local", "192.168.7.7", *own_names()]
        for name in names:
            with connect(
                f"ws://{name}:{server.port}/_stcore/stream",
                sock=socket.create_connection(("127.0.0.1", server.port)),
                origin=f"http://{name}:{server.port}",  # type: ignore[arg-type]
                subprotocols=["streamlit"],  # type: ignore[list-item]
            ) as link:
                assert link.subprotocol == "streamlit"
    assert not told.exists(), told.read_text("utf-8")
