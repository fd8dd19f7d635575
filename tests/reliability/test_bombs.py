from __future__ import annotations

import os
import re
import resource
import time
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from bombs import BOMBS, taken
from kept_children import done

from hlbcore import HlbError

EACH = pytest.mark.parametrize("name", BOMBS, ids=[re.sub(r"\W+", " ", n) for n in BOMBS])
MOST_S, MOST_BYTES = 2.0, 250_000_000


@EACH
def test_a_bomb_is_refused_with_a_sentence(name: str) -> None:
    with pytest.raises(HlbError) as told:
        taken(name, BOMBS[name]())
    assert re.search(r"[a-z ]{10}.*\.$", str(told.value))


def measured(pipe: Connection, path: Path) -> None:
    """Time and memory that a bomb costs, in a process of its own."""
    name, data = path.read_text(), path.with_suffix(".bin").read_bytes()
    held = int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    begun = time.process_time()
    try:
        taken(name, data)
    except HlbError as error:
        pipe.send(str(error))
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    pipe.send((time.process_time() - begun, max(most - held, 0)))


@pytest.mark.reliability
@EACH
def test_a_bomb_costs_little(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "bomb"
    path.write_text(name)
    path.with_suffix(".bin").write_bytes(BOMBS[name]())
    words, (spent, more) = done(measured, path)
    with capsys.disabled():
        size = path.with_suffix(".bin").stat().st_size
        print(f"\n{name} ({size / 1000:.0f} kB): {spent:.2f} s CPU, {more / 1e6:.0f} MB; {words[:110]}")
    assert spent < MOST_S
    assert more < MOST_BYTES
