from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import InvalidInput, Ladder, Observation, plan_ladder
from hlbcore.intake.ingredients import read_rows
from hlbcore.ladder import OBSERVATION_KINDS, observation_kind, read_hours
from hlbcore.ladder.kinds import score_table
from hlbcore.ladder.record_table import read_observations


def ladder(*, blinded: bool = False) -> Ladder:
    return plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=3,
        oil_phase={"mineral oil": 20},
        blinded=blinded,
        seed=1,
    )


LADDER = ladder()
NAME = {v.number: v.label for v in LADDER.vials}


def read_one(**cells: object) -> Observation:
    read = read_observations([{"vial": NAME[3], "time": "1 day"} | cells], LADDER)
    assert read.problems == ()
    (seen,) = read.observations
    return seen


def problem(**cells: object) -> str:
    read = read_observations([{"vial": NAME[3], "time": "1 day"} | cells], LADDER)
    assert len(read.problems) == 1, read
    return read.problems[0].problem


# --- kinds


@pytest.mark.parametrize("kind", [k for k in OBSERVATION_KINDS.values() if k.form == "score"])
def test_every_score_has_a_wording_for_each_of_six_steps(kind: object) -> None:
    words = kind.words  # type: ignore[attr-defined]
    assert len(words) == 6
    assert len(set(words)) == 6


def test_score_table_holds_every_step_of_every_score() -> None:
    table = score_table()
    assert table.columns.tolist() == ["kind", "looked_at", "score", "words"]
    assert set(table.groupby("kind")["score"].agg(list).map(tuple)) == {(0, 1, 2, 3, 4, 5)}


def test_no_name_of_a_kind_stands_for_two_kinds() -> None:
    names = [n for k in OBSERVATION_KINDS.values() for n in (k.name, *k.aliases)]
    assert len({n.replace(" ", "") for n in names}) == len(names)


def test_an_unknown_kind_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"'taste': it is not known here\. Use score, water"):
        observation_kind("taste")


# --- one observation


@pytest.mark.parametrize(
    ("args", "words"),
    [
        ((1, 24, "score", 6), "6 is outside the scale. Scores run from 0 to 5"),
        ((1, 24, "score", -1), "vial 1, score: -1 is negative"),
        ((1, 24, "score", math.nan), "not a finite number"),
        ((1, 24, "separated", 0.5), "neither no nor yes"),
        ((1, 24, "droplet size", 0), "0 is no size"),
        ((1, -1, "score", 3), "hours: -1 h is negative"),
        ((1, 1e308, "score", 3), "hours"),
        ((0, 1, "score", 3), "observation, vial"),
        ((1.5, 1, "score", 3), "no whole number"),
        ((1, 24, "water layer", 50, 40), "the layer, 50, is more than the whole, 40"),
        ((1, 24, "water layer", 5, 0), "whole height: 0 is too small"),
        ((1, 24, "score", 3, None, "~"), "limit"),
        ((1, 24, "score", 3, None, "", 900), "temperature"),
    ],
    ids=lambda a: str(a)[:30],
)
def test_observations_that_cannot_be_are_refused(args: tuple[object, ...], words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Observation(*args)  # type: ignore[arg-type]


def test_a_layer_counts_as_per_cent_of_the_height() -> None:
    assert Observation(1, 24, "oil layer", 2, of=50).number == 4.0


def test_a_missing_reading_is_not_a_number() -> None:
    assert math.isnan(Observation(1, 24, "oil layer", None, of=50).number)


# --- what people write


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("15 min", 0.25),
        ("1 h", 1),
        ("24", 24),
        ("2 days", 48),
        ("1d", 24),
        ("1,5 h", 1.5),
        ("1 week", 168),
        ("2 Weeks", 336),
        ("at once", 0),
        (36, 36),
    ],
    ids=str,
)
def test_times_are_read(text: object, hours: float) -> None:
    assert read_hours(text) == pytest.approx(hours)


@pytest.mark.parametrize(
    "text", ["", "soon", "-1 h", "1 fortnight", "nan", "1e400 h", "1 h 2", math.inf, None, "9" * 99]
)
def test_what_is_no_time_is_refused(text: object) -> None:
    with pytest.raises(InvalidInput, match="time: "):
        read_hours(text)


@pytest.mark.parametrize(
    ("cells", "value", "of", "limit"),
    [
        ({"score": "4"}, 4, None, ""),
        ({"score": "3,5"}, 3.5, None, ""),
        ({"Overall score": 2}, 2, None, ""),
        ({"water layer": "3/40 mm"}, 3, 40, ""),
        ({"water layer": "3 mm / 40 mm"}, 3, 40, ""),
        ({"Water": "3 of 40 mL"}, 3, 40, ""),
        ({"water layer": "7,5 %"}, 7.5, 100, ""),
        ({"water layer": "3", "of": "40 mm"}, 3, 40, ""),
        ({"water layer": 0}, 0, 100, ""),
        ({"oil on top": "<1/40 mm"}, 1, 40, "<"),
        ({"cream layer": "≤ 2 %"}, 2, 100, "<"),
        ({"droplet size": ">10 µm"}, 10, None, ">"),
        ({"separated": "not yet"}, 0, None, ""),
        ({"separated": True}, 1, None, ""),
        ({"drop in water": "spreads"}, 1, None, ""),
        ({"emulsion type": "W/O"}, 0, None, ""),
        ({"kind": "score", "value": "5"}, 5, None, ""),
    ],
    ids=lambda c: str(c)[:40],
)
def test_cells_are_read(cells: dict[str, object], value: float, of: float | None, limit: str) -> None:
    seen = read_one(**cells)
    assert (seen.value, seen.of, seen.limit) == (value, of, limit)


