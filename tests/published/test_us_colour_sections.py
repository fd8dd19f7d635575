"""Limits and places of the US list against the sections that were seen."""

from __future__ import annotations

import pytest

from hlbcore.rules.colours import us_colours

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("section", "colour", "pct"),
    [
        ("21 CFR 74.2255", "D&C Orange No. 5", 5.0),  # e-CFR, 2019-11-15
        ("21 CFR 74.2333", "D&C Red No. 33", 3.0),  # copy, currency 2026-04-05
        ("21 CFR 74.2336", "D&C Red No. 36", 3.0),  # FDA entry of the colour
    ],
)
def test_limit_for_lips(section: str, colour: str, pct: float) -> None:
    (row,) = us_colours().find(colour)
    assert row.section == section
    assert row.limit_at("lips") == pct


def test_luminescent_zinc_sulfide_is_at_most_10_pct_in_face_make_up() -> None:
    # 21 CFR 73.2995, as of 2022-10-02
    (row,) = us_colours().find("Luminescent zinc sulfide")
    assert row.section == "21 CFR 73.2995"
    assert (row.limit_at("face"), row.use("body"), row.use("face")) == (10.0, "no", "makeup")


@pytest.mark.parametrize(
    ("section", "colour", "lips", "eyes"),
    [
        ("21 CFR 73.2725", "Ultramarines", "no", "yes"),  # copy of 2002
        ("21 CFR 73.2299", "Ferric ferrocyanide", "no", "yes"),  # currency 2026-04-05
        ("21 CFR 73.2250", "Iron oxides", "yes", "yes"),  # currency 2026-04-05
        ("21 CFR 73.2496", "Mica", "yes", "yes"),  # copy of 2002
        ("21 CFR 73.2575", "Titanium dioxide", "yes", "yes"),  # e-CFR, 2020-08-10
        ("21 CFR 74.2254", "D&C Orange No. 4", "no", "no"),  # 2024-03-22
        ("21 CFR 74.2321", "D&C Red No. 21", "yes", "no"),  # copy of 2002
    ],
)
def test_places_of_a_section(section: str, colour: str, lips: str, eyes: str) -> None:
    (row,) = us_colours().find(colour)
    assert row.section == section
    assert (row.use("lips"), row.use("eye area")) == (lips, eyes)
