from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import InvalidInput, Observation, Trial, plan_ladder
from hlbcore.ladder.arrays import responses
from hlbcore.ladder.doubts import label_findings, layer_findings, recorded_ladder
from hlbcore.ladder.families import family_ladder
from hlbcore.ladder.rinse import rinse_ladder
from hlbcore.ladder.trial import NO_TYPE, UNCLEAR

LADDER = plan_ladder(
    "sorbitan oleate",
    "polysorbate 80",
    centre=10,
    half_width=2,
    steps=5,
    oil_phase={"mineral oil": 20},
    vial_mass_g=100,
    seed=1,
)
NAME = {v.number: v.label for v in LADDER.vials}


def scores(*values: float | None, hours: float = 24, kind: str = "score") -> list[Observation]:
    return [Observation(n, hours, kind, v) for n, v in enumerate(values, 1)]


def trial(*seen: Observation, **more: object) -> Trial:
    return Trial(LADDER, observations=tuple(seen), **more)  # type: ignore[arg-type]


# --- arrays for the fit


def test_times_become_columns_and_what_is_missing_is_nan() -> None:
    r = responses(trial(*scores(1, 2, 3, None, 5), *scores(0, 1, 2, 3, hours=168)))
    assert r.hours == (24, 168)
    assert r.values.shape == (5, 2)
    assert np.isnan(r.values).tolist() == [[False, False]] * 3 + [[True, False], [False, True]]
    assert r.better == "higher"


def test_censored_readings_carry_their_side() -> None:
    r = responses(
        trial(Observation(1, 24, "oil layer", 1, 40, "<"), Observation(2, 24, "oil layer", 30, 40, ">")),
        "oil layer",
    )
    assert r.limits[:2, 0].tolist() == [-1, 1]
    assert r.better == "lower"


def test_vials_stand_in_the_order_of_the_hlb_from_the_grams() -> None:
    weighed = ((1, (("sorbitan oleate", 0.25), ("polysorbate 80", 2.25))),)
    r = responses(trial(*scores(1, 2, 3, 4, 5), weighed=weighed))
    assert r.vials == (2, 3, 4, 5, 1)
    assert (np.diff(r.hlb) > 0).all()
    assert r.hlb[-1] == pytest.approx(0.1 * 4.3 + 0.9 * 15)


def test_vials_of_the_other_type_leave_the_fit_and_it_is_said() -> None:
    r = responses(trial(*scores(5, 1, 2, 3, 4), Observation(1, 1, "drop in water", 0)))
    assert r.vials == (2, 3, 4, 5)
    assert r.cautions[0].title == f"Not o/w: vial {NAME[1]}"


def test_all_vials_of_the_other_type_are_refused() -> None:
    with pytest.raises(InvalidInput, match="no vial with one is o/w"):
        responses(trial(*scores(1, 1, 1, 1, 1), *scores(0, 0, 0, 0, 0, kind="drop in water")))


@pytest.mark.parametrize(
    ("water", "oil", "said"),
    [
        (1, 0, "o/w"),
        (0, 1, "w/o"),
        (1, 1, UNCLEAR),
        (0, 0, UNCLEAR),
        (1, None, "o/w"),
        (None, 1, "w/o"),
        (None, None, NO_TYPE),
    ],
    ids=str,
)
def test_a_drop_spreads_in_what_is_its_outer_phase(water: float | None, oil: float | None, said: str) -> None:
    seen = trial(Observation(1, 1, "drop in water", water), Observation(1, 1, "drop in oil", oil))
    assert seen.emulsion_types[1] == said


def test_the_last_test_of_the_type_counts() -> None:
    seen = trial(Observation(1, 24, "drop in water", 0), Observation(1, 1, "drop in water", 1))
    assert seen.emulsion_types[1] == "w/o"


def test_an_unclear_type_stays_in_the_fit_and_is_said() -> None:
    r = responses(
        trial(
            *scores(1, 2, 3, 4, 5), Observation(2, 1, "drop in water", 1), Observation(2, 1, "drop in oil", 1)
        )
    )
    assert 2 in r.vials
    assert f"The emulsion type is unclear: vial {NAME[2]}" in [f.title for f in r.cautions]


def test_readings_after_a_vial_broke_are_missing() -> None:
    r = responses(
        trial(*scores(1, 2, 3, 4, 5), *scores(1, 2, 3, 4, 5, hours=168), Observation(3, 100, "broken", None))
    )
    assert r.values[2, 0] == 3
    assert np.isnan(r.values[2, 1])
    assert f"Vial {NAME[3]} is no more" in [f.title for f in r.cautions]


@pytest.mark.parametrize("seen", [[], scores(None, None, None, None, None)], ids=["none", "all-missing"])
def test_nothing_read_is_refused(seen: list[Observation]) -> None:
    with pytest.raises(InvalidInput, match="readings of score: there are none"):
        responses(trial(*seen))


