from __future__ import annotations

import pytest
from fuzzing import READERS, fuzz

EACH = pytest.mark.parametrize("name", READERS)


@EACH
def test_a_reader_raises_only_what_is_documented(name: str) -> None:
    found = fuzz(name, 200)
    assert found.inputs >= 200
    assert found.wordless == 0


@pytest.mark.reliability
@EACH
def test_a_hundred_thousand_inputs(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = fuzz(name, 100_000)
    with capsys.disabled():
        print(
            f"\n{name}: {found.inputs:,} inputs, {found.taken:,} of them read, the rest refused "
            f"with a sentence; slowest {1000 * found.slowest_s:.0f} ms"
        )
    assert found.inputs >= 100_000
    assert found.wordless == 0
