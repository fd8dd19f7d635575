"""A class on one server: `python app/classroom.py`; each tab has a workspace of its own, nothing on disk."""

from __future__ import annotations

import argparse
import os
import socket
from collections.abc import Awaitable, Callable, Iterable, MutableMapping
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

import streamlit as st
from starlette.middleware import Middleware

PLACES = 40
"""Sessions at once, where nothing else is asked for. Our convention: DEVELOPERS.md has the figures."""
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]

FULL = """<!doctype html><html lang="en"><meta charset="utf-8"><title>No free place</title>
<meta name="viewport" content="width=device-width"><meta http-equiv="refresh" content="20">
<body style="font: 1.2rem/1.5 system-ui; max-width: 34rem; margin: 15vh auto; padding: 0 1rem">
<h1>No free place</h1><p>{places} of {places} places of this class are in use. This page asks again every
20 seconds; a place is free when someone closes a tab. The teacher can start the class with more
places (<code>--places</code>).</p>"""


class Door:
    """Who comes in: pages of this computer only, at most so many sessions, and no figures of the server.

    The check of where a page comes from is made here, so that nothing outside is asked for it.
    """

    def __init__(self, app: Any, names: Iterable[str] = (), places: int = PLACES) -> None:
        self.app, self.places = app, places
        self.inside: set[object] = set()
        self.names = {n.casefold() for n in names}

    def knows(self, host: str) -> bool:
        """A number cannot be made to mean another computer, a name can: only our own names."""
        try:
            return bool(ip_address(host))
        except ValueError:
            return host.casefold() in self.names

    def from_here(self, headers: dict[bytes, bytes]) -> bool:
        """Whether the page that asks came from this server."""
        host = headers.get(b"host", b"").decode("latin-1")
        origin = headers.get(b"origin", b"").decode("latin-1")
        try:
            known = self.knows(urlsplit(f"//{host}").hostname or "")
        except ValueError:
            return False
        return known and (not origin or urlsplit(origin).netloc.casefold() == host.casefold())

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Let in, or say why not."""
        if scope["type"] not in ("http", "websocket"):
            return await self.app(scope, receive, send)
        headers = dict(scope["headers"])
        if not self.from_here(headers):
            return await refused(scope, receive, send, 403, "Open the class by the address its teacher gave.")
        if scope["path"].endswith("/_stcore/metrics"):
            return await refused(scope, receive, send, 404, "Not found")
        full = len(self.inside) >= self.places
        if scope["type"] == "http":
            if full and b"text/html" in headers.get(b"accept", b""):
                return await refused(scope, receive, send, 503, FULL.format(places=self.places))
            return await self.app(scope, receive, send)
        if full:
            return await refused(scope, receive, send, 503, "")
        seat = object()
        self.inside.add(seat)
        try:
            held = [(k, v) for k, v in scope["headers"] if k != b"origin"]
            await self.app({**scope, "headers": [*held, (b"origin", b"http://localhost")]}, receive, send)
        finally:
            self.inside.discard(seat)


async def refused(scope: Message, receive: Receive, send: Send, status: int, body: str) -> None:
    """Answer without the app."""
    if scope["type"] == "websocket":
        await receive()
        return await send({"type": "websocket.close", "code": 1013 if status == 503 else 1008})
    kind = "html" if body.startswith("<") else "plain"
    head = [(b"content-type", f"text/{kind}; charset=utf-8".encode()), (b"cache-control", b"no-store")]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body.encode()})


def own_names() -> list[str]:
    """Names that this computer gives itself; no other is asked."""
    name = socket.gethostname()
    return list(dict.fromkeys(["localhost", name, f"{name.partition('.')[0]}.local"]))


def own_address() -> str:
    """Address of the card that leads out, blank where none does; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as s:
        try:
            s.connect(("192.0.2.1", 9))  # a number for documents (RFC 5737): only the way to it is looked up
        except OSError:
            return ""
        return str(s.getsockname()[0])


def asked() -> argparse.Namespace:
    """What the start command says."""
    said = argparse.ArgumentParser(prog="classroom.py", description=__doc__)
    said.add_argument("--port", type=int, default=8501)
    said.add_argument("--address", default="0.0.0.0", help="address that is listened on")
    said.add_argument("--places", type=int, default=PLACES, help="sessions at once")
    said.add_argument("--name", action="append", default=[], help="a further name that leads here")
    return said.parse_args()


if __name__ == "__main__":
    wish = asked()
    names = [*own_names(), *wish.name]
    os.environ["HLB_CLASSROOM"] = "1"
    app = st.App("main.py", middleware=[Middleware(Door, names=names, places=wish.places)])
    reach = [n for n in (own_address(), *names[1:]) if n]
    print(
        f"Class of {wish.places} places: " + ", ".join(f"http://{n}:{wish.port}" for n in reach), flush=True
    )
    app.run(
        config={
            "server.address": wish.address,
            "server.port": wish.port,
            "server.headless": True,
            "server.fileWatcherType": "none",
            "logger.hideWelcomeMessage": True,
            "browser.gatherUsageStats": False,
        }
    )