@pytest.mark.parametrize("word", ["-", "missing", "n/a", "?"])
def test_a_reading_not_taken_is_kept_as_missing(word: str) -> None:
    assert read_one(score=word).value is None


def test_a_blank_value_beside_a_kind_is_missing() -> None:
    assert read_one(kind="score", value="").value is None


@pytest.mark.parametrize("cells", [{"score": "broke"}, {"broken": "x"}, {"broken": True}], ids=str)
def test_a_vial_that_broke_is_kept_as_an_event(cells: dict[str, object]) -> None:
    assert read_one(**cells).kind == "broken"


def test_temperature_and_note_are_kept() -> None:
    seen = read_one(score="4", temperature="40 °C", note="smells <b>odd</b>")
    assert (seen.temperature_c, seen.note) == (40.0, "smells <b>odd</b>")
    assert read_one(score="4", temperature="104 F") == read_one(score="4", temperature="40 º C")


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"score": "6"}, "outside the scale"),
        ({"score": "good"}, "'good' is not a number"),
        ({"water layer": "3"}, "the whole height is missing"),
        ({"water layer": "41/40"}, "more than the whole"),
        ({"separated": "perhaps"}, "neither yes nor no"),
        ({"emulsion type": "o/o"}, "no emulsion type"),
        ({"taste": "bad"}, "column 'taste': it is not known here"),
        ({"value": "3"}, "Say what was looked at"),
        ({"kind": "taste", "value": "3"}, "'taste': it is not known"),
        ({"score": "3", "time": ""}, "time: it is blank"),
        ({"score": "3", "time": "5"}, "'5' has no unit"),
        ({"score": "3", "time": 5.0}, "'5' has no unit"),
        ({"score": "3", "vial": "99"}, "the ladder has no such vial"),
        ({"score": "3", "vial": " "}, "vial: it is blank"),
        ({"score": "3", "temperature": "100 K"}, "'k' is not a unit known for it"),
        ({"score": "3", "Overall": "4"}, "again"),
        ({"broken": "no"}, "Leave the cell blank"),
    ],
    ids=lambda c: str(c)[:40],
)
def test_cells_that_cannot_be_used_are_reported(cells: dict[str, object], words: str) -> None:
    assert words in problem(**cells)


def test_a_bad_cell_leaves_the_rest_of_the_table_alone() -> None:
    rows = [
        {"vial": NAME[1], "hours": "24", "score": "2", "oil layer": "x"},
        {},
        {"vial": NAME[2], "hours": "24", "score": "3", "oil layer": ""},
    ]
    read = read_observations(rows, LADDER)
    assert [(o.vial, o.kind) for o in read.observations] == [(1, "score"), (2, "score")]
    assert read.report.iloc[0].tolist()[:2] == [1, "oil layer"]


def test_one_reading_given_twice_is_reported_and_the_first_kept() -> None:
    row = {"vial": "1", "hours": "24", "score": "2"}
    read = read_observations([row, row | {"score": "4", "hours": "24.0"}], LADDER)
    assert [o.value for o in read.observations] == [2.0]
    assert "given twice" in read.problems[0].problem


def test_blinded_vials_are_found_by_code_and_never_by_number() -> None:
    coded = ladder(blinded=True)
    code = coded.vial(5).label
    read = read_observations([{"vial": code, "hours": 1, "score": 3}], coded)
    assert read.observations[0].vial == 5
    assert read_observations([{"vial": "5", "hours": 1, "score": 3}], coded).observations == ()


def test_numbers_of_a_spreadsheet_are_read() -> None:
    read = read_observations(
        [{"vial": float(NAME[3]), "hours": 24.0, "score": 2.0, "note": math.nan}], LADDER
    )
    assert read.observations == (Observation(3, 24, "score", 2),)


junk = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=30),
    st.sampled_from(["3/40 mm", "1 day", "<3", "broke", "5 %", "٣", "½", "1e999", "\x00", "3 of"]),
)
columns = st.one_of(
    st.sampled_from(
        ["vial", "time", "hours", "kind", "value", "of", "temperature", "note", *OBSERVATION_KINDS]
    ),
    st.text(max_size=10),
)


@settings(max_examples=200)
@given(st.lists(st.dictionaries(columns, junk, max_size=6), max_size=4))
def test_any_table_is_read_or_reported(rows: list[dict[str, object]]) -> None:
    read = read_observations(rows, LADDER)
    assert len(read.report) == len(read.problems)
    for o in read.observations:
        assert o.value is None or math.isfinite(o.number)


def test_a_table_of_a_file_is_read() -> None:
    text = (
        "vial;time;score;water layer;temp;note\n"
        f"{NAME[1]};1 day;3,5;3/40 mm;40;\n{NAME[2]};1 day;broke;;;fell\n"
    )
    rows = read_rows(text.encode(), "ladder.csv")
    cells = [dict(zip(rows.header, row, strict=False)) for row in rows.rows]
    read = read_observations(cells, LADDER)
    assert read.problems == ()
    assert [(o.vial, o.kind, o.number) for o in read.observations[:2]] == [
        (1, "score", 3.5),
        (1, "water layer", 7.5),
    ]
    assert (read.observations[2].kind, read.observations[2].note) == ("broken", "fell")
