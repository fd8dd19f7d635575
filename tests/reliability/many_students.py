"""Many sessions on one server: none sees another's work. `python tests/reliability/many_students.py`.

Each session speaks to the server as a browser does, over a web socket of its own: it opens the
first page, names its formula, types an amount of its own, and looks at what the server shows it.
What is measured: time from an edit to the end of its run, and memory of the server.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import signal
import statistics
import subprocess
import sys
import time
import urllib.request
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from serving import CLASSROOM, Served, free_port, served, wait_until_healthy
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import connect
from websockets.exceptions import ConnectionClosed

SESSIONS = 60
DONE = ForwardMsg.FINISHED_SUCCESSFULLY
NAME, AMOUNT = "Name of the formula", "Batch"


@dataclass
class Student:
    """One session: the fields and texts that the server has shown it last."""

    number: int
    link: Any
    mark: str = ""
    sent_off: bool = False
    fields: dict[str, Any] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)

    async def run(self, label: str = "", text: str = "") -> None:
        """One run of the page, with a field changed where one is named."""
        ask = BackMsg()
        ask.rerun_script.query_string = ""
        if label:
            state = ask.rerun_script.widget_states.widgets.add()
            state.id, state.string_value = self.fields[label].id, text
        begin = time.perf_counter()
        await self.link.send(ask.SerializeToString())
        self.fields.clear()
        self.texts.clear()
        while True:
            told = ForwardMsg()
            told.ParseFromString(await asyncio.wait_for(self.link.recv(), 300))
            kind = told.WhichOneof("type")
            if kind == "delta" and told.delta.WhichOneof("type") == "new_element":
                self.take(told.delta.new_element)
            elif kind == "script_finished" and told.script_finished == DONE:
                break
        self.seconds.append(time.perf_counter() - begin)

    async def look_again(self) -> None:
        """A run that a process which ended does not answer."""
        try:
            await self.run()
        except ConnectionClosed:
            self.sent_off = True

    def take(self, element: Any) -> None:
        kind = element.WhichOneof("type")
        shown = getattr(element, kind)
        if kind == "text_input":
            self.fields[shown.label] = shown
        elif kind in ("markdown", "html", "alert"):
            self.texts.append(getattr(shown, "body", ""))

    def value(self, label: str) -> str:
        shown = self.fields[label]
        return str(shown.value if shown.set_value else shown.default)


async def place(url: str) -> str:
    """The mark by which a class of several processes knows its browsers, blank where there is one process."""
    with urllib.request.urlopen(url) as answer:
        return str(answer.headers.get("Set-Cookie", "")).partition(";")[0]


async def seated(url: str, number: int) -> Student:
    """A student who has opened the page."""
    mark = await place(url)
    link = await connect(
        url.replace("http", "ws") + "/_stcore/stream",
        max_size=None,
        origin=url,  # type: ignore[arg-type]
        subprotocols=["streamlit"],  # type: ignore[list-item]
        additional_headers={"Cookie": mark} if mark else {},
        ping_interval=None,
    )
    return Student(number, link, mark)


async def lesson(url: str, sessions: int, between: Callable[[list[Student]], None]) -> list[Student]:
    """All sessions open, all type, all look at what is held; after `between` they look again."""
    class_ = [await seated(url, n) for n in range(sessions)]
    await asyncio.gather(*(s.run() for s in class_))
    await asyncio.gather(*(s.run(NAME, name_of(s)) for s in class_))
    await asyncio.gather(*(s.run(AMOUNT, amount_of(s)) for s in class_))
    await asyncio.gather(*(s.run() for s in class_))
    between(class_)
    await asyncio.gather(*(s.look_again() for s in class_))
    for s in class_:
        await s.link.close()
    return class_


def name_of(student: Student) -> str:
    return f"Formula of student {student.number}"


def amount_of(student: Student) -> str:
    return f"{student.number + 101} g"


def strangers(class_: list[Student]) -> list[str]:
    """Whatever a session was shown that is not its own."""
    found = []
    for s in class_:
        if (s.value(NAME), s.value(AMOUNT)) != (name_of(s), amount_of(s)):
            found.append(f"student {s.number} sees {s.value(NAME)}, {s.value(AMOUNT)}")
        others = [name_of(o) + "\n" for o in class_ if o is not s]
        text = "\n".join([*s.texts, ""])
        found += [f"student {s.number} sees {o.strip()}" for o in others if o in text]
    return found


def memory_mb(server: Served) -> float:
    """Memory of the server [MB]; NaN where the system does not tell."""
    try:
        status = Path(f"/proc/{server.pid}/status").read_text()
    except OSError:
        return float("nan")
    held = status.partition("VmRSS:")[2].split()
    return int(held[0]) / 1000 if held else float("nan")  # a process that ended has none


@contextmanager
def processes(count: int, sessions: int) -> Iterator[tuple[str, list[Served]]]:
    """The address of a class on one process, or on several behind haproxy as app/haproxy.cfg says."""
    if count == 1:
        with served(CLASSROOM, options=("--places", str(sessions))) as server:
            yield server.url, [server]
        return
    port = free_port()
    each = ("--places", str(sessions))
    with ExitStack() as held:
        servers = [held.enter_context(served(CLASSROOM, options=each, port=8601 + n)) for n in range(count)]
        proxy = subprocess.Popen(
            ["haproxy", "-q", "-f", str(CLASSROOM.with_name("haproxy.cfg"))],
            env={**os.environ, "HLB_BIND": f"127.0.0.1:{port}"},
        )
        held.callback(proxy.wait)
        held.callback(proxy.terminate)
        wait_until_healthy(f"http://127.0.0.1:{port}", proxy)
        yield f"http://127.0.0.1:{port}", servers


def told(class_: list[Student], gone: str) -> list[str]:
    """Whoever was sent off without cause, or was not."""
    return [
        f"student {s.number}: {'sent off' if s.sent_off else 'not told'}"
        for s in class_
        if s.sent_off != (s.mark == gone != "")
    ]


def main(sessions: int, count: int) -> int:
    gone = ""

    def one_ends(class_: list[Student]) -> None:
        nonlocal gone, seated_at
        seated_at = Counter(s.mark for s in class_)
        faults.extend(strangers(class_))
        if count > 1:
            gone = class_[0].mark
            at = ("one", "two", "three", "four").index(gone.partition("=")[2])
            os.kill(servers[at].pid, signal.SIGKILL)

    seated_at: Counter[str] = Counter()
    faults: list[str] = []
    with processes(count, sessions) as (url, servers):
        class_ = asyncio.run(lesson(url, sessions, one_ends))
        after = [memory_mb(s) for s in servers]
    for step, words in enumerate(("open", "name", "amount")):
        times = sorted(s.seconds[step] for s in class_)
        rate = sessions / times[-1]
        middle = statistics.median(times)
        print(f"{words:8} median {middle:6.2f} s, slowest {times[-1]:6.2f} s, {rate:.1f} a second")
    print(f"{sessions} sessions on {count} process{'es' if count > 1 else ''}: memory", end=" ")
    print(", ".join(f"{m:.0f} MB" for m in after if m == m))
    if count > 1:
        print(f"seats {sorted(seated_at.values())}; one process ended, {seated_at[gone]} were told")
        if max(seated_at.values()) - min(seated_at.values()) > 1 or len(seated_at) != count:
            faults.append("seats are uneven")
    faults += told(class_, gone)
    print("\n".join(faults) or "each saw its own work, and nobody else's")
    return bool(faults)


if __name__ == "__main__":
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("sessions", type=int, nargs="?", default=SESSIONS)
    asked.add_argument("--processes", type=int, default=1)
    wish = asked.parse_args()
    raise SystemExit(main(wish.sessions, wish.processes))
