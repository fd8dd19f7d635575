"""What an earlier version wrote is read for ever, and means what it meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from hlbcore import Trial
from hlbcore.ladder.arrays import responses

FILE = Path(__file__).parents[1] / "saved" / "ladder_v1_beeswax_lotion.json"


def test_a_ladder_of_version_1_means_what_it_meant() -> None:
    trial = Trial.from_json(FILE.read_text(encoding="utf-8"))
    assert trial.name == "Beeswax lotion"
    assert len(trial.ladder.vials) == 8
    assert trial.ladder.vial(8).repeats == 4
    assert trial.ladder.process.temperature_c == 68.5
    assert trial.hlb(2) == pytest.approx(0.7 * 4.7 + 0.3 * 14.9)
    assert trial.emulsion_types[1] == "w/o"
    assert trial.broken == {7: 30.0}
    seen = responses(trial)
    assert seen.vials == (2, 3, 4, 8, 5, 6, 7)
    assert seen.values[:2, 0].tolist() == [2.0, 3.0]
