"""What an earlier version wrote is read for ever, and means what it meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from hlbcore import Trial
from hlbcore.ladder.arrays import responses
from hlbcore.ladder.sheet import Cell, LadderSheet

SAVED = Path(__file__).parents[1] / "saved"
FILE = SAVED / "ladder_v1_beeswax_lotion.json"


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


@pytest.mark.parametrize(("version", "seed", "closed"), [(1, "1", False), (2, "77", True)])
def test_a_ladder_as_typed_means_what_it_meant(version: int, seed: str, closed: bool) -> None:
    held = LadderSheet.from_json((SAVED / f"ladder_sheet_v{version}.json").read_text("utf-8"))
    assert (held.seed, held.closed, held.blinded) == (seed, closed, True)
    assert (held.name, held.oils, held.centre) == ("March ladder", "mineral oil 20", "10")
    assert held.cells == (
        Cell("4", "score", "1 day", "", "4"),
        Cell("4", "water layer", "1 day", "40", "3/40"),
    )
    assert held.weighed == (("2", "mineral oil", "9,98"),)
