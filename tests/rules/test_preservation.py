from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore.errors import InvalidInput, TableError
from hlbcore.folders import data_folder
from hlbcore.rules.preservation import acid_share, diluted, legal_sums, split_blends
from hlbcore.rules.preservatives import COLUMNS, PKA, preservatives, read_preservatives


# the shares that follow from the acid constants, computed by hand to the digits given
@pytest.mark.parametrize(
    ("acid", "ph", "percent"),
    [
        ("benzoic", 3.4, "86"),
        ("benzoic", 4.4, "39"),
        ("benzoic", 5.0, "14"),
        ("benzoic", 5.5, "4.8"),
        ("benzoic", 6.0, "1.6"),
        ("sorbic", 5.0, "37"),
        ("sorbic", 5.5, "15"),
        ("sorbic", 6.0, "5.4"),
    ],
)
def test_acid_share_at_round_ph(acid: str, ph: float, percent: str) -> None:
    assert f"{100 * acid_share(ph, PKA[acid]):.2g}" == percent


@given(ph=st.floats(0, 13.9), step=st.floats(0.01, 0.1))
def test_acid_share_falls_with_ph(ph: float, step: float) -> None:
    assert acid_share(ph + step, 4.2) < acid_share(ph, 4.2)


def test_acid_share_is_half_at_the_acid_constant() -> None:
    assert acid_share(4.76, 4.76) == 0.5


def test_ph_out_of_range_is_named() -> None:
    with pytest.raises(InvalidInput, match=r"pH.*Enter 0 to 14"):
        acid_share(15, 4.2)


# common practice, no source: 1 g of colour to 10 oz leaves 0.7 % preservative at 0.7 %
def test_1_g_of_colour_to_10_oz_leaves_0_7_percent_when_rounded() -> None:
    share = diluted(0.7, 100 * 1 / (10 * 28.349523125))
    assert share < 0.7
    assert f"{share:.1f}" == "0.7"


def test_what_is_added_is_refused_below_0() -> None:
    with pytest.raises(InvalidInput, match=r"Enter 0 ?% or more"):
        diluted(1.0, -1)


def test_a_blend_is_split_by_its_shares() -> None:
    held, missing = split_blends([("benzyl_alcohol_and_dehydroacetic_acid", 1.0)])
    assert held == pytest.approx({"benzyl_alcohol": 0.87, "dehydroacetic_acid": 0.08})
    assert missing == ()


def test_shares_that_only_the_supplier_knows_are_missing_not_guessed() -> None:
    held, missing = split_blends([("phenoxyethanol_and_parabens", 1.0)])
    assert held == {}
    assert missing == ("phenoxyethanol_and_parabens",)


def test_salts_of_one_entry_add_up_on_the_acid() -> None:
    [one] = legal_sums({"benzoic_acid": 0.3, "sodium_benzoate": 0.3}, leave_on=True)
    assert one.pct == pytest.approx(0.3 + 0.3 * 0.847)
    assert one.over


def test_rinse_off_has_its_own_maximum() -> None:
    [one] = legal_sums({"benzoic_acid": 2.4}, leave_on=False)
    assert (one.max_pct, one.over) == (2.5, False)


# Commission Regulation (EU) No 1004/2014, entries 12 and 12a of Annex V
@pytest.mark.parametrize(
    ("amounts", "over"),
    [
        ({"methylparaben": 0.44}, False),
        ({"methylparaben": 0.45}, True),
        ({"methylparaben": 0.4, "ethylparaben": 0.4}, False),
        ({"propylparaben": 0.18}, False),
        ({"propylparaben": 0.1, "butylparaben": 0.1}, True),
        ({"methylparaben": 0.4, "ethylparaben": 0.4, "propylparaben": 0.15}, True),
    ],
    ids=["one ester", "one ester over", "two esters", "propyl", "propyl and butyl", "all"],
)
def test_paraben_sums(amounts: dict[str, float], over: bool) -> None:
    assert any(s.over for s in legal_sums(amounts, leave_on=True)) is over


def test_the_sum_of_all_parabens_alone_can_be_over() -> None:
    amounts = {"methylparaben": 0.4, "ethylparaben": 0.4, "propylparaben": 0.15}
    assert [s.max_pct for s in legal_sums(amounts, leave_on=True) if s.over] == [0.8]


@pytest.mark.parametrize("name", ["isobutylparaben", "formaldehyde", "quaternium_15"])
def test_prohibited_is_over_at_any_amount(name: str) -> None:
    assert [s.over for s in legal_sums({name: 1e-4}, leave_on=False)] == [True]


def test_methylisothiazolinone_is_for_rinse_off_only() -> None:
    amounts = {"methylisothiazolinone": 0.001}
    assert [s.over for s in legal_sums(amounts, leave_on=False)] == [False]
    assert [s.over for s in legal_sums(amounts, leave_on=True)] == [True]


def test_what_has_no_limit_gives_no_sum() -> None:
    assert legal_sums({"phenylpropanol": 5.0}, leave_on=True) == ()


# --- the reader

GOOD = dict.fromkeys(COLUMNS, "") | {
    "id": "phenoxyethanol",
    "annex_entry": "29",
    "listed": "yes",
    "role": "preservative",
    "rinse_off_max_pct": "1",
    "leave_on_max_pct": "1",
    "factor_to_basis": "1",
    "limit_grade": "published",
    "limit_source": "cosing_annex_v_2015",
    "releases_formaldehyde": "no",
}


def written(folder: Path, **changed: str) -> Path:
    row = ",".join((GOOD | changed)[c] for c in COLUMNS)
    (folder / "preservatives.csv").write_text(f"{','.join(COLUMNS)}\n{row}\n", encoding="utf-8")
    return folder


def test_a_good_row_is_read(tmp_path: Path) -> None:
    assert read_preservatives(written(tmp_path))["phenoxyethanol"].leave_on_max_pct == 1.0


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("id", "nobody"),
        ("listed", "perhaps"),
        ("role", "helper"),
        ("ph_max", "acid"),
        ("leave_on_max_pct", "120"),
        ("limit_grade", "rumour"),
        ("limit_source", "nobody_1900"),
        ("limit_source", ""),
        ("use_source", "cosing_annex_v_2015"),
        ("acid", "citric"),
        ("not_for", "knees"),
        ("parts", "nobody 50"),
        ("parts", "phenoxyethanol"),
        ("parts", "phenoxyethanol 120"),
        ("releases_formaldehyde", ""),
        ("phase", "air"),
    ],
)
def test_a_bad_cell_is_named_by_file_line_and_column(tmp_path: Path, column: str, text: str) -> None:
    with pytest.raises(TableError, match=f"preservatives.csv, line 2, column '{column}'"):
        read_preservatives(written(tmp_path, **{column: text}))


def test_a_window_upside_down_is_named(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"column 'ph_min'.*rising order"):
        read_preservatives(written(tmp_path, ph_min="8", ph_max="3"))


def test_a_row_twice_is_named(tmp_path: Path) -> None:
    path = written(tmp_path) / "preservatives.csv"
    text = path.read_text(encoding="utf-8")
    path.write_text(text + text.splitlines()[1] + "\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"line 3, column 'id'.*stands twice"):
        read_preservatives(tmp_path)


def test_built_in_table_is_the_one_of_the_data_folder() -> None:
    assert dict(preservatives()) == read_preservatives(data_folder())
