"""Many sessions on one server: none sees another's work. `python tests/reliability/classroom.py`.

Each session speaks to the server as a browser does, over a web socket of its own: it opens the
first page, names its formula, types an amount of its own, and looks at what the server shows it.
What is measured: time from an edit to the end of its run, and memory of the server.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

from serving import Served, served
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import connect

SESSIONS = 60
DONE = ForwardMsg.FINISHED_SUCCESSFULLY
NAME, AMOUNT = "Name of the formula", "sunflower oil [%]"


@dataclass
class Student:
    """One session: the fields and texts that the server has shown it last."""

    number: int
    link: Any
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


async def lesson(url: str, sessions: int) -> list[Student]:
    """All sessions open, then all type at once, then all look again."""
    address = url.replace("http", "ws") + "/_stcore/stream"
    links = [
        await connect(address, max_size=None, origin=url, subprotocols=["streamlit"], ping_interval=None)  # type: ignore[list-item, arg-type]
        for _ in range(sessions)
    ]
    class_ = [Student(n, link) for n, link in enumerate(links)]
    await asyncio.gather(*(s.run() for s in class_))
    await asyncio.gather(*(s.run(NAME, name_of(s)) for s in class_))
    await asyncio.gather(*(s.run(AMOUNT, amount_of(s)) for s in class_))
    await asyncio.gather(*(s.run() for s in class_))
    for link in links:
        await link.close()
    return class_


def name_of(student: Student) -> str:
    return f"Formula of student {student.number}"


def amount_of(student: Student) -> str:
    return f"{student.number + 1}.5"


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
    return int(status.partition("VmRSS:")[2].split()[0]) / 1000


def main(sessions: int = SESSIONS) -> int:
    with served(options=("--", "--classroom")) as server:
        before = memory_mb(server)
        class_ = asyncio.run(lesson(server.url, sessions))
        after = memory_mb(server)
    for step, words in enumerate(("open", "name", "amount", "look again")):
        times = sorted(s.seconds[step] for s in class_)
        print(f"{words:10}  median {statistics.median(times):6.2f} s, slowest {times[-1]:6.2f} s")
    print(f"memory of the server {before:.0f} MB, with {sessions} sessions {after:.0f} MB")
    seen = strangers(class_)
    print("\n".join(seen) or f"{sessions} sessions: each saw its own work, and nobody else's")
    return bool(seen)


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]) if len(sys.argv) > 1 else SESSIONS))
