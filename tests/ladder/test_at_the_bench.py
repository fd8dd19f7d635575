"""The ladder at the bench: what it costs, what it takes over, what no list tells, and what comes in."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime

import numpy as np
import pytest
from icalendar import Calendar

import hlbcore as hlb
from hlbcore.intake.ingredients import read_rows
from hlbcore.kept.affected import library_without, own_label
from hlbcore.kept.kinds import LADDER, KeptLadder
from hlbcore.ladder import Trial, label_table, labels_page, read_observations, weighing_page, weighing_table
from hlbcore.ladder.arrays import creaming_layer, responses
from hlbcore.ladder.changes import compare_ladders, ladder_changes
from hlbcore.ladder.cost import ladder_cost
from hlbcore.ladder.drifts import drift_findings
from hlbcore.ladder.elsewhere import ladder_from_rows
from hlbcore.ladder.next_ladder import next_ladders
from hlbcore.ladder.own_system import in_no_vial, other_lines, own_dose, own_pair
from hlbcore.ladder.planner import work_out_ladder
from hlbcore.ladder.record import record_of
from hlbcore.ladder.record_cells import record_table, weighed_table, with_record
from hlbcore.ladder.record_upload import cell_text
from hlbcore.ladder.result import read_ladder
from hlbcore.ladder.sheet import Cell, LadderSheet
from hlbcore.ladder.when import made_at, reading_calendar, reading_tasks
from hlbcore.ladder.words import plan_table

CREAM = hlb.work_out(hlb.example_formula("winter_hand_cream"))
SCRUB = hlb.work_out(hlb.example_formula("garden_hand_scrub"))
OIL = LadderSheet(oils="mineral oil 20", centre="10", half_width="3", seed="1")


def planned(sheet: LadderSheet = OIL, worked: hlb.Worked = CREAM) -> hlb.Ladder:
    made = work_out_ladder(worked, sheet)
    assert made.ladder is not None, made.errors
    return made.ladder


def trial(*seen: hlb.Observation, ladder: hlb.Ladder | None = None) -> Trial:
    return Trial(ladder or planned(), observations=seen)


def scores(*values: float, hours: float = 24, kind: str = "score") -> list[hlb.Observation]:
    return [hlb.Observation(n, hours, kind, v) for n, v in enumerate(values, 1)]


# --- codes that hide


def codes_in(text: str, ladder: hlb.Ladder) -> list[str]:
    return [c for c in re.findall(r"\d{3}", text) if c in {v.label for v in ladder.vials}]


@pytest.mark.parametrize("seed", [str(n) for n in range(1, 6)])
def test_no_list_of_a_blinded_ladder_stands_in_the_order_of_the_hlb(seed: str) -> None:
    ladder = planned(replace(OIL, blinded=True, duplicates="3", seed=seed))
    rising = [v.label for v in ladder.vials]
    assert rising not in (sorted(rising), sorted(rising, reverse=True))
    sheet = replace(OIL, blinded=True)
    lists = {
        "table": ladder.table["label"].tolist(),
        "plan": [str(v) for v in plan_table(ladder)["vial"]],
        "labels": label_table(ladder)["label"].tolist(),
        "weighing": list(dict.fromkeys(weighing_table(ladder)["label"])),
        "readings": record_table(ladder, sheet)["vial"].tolist(),
        "weighed": weighed_table(ladder, sheet)["vial"].tolist(),
        "printed labels": codes_in(
            re.sub(r"<style>.*?</style>", "", labels_page(ladder), flags=re.DOTALL), ladder
        ),
        "file": re.findall(r'"label": "(\d{3})"', Trial(ladder).to_json()),
        "refused": codes_in(
            read_observations([{"vial": "x", "hours": 1, "score": 1}], ladder).problems[0].problem, ladder
        ),
    }
    for name, codes in lists.items():
        assert sorted(codes) == sorted(rising), name
        assert codes not in (rising, rising[::-1]), name
    assert Trial.from_json(Trial(ladder).to_json()).ladder == ladder


def test_weighing_is_listed_in_the_order_of_making_and_reading_by_code() -> None:
    ladder = planned(replace(OIL, blinded=True))
    by_order = [v.label for v in sorted(ladder.vials, key=lambda v: v.order)]
    assert plan_table(ladder)["vial"].tolist() == by_order
    assert record_table(ladder, OIL)["vial"].tolist() == sorted(by_order)


def test_files_of_sheets_keep_the_seed_they_meant_and_whether_readings_are_closed() -> None:
    old = '{"schema":"hlbcore ladder sheet","version":1,"centre":"10"}'
    assert LadderSheet.from_json(old).seed == "1"
    closed = LadderSheet(closed=True)
    assert LadderSheet.from_json(closed.to_json()) == closed


# --- the maker's own pair, dose and lines; what it costs


def test_pair_and_dose_are_the_makers_own() -> None:
    ladder = planned(LadderSheet(seed="1"))
    assert {n for n, _ in ladder.emulsifiers} == {"sorbitan stearate", "polysorbate 60"}
    # 4.5 % in the formula, whose whole oil phase is in the vials at the same share
    assert ladder.emulsifier_pct == pytest.approx(4.5)


def test_of_another_oil_phase_the_makers_dose_says_nothing() -> None:
    assert planned().emulsifier_pct == pytest.approx(0.125 * 20)


def test_a_pair_that_does_not_reach_gives_way_to_the_usual_one() -> None:
    ladder = planned(replace(OIL, centre="16.5", half_width="0.5", steps="3"))
    assert {n for n, _ in ladder.emulsifiers} != {"sorbitan stearate", "polysorbate 60"}


def test_three_emulsifiers_are_no_pair() -> None:
    more = replace(CREAM.formula, lines=(*CREAM.formula.lines, hlb.Line("polysorbate 80", 1, phase="oil")))
    assert own_pair(hlb.work_out(more)) is None
    assert own_dose(hlb.work_out(hlb.Formula()), {"mineral oil": 20}) is None


def test_lines_that_are_in_no_vial_are_named() -> None:
    made = work_out_ladder(CREAM, LadderSheet(seed="1"))
    assert made.left_out.startswith("In no vial: 4 % glycerin")
    assert "water" not in made.left_out
    typed = work_out_ladder(CREAM, LadderSheet(seed="1", others="glycerin 4"))
    assert "glycerin 4" not in typed.left_out
    assert work_out_ladder(CREAM, OIL).left_out == ""


def test_vials_of_a_waterless_product_hold_all_lines_in_one_phase() -> None:
    made = work_out_ladder(SCRUB, LadderSheet(seed="1"))
    assert made.ladder is not None
    assert made.left_out == ""
    assert in_no_vial(SCRUB, made.ladder) == ""
    assert "water" not in made.ladder.ingredients
    salt = other_lines(SCRUB)["sea salt"]
    for v in made.ladder.vials:
        assert dict(v.grams)["sea salt"] == pytest.approx(salt / 100 * made.ladder.vial_mass_g, abs=0.011)
        assert v.total_g == pytest.approx(made.ladder.vial_mass_g)
    assert made.ladder.process.temperature_c == 56.5  # cetearyl alcohol, 51.5 °C, and 5 more
    said = " ".join(made.ladder.process.notes)
    assert "One phase" in said
    assert "Both phases" not in said


def test_the_cost_counts_vials_grams_time_and_what_has_a_price() -> None:
    cost = ladder_cost(planned(), CREAM, times="1 h, 2 weeks")
    assert (cost.vials, cost.total_g, cost.hours) == (7, pytest.approx(350), 336)
    # by hand: 14 and 11 a kg for the two emulsifiers
    stearate, sixty = cost.grams["sorbitan stearate"], cost.grams["polysorbate 60"]
    assert cost.money == pytest.approx((14 * stearate + 11 * sixty) / 1000)
    assert cost.unpriced == ("mineral oil",)
    assert ladder_cost(planned()).money is None
    assert "read over 2 weeks" in cost.words


# --- readings


def test_words_are_kept_as_words_and_never_fitted() -> None:
    ladder = planned()
    name = ladder.vial(1).label
    read = read_observations(
        [{"vial": name, "time": "1 day", "colour": "ivory, as new", "odour": "-"}], ladder
    )
    assert read.problems == ()
    colour, odour = read.observations
    assert (colour.value, cell_text(colour), cell_text(odour)) == (None, "ivory, as new", "-")
    assert read_ladder(Trial(ladder, observations=read.observations)).kinds == ()


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        ({"score": "57"}, "57 is outside the scale"),
        ({"score": "3", "time": "-3 h"}, "time"),
        ({"water layer": "50/40"}, "the layer, 50, is more than the whole, 40"),
        ({"pH": "15"}, "15 is more than 14"),
        ({"viscosity": "0"}, "0 is no size"),
        ({"creaming rate": "3"}, "it follows from the layers"),
        ({"score": "\ud800"}, "is not a number"),
    ],
)
def test_a_reading_that_cannot_be_is_told_in_a_sentence(cells: dict[str, str], words: str) -> None:
    ladder = planned()
    read = read_observations([{"vial": ladder.vial(3).label, "time": "1 day"} | cells], ladder)
    assert read.observations == ()
    assert words in read.report["problem"].item()


def test_half_a_sign_in_a_cell_is_told_and_can_be_kept() -> None:
    ladder = planned()
    sheet = with_record(OIL, ladder, {1: {"score, 1 day": "4\ud800"}}, ["score, 1 day"])
    made = record_of(ladder, sheet)
    assert "'4?' is not a number" in made.problems["problem"].item()
    with hlb.Store(in_memory=True) as store:
        work = store.save(KeptLadder(made.trial, sheet)).work
        assert store.open(work).body.sheet == sheet
    raw = replace(OIL, cells=(Cell("1", "score", "1 day", "", "\ud800"),))
    assert len(record_of(ladder, raw).problems) == 1


def test_creaming_is_the_slope_of_the_layer_against_time() -> None:
    seen = [
        hlb.Observation(v, 24 * day, "water layer", 100 * rate * day / 100, of=100)
        for v, rate in enumerate([4.0, 2.0, 1.0, 0.5, 1.0, 2.0, 4.0], 1)
        for day in (1, 2, 4)
    ]
    made = responses(trial(*seen), "creaming rate")
    assert made.values.ravel() == pytest.approx([4.0, 2.0, 1.0, 0.5, 1.0, 2.0, 4.0])
    assert made.hours == (96,)
    result = read_ladder(trial(*seen), "creaming rate")
    assert result.word == "clear optimum"
    assert {"water layer", "creaming rate"} <= {n for n, _ in result.by_kind}
    once = trial(*(o for o in seen if o.hours == 24))
    assert creaming_layer(once) == ""
    with pytest.raises(hlb.InvalidInput, match="two times"):
        responses(once, "creaming rate")


def test_a_vial_read_once_has_no_rate() -> None:
    seen = [hlb.Observation(v, 24 * d, "cream layer", d, of=40) for v in (1, 2, 3) for d in (1, 2)]
    made = responses(trial(*seen, hlb.Observation(4, 24, "cream layer", 3, of=40)), "creaming rate")
    assert np.isnan(made.values[3, 0])


def test_stress_is_judged_beside_the_score_and_disagreement_said() -> None:
    seen = [*scores(0, 3, 5, 3, 1, 0, 0), *scores(0, 0, 0, 1, 3, 5, 3, kind="after freeze and thaw")]
    result = read_ladder(trial(*seen))
    assert [n for n, _ in result.by_kind] == ["score", "after freeze and thaw"]
    assert "By score and by after freeze and thaw the optimum differs" in [f.title for f in result.findings]


@pytest.mark.parametrize(
    ("kind", "before", "after", "told"),
    [
        ("viscosity", 5000, 3900, True),
        ("viscosity", 5000, 4100, False),
        ("pH", 5.5, 5.1, True),
        ("pH", 5.5, 5.3, False),
    ],
)
def test_what_moves_with_time_is_told_from_a_step_on(
    kind: str, before: float, after: float, told: bool
) -> None:
    made = trial(hlb.Observation(2, 24, kind, before), hlb.Observation(2, 168, kind, after))
    assert bool(drift_findings(made)) is told


def test_a_ladder_weighed_elsewhere_leads_on_where_its_oils_are_known() -> None:
    ladder = ladder_from_rows(read_rows(TABLE.encode(), "seen.csv")).ladder
    made = trial(*scores(1, 4, 2), ladder=ladder)
    fit = read_ladder(made).fit
    assert fit is not None
    (first, *_) = next_ladders(made, fit)
    assert first.sheet.oils == "mineral oil 20"
    assert next_ladders(trial(*scores(1, 4, 2), ladder=replace(ladder, oils=())), fit) == ()


def test_how_much_is_read_stands_in_words() -> None:
    ladder = planned()
    cells = tuple(Cell(str(v.number), "score", "1 day", "", "3") for v in ladder.vials)
    sheet = replace(
        OIL, cells=(*cells, Cell("1", "note", "", "", "odd"), Cell("2", "drop in oil", "at once", "", "no"))
    )
    assert record_of(ladder, sheet).words == "7 of 21 read"
    wrong = replace(sheet, cells=(*sheet.cells, Cell("1", "score", "1 h", "", "57")))
    assert record_of(ladder, wrong).words == "7 of 21 read; 1 cell cannot be used"


# --- next steps


@pytest.mark.parametrize(
    ("read", "extends"),
    [((0, 1, 2, 3, 4, 4, 5), True), ((5, 0, 4, 1, 3, 0, 2), True), ((0, 2, 3, 4, 4, 3, 1), False)],
)
def test_a_ladder_whose_best_stands_at_an_end_can_be_extended(read: tuple[int, ...], extends: bool) -> None:
    made = trial(*scores(*read))
    result = read_ladder(made)
    assert result.fit is not None
    found = [p for p in next_ladders(made, result.fit) if p.extends]
    assert len(found) == int(extends)
    if found:
        assert "beyond the end" in found[0].words


# --- when, and what was changed


def test_reading_times_are_tasks_at_the_hour_of_making() -> None:
    sheet = replace(OIL, made_on="2026-03-01 14:30", times="1 h, 1 day", name="March")
    tasks = reading_tasks(planned(), sheet)
    assert [t.at for t in tasks] == [datetime(2026, 3, 1, 15, 30), datetime(2026, 3, 2, 14, 30)]
    assert [t.title for t in tasks] == ["Read March after 1 h", "Read March after 1 day"]
    events = Calendar.from_ical(reading_calendar(planned(), sheet)).walk("VEVENT")
    assert [e.decoded("dtstart") for e in events] == [t.at for t in tasks]
    assert made_at("2026-03-01") == date(2026, 3, 1)


@pytest.mark.parametrize("text", ["", "soon", "2026-02-30", "01.03.2026", "9" * 40])
def test_a_day_of_making_that_cannot_be_read_is_told(text: str) -> None:
    with pytest.raises(hlb.InvalidInput, match="made on"):
        reading_tasks(planned(), replace(OIL, made_on=text))


def test_what_was_changed_in_a_ladder_is_said_by_its_label() -> None:
    ladder = planned()
    one = replace(OIL, cells=(Cell("1", "score", "1 day", "", "3"), Cell("2", "score", "1 day", "", "4")))
    two = replace(one, name="March", closed=True, cells=(Cell("1", "score", "1 day", "", "5"),))
    rows = {r.what: (r.before, r.after) for r in compare_ladders(ladder, one, two).itertuples()}
    assert rows == {
        "name": ("", "March"),
        "readings closed": ("no", "yes"),
        f"vial {ladder.vial(1).label}, score, 1 day": ("3", "5"),
        f"vial {ladder.vial(2).label}, score, 1 day": ("4", ""),
    }
    assert ladder_changes(ladder, one, two).endswith(" and 1 more")
    assert LADDER.changed(KeptLadder(Trial(ladder), one), KeptLadder(Trial(ladder), one)) == "changed"


def test_two_ladders_of_one_name_do_not_hide_each_other() -> None:
    with hlb.Store(in_memory=True) as store:
        works = [store.save(KeptLadder(Trial(planned(), name="March"), OIL)).work for _ in range(2)]
        labels = [own_label(store, "March", w) for w in works]
        assert len(set(labels)) == 2
        for value, label in zip((9.0, 12.0), labels, strict=True):
            store.add_own(hlb.OwnReading("mineral oil", value, trial=label))
        left = [
            library_without(store, trial=label).oil("mineral oil").required_hlb().value for label in labels
        ]
        assert left == [12.0, 9.0]


# --- paper


def test_the_sheet_has_a_cell_for_every_reading_and_lines_for_who_when_and_which() -> None:
    ladder = planned()
    kinds = ("score", "water layer", "oil layer", "cream layer", "viscosity", "pH", "colour")
    asked = replace(OIL, kinds=kinds, times="1 h, 1 day, 1 week")
    page = weighing_page(ladder, "March", sheet=asked, formula="Winter hand cream", paper="Letter")
    cells = page.count('<td class="cell">')
    # seven kinds at three times, split into six and one, and two drops; a note a row; a lot an ingredient
    assert cells == 7 * (3 * (7 + 2) + 2 + 1) + len(ladder.ingredients)
    for words in (
        "Date",
        "Made by",
        "Winter hand cream",
        "°C",
        "lot",
        "Read by",
        "size: Letter",
        "margin: 10mm",
    ):
        assert words in page
    assert weighing_page(ladder).count("even from top to bottom") == 1


def test_labels_warn_of_skin_and_name_code_and_day() -> None:
    page = labels_page(planned(), "March <b>", made_on="2026-03-01")
    assert page.count("Not for skin, no preservative.") == 7
    assert page.count("2026-03-01") == 7
    assert "March &lt;b&gt;" in page
    scrub = planned(LadderSheet(seed="1"), SCRUB)
    assert "no preservative" not in labels_page(scrub)  # its vials hold one
    assert labels_page(scrub).count("Not for skin.") == 9


# --- a ladder weighed elsewhere

TABLE = (
    "vial;HLB;sorbitan stearate g;polysorbate 60, g;mineral oil [g];water g;time;score;colour\n"
    "a;6,7;1,2;0,3;10;38,5;1 day;2;white\nb;9,5;0,8;0,7;10;38,5;1 day;4;\n"
    "c;9;0,4;1,1;10;38,5;1 day;3;\na;;;;;;1 week;1;\n"
)


def test_a_ladder_weighed_elsewhere_comes_in_with_its_readings() -> None:
    made = ladder_from_rows(read_rows(TABLE.encode(), "seen.csv"), name="theirs")
    assert made.problems.empty
    assert dict(made.ladder.oils) == {"mineral oil": pytest.approx(20)}
    assert made.ladder.emulsifier_pct == pytest.approx(3)
    assert [made.ladder.hlb(v) for v in made.ladder.vials] == pytest.approx(
        [(1.2 * 4.7 + 0.3 * 14.9) / 1.5, (0.8 * 4.7 + 0.7 * 14.9) / 1.5, (0.4 * 4.7 + 1.1 * 14.9) / 1.5]
    )
    read = record_of(made.ladder, made.sheet)
    assert read.problems.empty
    assert {(o.vial, o.hours, o.value) for o in read.trial.observations if o.kind == "score"} == {
        (1, 24, 2),
        (1, 168, 1),
        (2, 24, 4),
        (3, 24, 3),
    }
    assert made.ladder.cautions[0].title == "Vial c is not what its label says"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "file|empty|nothing"),
        ("score;time\n3;1 day\n", "no column vial"),
        ("vial;mineral oil g\na;10\n", "no column of grams is an emulsifier"),
        ("vial;polysorbate 60 g\n\n", "0 vials|nothing|no row"),
        ("vial;polysorbate 60 g\na;1\na;2\n", "listed twice with other grams"),
        ("vial;polysorbate 60 g\na;-1\n", "polysorbate 60"),
        ("vial;polysorbate 60 g\na;\ud800\n", "polysorbate 60|file|sign"),
    ],
)
def test_a_file_that_is_no_ladder_is_told_in_a_sentence(text: str, words: str) -> None:
    with pytest.raises(hlb.HlbError, match=words):
        ladder_from_rows(read_rows(text.encode("utf-8", "surrogatepass"), "seen.csv"))


def test_a_file_of_80_mb_is_refused_with_a_sentence() -> None:
    with pytest.raises(hlb.HlbError, match="MB"):
        read_rows(b"vial;score\n" + b"1;3\n" * 20_000_000, "seen.csv")
