"""European Commission. Commission Regulation (EU) No 1004/2014, amending Annex V.

Official Journal of the European Union, 2014.
https://eur-lex.europa.eu/legal-content/EN/TXT/?uri=celex%3A32014R1004
Entries 12 and 12a, the limits as read.
"""

from __future__ import annotations

import pytest

from hlbcore.rules.preservation import LegalSum, legal_sums

pytestmark = pytest.mark.published


def sums(**amounts: float) -> dict[str, LegalSum]:
    return {s.entry: s for s in legal_sums(amounts, leave_on=True)}


def test_entry_12_one_ester_at_most_0_4_percent_as_acid() -> None:
    assert sums(methylparaben=0.1)["12"].max_pct == 0.4


def test_entry_12_mixtures_at_most_0_8_percent_as_acid() -> None:
    both = sums(methylparaben=0.1, ethylparaben=0.1)
    assert both["12 and 12a, all parabens"].max_pct == 0.8


def test_entry_12a_propyl_and_butyl_together_at_most_0_14_percent_as_acid() -> None:
    one = sums(propylparaben=0.1, butylparaben=0.1)["12a"]
    assert one.max_pct == 0.14
    assert one.ids == ("propylparaben", "butylparaben")
