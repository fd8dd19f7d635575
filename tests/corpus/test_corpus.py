"""What is said of the printed formulas of ``formulas.jsonl``, in pooled figures.

No figure of the tool is tuned by an outcome; these bounds keep it from becoming noisy or wrong again.
"""

from __future__ import annotations

import statistics

import pytest

from tests.corpus.measure import Said, corpus, said_of

RIGHTLY_STOPPED = {"wo05": "water and no preservative", "wo10": "water and no preservative"}
"""Good formulas that hold no preservative: they were made for oneself, not for sale."""

WORDS = (
    "inside",
    "outside",
    "in its supplier's range",
    "outside its supplier's range",
    "no verdict",
    "cannot say",
)


@pytest.fixture(scope="module")
def rows() -> list[Said]:
    return [said_of(*one) for one in corpus()]


@pytest.fixture(scope="module")
def sound(rows: list[Said]) -> list[Said]:
    return [r for r in rows if r.outcome != "failed" and not r.rung]


def test_every_formula_gets_a_verdict_or_why_not(rows: list[Said]) -> None:
    assert [r.id for r in rows if not r.word.startswith(WORDS)] == []


def test_no_good_formula_is_outside_by_hlb(rows: list[Said]) -> None:
    good = [r for r in rows if r.outcome == "good" and not r.rung]
    assert [r.id for r in good if r.rule == "HLB" and r.word == "outside"] == []


def test_no_good_formula_is_stopped_wrongly(rows: list[Said]) -> None:
    good = [r for r in rows if r.outcome == "good" and not r.rung]
    stops = {r.id: f.title.casefold() for r in good for f in r.findings if f.level == "stop"}
    assert stops == RIGHTLY_STOPPED


def test_at_least_a_quarter_is_judged_by_a_rule(rows: list[Said]) -> None:
    assert sum(r.rule != "none" for r in rows) >= len(rows) / 4


def test_sound_formulas_get_few_cautions_and_few_findings(sound: list[Said]) -> None:
    cautions = [r.count("caution") for r in sound]
    assert statistics.median(cautions) <= 2
    assert statistics.quantiles(cautions, n=10, method="inclusive")[-1] <= 4
    assert max(len(r.first) for r in sound) <= 6


def test_stated_causes_are_named_in_four_of_five(rows: list[Said]) -> None:
    told = [r for r in rows if r.named is not None and not r.rung]
    assert len(told) == 18
    assert sum(bool(r.named) for r in told) >= 0.8 * len(told)