def test_readings_at_two_temperatures_are_not_mixed() -> None:
    cold, warm = ([replace(o, temperature_c=t) for o in scores(1, 2, 3, 4, 5)] for t in (5.0, 40.0))
    with pytest.raises(InvalidInput, match="5, 40 °C, which do not go together"):
        responses(trial(*cold, *warm))
    assert responses(trial(*cold, *warm), temperature_c="40").values.shape == (5, 1)


def test_bases_of_a_rinse_ladder_have_no_emulsion_type() -> None:
    ladder = rinse_ladder("wash-off scrub", oil_phase={"sunflower oil": 80})
    seen = Trial(ladder, observations=(Observation(1, 0, "milkiness", 4),))
    assert responses(seen, "milkiness").cautions == ()


# --- a trial


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: trial(Observation(9, 1, "score", 2)), "the ladder has no such vial"),
        (lambda: trial(*scores(1), *scores(2)), "given twice at 24 h"),
        (lambda: trial(weighed=((9, ()),)), "the ladder has no such vial"),
        (lambda: trial(weighed=((1, ()), (1, ()))), "listed twice"),
        (lambda: trial(weighed=((1, (("sand", 1.0),)),)), "no such ingredient"),
        (lambda: trial(weighed=((1, (("water", -1.0),)),)), "negative"),
        (lambda: trial(weighed=((1, (("water", 1.0), ("Water", 2.0))),)), "weighed twice"),
        (lambda: trial(name=7), "trial, name"),
    ],
)
def test_what_does_not_fit_the_ladder_is_refused(build: Callable[[], Trial], words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        build()


def test_weighed_grams_lead_over_the_plan() -> None:
    seen = trial(weighed=((1, (("Polysorbate 80", 2.0),)),))
    assert seen.grams(1)["polysorbate 80"] == 2.0
    assert seen.hlb(1) > LADDER.table["hlb_as_weighed"][0]


def test_table_holds_the_hlb_of_each_observation() -> None:
    table = trial(*scores(1, 2)).table
    assert table["hlb"].tolist() == LADDER.table["hlb_as_weighed"].tolist()[:2]


# --- labels against grams

PAIR = {"high": 15.0, "low": 5.0}


def recorded(*rows: tuple[float | None, float, float]) -> list[str]:
    ladder = recorded_ladder([(t, {"high": a, "low": b}) for t, a, b in rows], PAIR)
    return [f.title for f in ladder.cautions]


def test_labels_that_agree_say_nothing() -> None:
    assert recorded((7, 0.2, 0.8), (10, 0.5, 0.5), (13, 0.8, 0.2)) == []


def test_swapped_amounts_are_recognised() -> None:
    titles = recorded((7, 0.8, 0.2), (10, 0.5, 0.5), (12, 0.7, 0.3))
    assert "The two amounts of vial 1 look swapped" in titles
    assert "The vials stand in another order than their labels say" in titles


def test_a_rung_below_the_lowest_member_is_impossible() -> None:
    assert recorded((4, 0.1, 0.9), (10, 0.5, 0.5)) == ["The label of vial 1 cannot be right"]


def test_a_label_that_is_off_is_said() -> None:
    assert recorded((9, 0.5, 0.5), (13, 0.8, 0.2)) == ["Vial 1 is not what its label says"]


def test_emulsifiers_that_do_not_add_up_are_said() -> None:
    assert recorded((7, 0.2, 0.8), (10, 0.6, 0.6), (13, 0.8, 0.2)) == [
        "The emulsifiers of vial 2 do not add up"
    ]


def test_a_vial_without_a_label_is_taken_by_its_grams() -> None:
    assert recorded((None, 0.5, 0.5), (7, 0.2, 0.8)) == []


def test_a_planned_ladder_is_compared_with_what_was_weighed() -> None:
    assert label_findings(trial()) == ()
    swapped = dict(LADDER.vial(1).grams)
    rows = (("sorbitan oleate", swapped["polysorbate 80"]), ("polysorbate 80", swapped["sorbitan oleate"]))
    titles = [f.title for f in label_findings(trial(weighed=((1, rows),)))]
    assert f"The two amounts of vial {LADDER.vial(1).label} look swapped" in titles


def test_rounding_to_the_scale_is_no_mismatch() -> None:
    coarse = plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=2,
        readability_g=0.1,
        oil_phase={"mineral oil": 20},
        vial_mass_g=50,
    )
    assert label_findings(Trial(coarse)) == ()


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([(7, {"sand": 1.0})], "holds none of the emulsifiers"),
        ([(7, {"high": -1})], "negative"),
        ([("x", {"high": 1})], "vial 1, label"),
        ([], "no vials"),
    ],
    ids=["none", "negative", "label", "empty"],
)
def test_recorded_vials_that_cannot_be_used_are_refused(
    rows: list[tuple[object, dict[str, object]]], words: str
) -> None:
    with pytest.raises(InvalidInput, match=words):
        recorded_ladder(rows, PAIR)  # type: ignore[arg-type]


# --- layers against each other


def layers(**rows: tuple[float, ...]) -> list[str]:
    seen = [
        Observation(n, 24, f"{kind} layer", x, of=40)
        for kind, row in rows.items()
        for n, x in enumerate(row, 1)
    ]
    return [f.title for f in layer_findings(trial(*seen))]


def test_layers_that_name_far_vials_disagree() -> None:
    assert layers(water=(1, 2, 3, 4, 5), oil=(5, 4, 3, 2, 1)) == ["Water layer and oil layer disagree"]


def test_layers_that_name_neighbours_agree() -> None:
    assert layers(water=(3, 2, 1, 2, 3), cream=(3, 2, 2, 1, 3)) == []


def test_a_layer_that_is_the_same_in_all_vials_says_nothing() -> None:
    assert layers(water=(1, 2, 3, 4, 5), oil=(0, 0, 0, 0, 0)) == []


def test_water_below_without_oil_above_is_kept_apart() -> None:
    seen = trial(Observation(1, 24, "water layer", 8, of=40), Observation(1, 24, "oil layer", 0, of=40))
    assert seen.table.set_index("kind")["number"].to_dict() == {"water layer": 20, "oil layer": 0}


# --- file

FULL = trial(
    *scores(1, 2, 3, 4, None),
    Observation(1, 168, "oil layer", 1, 40, "<", 40.0, "hazy <b>"),
    Observation(2, 168, "broken", None),
    weighed=((1, (("sorbitan oleate", 1.9), ("polysorbate 80", 0.6))),),
    name="Größe ½",
    made_on="2026-03-01",
)


@pytest.mark.parametrize(
    "saved",
    [
        FULL,
        Trial(family_ladder(10.5, oil_phase={"mineral oil": 20})),
        Trial(rinse_ladder("cleansing balm", oil_phase={"sunflower oil": 70, "beeswax": 9})),
        Trial(recorded_ladder([(4, {"high": 0.1, "low": 1})], PAIR)),
        Trial(plan_ladder(oil_phase={"shea butter": 20}, duplicates=2, blinded=True)),
    ],
    ids=["full", "family", "rinse", "recorded", "blinded"],
)
def test_a_trial_comes_back_from_its_file(saved: Trial) -> None:
    again = Trial.from_json(saved.to_json())
    assert again == saved
    assert again.to_json() == saved.to_json()


def test_file_names_schema_and_version() -> None:
    raw = json.loads(FULL.to_json())
    assert (raw["schema"], raw["version"]) == ("hlbcore ladder", 1)


def changed(**changes: object) -> str:
    return json.dumps(json.loads(FULL.to_json()) | changes)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "cannot be read"),
        ("[]", "cannot be read"),
        ("null", "cannot be read"),
        ("[" * 100_000, "cannot be read"),
        ('{"schema": "hlbcore formula", "version": 1}', "another kind of file"),
        (changed(version=2), "newer version"),
        (changed(version=0), "never a version 0"),
        (changed(version="x"), "cannot be read"),
        (changed(colour="red"), "'colour' is not known"),
        (changed(ladder=None), "cannot be read"),
        (changed(observations=[{"vial": 1}]), "cannot be read"),
        (changed(observations=[{"vial": 1, "hours": 1, "kind": "score", "value": 9}]), "outside"),
        (changed(weighed=[[1, [["water", float("nan")]]]]), "finite"),
        (changed(name="\ud800"), "half a sign"),
    ],
    ids=lambda t: t[:25],
)
def test_what_is_no_trial_is_refused(text: str, words: str) -> None:
    with pytest.raises(InvalidInput, match=words):
        Trial.from_json(text)


def leaves(node: object, path: tuple[object, ...] = ()) -> list[tuple[object, ...]]:
    """Paths to every node of a file."""
    found = [path] if path else []
    rows = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in rows:
        found += leaves(value, (*path, key))
    return found


PATHS = leaves(json.loads(FULL.to_json()))
strange = st.one_of(
    st.none(),
    st.booleans(),
    st.floats(),
    st.integers(-(10**20), 10**320),
    st.text(max_size=5),
    st.just([]),
    st.just({}),
    st.just([[]]),
    st.just([1, 2]),
    st.just({"a": 1}),
    st.just([None]),
)


@settings(max_examples=300)
@given(st.sampled_from(PATHS), strange)
def test_a_file_with_any_wrong_value_is_read_or_refused(path: tuple[object, ...], value: object) -> None:
    raw = json.loads(FULL.to_json())
    node = raw
    for key in path[:-1]:
        node = node[key]
    node[path[-1]] = value
    try:
        back = Trial.from_json(json.dumps(raw))
    except InvalidInput:
        return
    assert Trial.from_json(back.to_json()) == back
    assert len(back.ladder.table) == len(back.ladder.vials)
    assert len(back.table) == len(back.observations)
    label_findings(back)
    layer_findings(back)
