"""What ladders say together: the closed form against general solvers, open ends, order, circles."""

from __future__ import annotations

import random
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

import hlbcore as hlb
from hlbcore import BenchResult, learn
from hlbcore.errors import EmptyPhase
from hlbcore.ladder import fit_trial
from hlbcore.ladder.value import measured_value
from hlbcore.learning.prior import start_of
from hlbcore.learning.solving import DEPARTURE_FACTOR, DEPARTURE_SD, DEPARTURES, EDGE_SD, likeness, mixing

SOLID = ("sorbitan stearate", "polysorbate 60")
OLEATE = ("sorbitan oleate", "polysorbate 80")
LADDERS = (
    BenchResult({"sunflower oil": 10, "shea butter": 5}, SOLID, 7.6, 7.0, 8.3, name="a"),
    BenchResult({"jojoba oil": 6, "shea butter": 6, "beeswax": 2}, SOLID, 8.9, 8.1, 9.4, name="b"),
    BenchResult({"sunflower oil": 12, "mineral oil": 8}, OLEATE, 9.4, 8.9, 10.1, name="c"),
    BenchResult({"mineral oil": 1}, OLEATE, 11.2, 10.5, 11.9, name="d"),
    BenchResult({"sunflower oil": 1, "castor oil": 1}, ("ceteth-2", "ceteth-20"), 9.1, 8.2, 10.4, name="e"),
)


def by_least_squares(ladders: tuple[BenchResult, ...], departure: float) -> dict[str, tuple[float, float]]:
    """Every unknown as a parameter of its own, priors and ladders as rows of one least-squares problem."""
    library = hlb.load_library()
    names = sorted({n for x in ladders for n, _ in x.phase})
    starts = [start_of(library.oil(n), "o/w", library) for n in names]
    roots = sorted({r for s in starts for r in s.roots})
    pairs = sorted({x.pair for x in ladders})
    shares = np.zeros((len(ladders), len(names)))
    for row, x in enumerate(ladders):
        for n, m in x.phase:
            shares[row, names.index(n)] = m / sum(m for _, m in x.phase)
    apart = np.exp(-np.abs(shares[:, None] - shares[None]).sum(axis=2) / 2 / 0.3)
    amount = np.sqrt(np.minimum(1, 2 * (1 - (shares**2).sum(axis=1))))
    mixed = np.flatnonzero(amount > 0)
    size = [len(names), len(roots), len(pairs), len(mixed)]
    at = np.cumsum([0, *size])
    rows: list[NDArray[np.float64]] = []
    right: list[float] = []

    def add(row: NDArray[np.float64], value: float, sd: float) -> None:
        rows.append(row / sd)
        right.append(value / sd)

    own = np.eye(at[-1])
    for n, s in enumerate(starts):  # what is its own, beside what its roots share
        add(own[n], 0.0, s.estimate.sd * (0.75 if s.roots else 1.0) ** 0.5)
    for n in range(at[1], at[3]):
        add(own[n], 0.0, 1.0 if n < at[2] else 0.5)
    departs = departure**2 * (amount[:, None] * amount * apart)[np.ix_(mixed, mixed)]
    white = np.linalg.inv(np.linalg.cholesky(departs))
    for row in white:
        add(np.concatenate([np.zeros(at[3]), row]), 0.0, 1.0)
    oil = np.zeros((len(names), at[-1]))
    for n, s in enumerate(starts):
        oil[n, n] = 1.0
        for r in s.roots:
            oil[n, at[1] + roots.index(r)] = s.estimate.sd * 0.5 / len(s.roots) ** 0.5
    table = np.array([s.estimate.value for s in starts])
    for n, x in enumerate(ladders):
        row = shares[n] @ oil
        row[at[2] + pairs.index(x.pair)] += 1.0
        if n in mixed:
            row[at[3] + int(np.searchsorted(mixed, n))] += 1.0
        add(row, x.value - float(shares[n] @ table), x.sd)
    matrix = np.array(rows)
    solved = np.linalg.lstsq(matrix, np.array(right), rcond=None)[0]
    covariance = np.linalg.pinv(matrix.T @ matrix)
    found = {
        n: (float(table[i] + oil[i] @ solved), float(np.sqrt(oil[i] @ covariance @ oil[i])))
        for i, n in enumerate(names)
    }
    for n, p in enumerate(pairs):
        found[" with ".join(p)] = (float(solved[at[2] + n]), float(covariance[at[2] + n, at[2] + n] ** 0.5))
    return found


def test_the_closed_form_agrees_with_a_general_least_squares_solver() -> None:
    wanted = by_least_squares(LADDERS, 0.4)
    made = learn(LADDERS, departure=0.4)
    figures = made.figures.set_index("ingredient")
    pairs = made.pairs.set_index("pair")
    for name, (value, sd) in wanted.items():
        if name in pairs.index:
            found = pairs.loc[name]
            got = found["effect"], (found["high"] - found["low"]) / 2 / norm.ppf(0.975)
        else:
            found = figures.loc[hlb.load_library().oil(name).common_name]
            got = found["value"], found["sd"]
        assert got == pytest.approx((value, sd), abs=1e-9), name


def test_any_order_gives_the_same() -> None:
    one = learn(LADDERS)
    for seed in range(3):
        mixed = random.Random(seed).sample(LADDERS, len(LADDERS))
        two = learn(mixed)
        assert two.figures.equals(one.figures)
        assert two.pairs.equals(one.pairs)
        assert two.ladders.equals(one.ladders)
        assert two.departure_sd == one.departure_sd


def test_the_same_ladder_twice_counts_once() -> None:
    again = BenchResult([("shea butter", 10), ("sunflower oil", 20)], SOLID[::-1], 7.6, 7.0, 8.3, name="a")
    assert learn([*LADDERS, LADDERS[0], again]).figures.equals(learn(LADDERS).figures)


def test_nothing_is_learned_from_nothing() -> None:
    made = learn([])
    phase = {"sunflower oil": 10, "shea butter": 5}
    assert made.required(phase).value == pytest.approx(hlb.required_hlb(phase).value, abs=1e-12)
    assert (made.figures["value"] == made.figures["tables_value"]).all()
    assert made.required(phase).provenance.startswith("nothing learned yet; tables say")
    assert made.word == "nothing learned yet"
    assert made.words == "No ladder has an optimum yet. The tables' figures stand."
    assert not made.ready


def test_the_size_of_departures_is_the_mean_by_marginal_likelihood() -> None:
    made = learn(LADDERS)
    e = made.equations
    additive = made.prior.between(e.shares, e.shares) + 0.25 * e.effects @ e.effects.T
    read = np.array([x.value for x in e.used])
    noise = np.diag([x.sd**2 for x in e.used])
    score = [
        multivariate_normal.logpdf(read, e.mean, additive + d * d * likeness(e.shares, e.shares) + noise)
        + norm.logpdf(np.log(d), np.log(DEPARTURE_SD), np.log(DEPARTURE_FACTOR))
        for d in DEPARTURES
    ]
    weight = np.exp(np.array(score)) * np.gradient(np.log(DEPARTURES))
    assert made.departure_sd == pytest.approx(weight @ DEPARTURES / weight.sum(), abs=1e-9)


@pytest.mark.parametrize("closed", [(), LADDERS[:2]], ids=["alone", "beside closed ones"])
@pytest.mark.parametrize(("low", "high"), [(9.0, None), (None, 6.0)], ids=["above 9", "below 6"])
def test_an_open_end_matches_the_moments_of_its_likelihood(
    low: float | None, high: float | None, closed: tuple[BenchResult, ...]
) -> None:
    phase = {"sunflower oil": 1, "castor oil": 1}
    before = learn(closed, departure=0.4).required(phase, pair=SOLID)
    x = BenchResult(phase, SOLID, None, low, high)
    after = learn([*closed, x], departure=0.4).required(phase, pair=SOLID)

    def density(h: float) -> float:
        seen = norm.cdf((h - low) / EDGE_SD) if low is not None else norm.cdf((high - h) / EDGE_SD)
        return float(seen * norm.pdf(h, before.value, before.sd))

    whole, mean, square = (
        quad(lambda h, p=p: h**p * density(h), 0, 20, epsabs=1e-12, points=[before.value])[0]
        for p in range(3)
    )
    assert after.value == pytest.approx(mean / whole, abs=1e-6)
    assert after.sd == pytest.approx((square / whole - (mean / whole) ** 2) ** 0.5, abs=1e-6)


def test_several_open_ends_agree_with_a_grid() -> None:
    """Two phases alike but for the pair, one bounded above and one below: integrated over both optima."""
    ends = [
        BenchResult({"mineral oil": 1}, SOLID, None, 11.0, None),
        BenchResult({"mineral oil": 1}, OLEATE, None, None, 10.5),
    ]
    made = learn(ends, departure=0.4)
    e = made.equations
    at = np.linspace(4, 18, 500)
    a, b = np.meshgrid(at, at, indexing="ij")
    weight = multivariate_normal.pdf(np.dstack([a, b]), e.mean, e.prior)
    for grid, x in zip((a, b), e.used, strict=True):
        weight = weight * norm.cdf((grid - x.edge) / EDGE_SD * (1 if x.kind == "above" else -1))
    wanted = (weight * a).sum() / weight.sum()
    found = made.required(dict(e.used[0].phase), pair=e.used[0].pair).value
    assert found == pytest.approx(wanted, abs=0.01)


def test_a_flat_ladder_says_nothing_and_is_listed() -> None:
    flat = BenchResult({"shea butter": 1}, SOLID, name="flat one")
    made = learn([*LADDERS, flat])
    assert made.figures.equals(learn(LADDERS).figures)
    assert made.ladders.set_index("ladder").loc["flat one", "word"] == "flat: not used"


def test_a_phase_that_was_laddered_keeps_its_own_optimum() -> None:
    odd = BenchResult({"jojoba oil": 5, "coconut oil": 5}, SOLID, 11.0, 10.6, 11.4)
    made = learn([*LADDERS, odd], departure=1.0)
    assert made.required(dict(odd.phase), pair=SOLID).value == pytest.approx(11.0, abs=0.25)
    alike, unlike = ({"jojoba oil": s, "coconut oil": 10 - s} for s in (5.5, 9.8))
    gaps = [abs(made.required(p, pair=SOLID).value - 11.0) for p in (dict(odd.phase), alike, unlike)]
    assert all(a < b for a, b in pairwise(gaps))


def test_a_single_oil_departs_from_nothing() -> None:
    assert mixing(np.array([[1.0, 0.0], [0.5, 0.5], [0.9, 0.1]])) == pytest.approx([0.0, 1.0, 0.6])


def test_without_its_pair_a_phase_is_less_sure() -> None:
    made = learn(LADDERS)
    phase = {"sunflower oil": 10, "shea butter": 5}
    known, anyhow = made.required(phase, pair=SOLID), made.required(phase)
    stranger = made.required(phase, pair=("steareth-2", "steareth-21"))
    assert anyhow.sd > known.sd
    assert (stranger.value, stranger.sd, stranger.pair) == (anyhow.value, anyhow.sd, ())


def test_surprise_is_that_of_a_fit_without_the_ladder() -> None:
    made = learn(LADDERS, departure=0.5)
    row = made.ladders.set_index("ladder").loc["c"]
    rest = learn([x for x in LADDERS if x.name != "c"], departure=0.5)
    said = rest.required(dict(LADDERS[2].phase), pair=OLEATE)
    sd = (said.sd**2 + LADDERS[2].sd ** 2) ** 0.5
    assert row["others"] == pytest.approx(said.value, abs=1e-9)
    assert row["surprise"] == pytest.approx((9.4 - said.value) / sd, abs=1e-9)


def test_a_ladder_far_from_what_the_others_say_is_named() -> None:
    wrong = BenchResult({"sunflower oil": 10, "shea butter": 6}, SOLID, 14.0, 13.5, 14.5, name="slip")
    top = learn([*LADDERS, wrong]).ladders.iloc[0]
    assert (top["ladder"], top["word"]) == ("slip", "does not fit: check its record")


@pytest.mark.parametrize(
    ("end", "sign"), [({"low": 5}, 0), ({"low": 13}, 1), ({"high": 13}, 0), ({"high": 4}, -1)]
)
def test_an_open_end_surprises_only_by_what_lies_beyond_it(end: dict[str, float], sign: int) -> None:
    half = BenchResult({"shea butter": 1, "sunflower oil": 1}, SOLID, name="half", **end)
    row = learn([*LADDERS, half]).ladders.set_index("ladder").loc["half"]
    said = learn(LADDERS, departure=0.5).required(dict(half.phase), pair=SOLID)
    assert row["others"] == pytest.approx(said.value, abs=0.1)
    assert np.sign(row["surprise"]) == sign
    assert (row["word"] == "fits; its end is open") is (sign == 0)


def test_each_ladder_is_read_for_its_own_phase_with_its_pair() -> None:
    made = learn(LADDERS)
    for x, own in made.own_phases:
        assert own == made.required(dict(x.phase), pair=x.pair)
    assert len(made.own_phases) == len(LADDERS)


def test_a_band_that_passed_counts_by_its_middle() -> None:
    assert BenchResult({"shea butter": 1}, SOLID, None, 7.0, 9.0).value == 8.0


def test_an_optimum_without_an_interval_counts_as_one_hlb_to_either_side() -> None:
    bare = BenchResult({"shea butter": 1}, SOLID, 8.0)
    assert bare.sd == pytest.approx(BenchResult({"shea butter": 1}, SOLID, 8.0, 7.0, 9.0).sd)


def test_phases_that_are_all_but_the_same_are_solved_to_the_last_digits() -> None:
    near = [
        BenchResult({"sunflower oil": 10, "shea butter": 5 + n * 1e-9}, SOLID, 7.6, 7.55, 7.65, name=f"n{n}")
        for n in range(40)
    ]
    made = learn(near, departure=0.4)
    e = made.equations
    whole = e.prior + np.diag([x.sd**2 for x in e.used])
    eye = whole @ e.solved.inverse
    assert abs(eye - np.eye(40)).max() < 1e-9
    assert made.required({"sunflower oil": 2, "shea butter": 1}, pair=SOLID).value == pytest.approx(
        7.6, abs=0.01
    )


def test_ladders_that_moved_a_figure_are_named_and_taking_one_out_undoes_it() -> None:
    made = learn(LADDERS)
    assert "a" in made.figures.set_index("ingredient").loc["sunflower oil", "moved_by"]
    fifth = LADDERS[-1]
    rest = learn([x for x in learn(LADDERS).given if x != fifth])
    assert rest.figures.equals(learn(LADDERS[:-1]).figures)


def test_too_few_and_foretold_no_better_are_said() -> None:
    few = learn(LADDERS[:1])
    assert few.word == "too few to learn from"
    assert few.words.startswith("1 mixture has been laddered, 3 are needed.")
    assert "0.9 HLB, by the tables to 1.1. Your phases depart" in learn(LADDERS).words
    scatter = [
        BenchResult({"sunflower oil": 1, o: 1}, SOLID, v, v - 0.5, v + 0.5)
        for o, v in (("shea butter", 9.5), ("jojoba oil", 4.9), ("cocoa butter", 8.9), ("avocado oil", 4.6))
    ]
    made = learn(scatter)
    assert not made.ready
    assert made.word == "nothing to learn yet"
    assert made.words.endswith("Each ladder speaks for its own phase only.")


def test_ladders_of_the_other_emulsion_type_are_left_out() -> None:
    other = BenchResult({"mineral oil": 1}, OLEATE, 5.0, 4.5, 5.5, emulsion="w/o", name="w")
    made = learn([*LADDERS, other])
    assert made.figures.equals(learn(LADDERS).figures)
    assert made.ladders.set_index("ladder").loc["w", "word"] == "w/o: not used"


# what cannot be used


def test_a_phase_that_adds_to_nothing_is_refused() -> None:
    with pytest.raises(EmptyPhase, match=r"oil phase of ladder 'x' has no amount above 0\. Enter the oils"):
        BenchResult({"shea butter": 0}, SOLID, 8.0, name="x")
    with pytest.raises(EmptyPhase, match="Nothing in it counts as oil"):
        learn([BenchResult({"water": 3}, SOLID, 8.0)])


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"optimum": 57}, r"ladder of shea butter, optimum: 57 .*40"),
        ({"optimum": float("nan")}, "optimum"),
        ({"optimum": -1}, "optimum"),
        ({"optimum": "about ten"}, "not a number"),
        ({"optimum": 8, "low": 8.5, "high": 9}, "not in rising order"),
        ({"optimum": 8, "low": 9}, "not in rising order"),
        ({"optimum": 8, "dose_pct": 130}, "dose"),
        ({"optimum": 8, "emulsion": "oil"}, "emulsion"),
        ({"optimum": 8, "pair": ("polysorbate 60", "")}, "a name is blank. Name both"),
        ({"optimum": 8, "name": "x" * 300}, "it has 300 characters"),
        ({"optimum": 8, "who": "\ud800"}, "half a sign"),
        ({"optimum": 8, "method": "learned here from 3 ladders"}, "would count them twice"),
    ],
)
def test_what_cannot_be_used_is_told(given: dict[str, object], said: str) -> None:
    with pytest.raises(hlb.HlbError, match=said):
        BenchResult({"shea butter": 1}, **({"pair": SOLID} | given))


@pytest.mark.parametrize(
    "phase",
    [{"shea butter": -1}, {"shea butter": float("nan")}, {"": 3}, {}, "shea butter", [("shea butter",)]],
)
def test_a_phase_that_cannot_be_read_is_refused(phase: object) -> None:
    with pytest.raises(hlb.HlbError):
        BenchResult(phase, SOLID, 8.0)  # type: ignore[arg-type]


def test_amounts_as_typed_and_very_large_ones_are_read() -> None:
    typed = BenchResult({"shea butter": "2,5 %", "jojoba oil": "7.5 %"}, SOLID, "8,1", "7,5", "8,8")
    assert (typed.phase, typed.optimum) == ((("shea butter", 2.5), ("jojoba oil", 7.5)), 8.1)
    large = BenchResult({"shea butter": 1e308, "jojoba oil": 1e308}, SOLID, 8.0)
    assert learn([large]).required({"shea butter": 1, "jojoba oil": 1}, pair=SOLID).moved_by


def test_an_oil_of_no_amount_makes_no_mixture() -> None:
    alone = BenchResult({"jojoba oil": 6, "castor oil": 0}, SOLID, 8.0, 7.5, 8.5)
    assert learn([alone]).words.startswith("No mixture has been laddered")


def test_two_unlike_ladders_under_one_name_are_refused() -> None:
    other = BenchResult({"jojoba oil": 1}, SOLID, 7.0, name="A")
    with pytest.raises(
        hlb.InvalidInput, match=r"ladder 'a': two ladders that differ have this name\. Rename one"
    ):
        learn([LADDERS[0], other])


def test_an_ingredient_that_is_gone_from_the_tables_is_told_with_its_ladder() -> None:
    gone = BenchResult({"moon butter": 1, "shea butter": 1}, SOLID, 8.0, name="old")
    with pytest.raises(
        hlb.UnknownIngredient, match=r"'moon butter' stands in the ladder 'old', but is not in"
    ):
        learn([gone])
    own = hlb.load_library(overlay=[hlb.OwnIngredient("moon butter", "butter")])
    assert learn([gone], own).figures["ingredient"].isin(["moon butter"]).any()


@pytest.mark.parametrize("rounded", [False, True], ids=["exact", "as printed"])
def test_a_learned_figure_entered_as_a_ladder_is_refused(rounded: bool) -> None:
    value, low, high = learn(LADDERS).figure("sunflower oil")
    if rounded:
        value, low, high = (round(v, 1) for v in (value, low, high))
    back = BenchResult({"sunflower oil": 1}, SOLID, value, low, high, name="back")
    with pytest.raises(hlb.InvalidInput, match="'back': its figures are those that the other ladders make"):
        learn([*LADDERS, back])


def test_own_figures_from_ladders_do_not_count_twice() -> None:
    from_bench = hlb.OwnReading(
        "sunflower oil", 9.5, method="bench ladder of 7 vials by score, 24 h", trial="a"
    )
    learned = hlb.OwnReading("shea butter", 9.5, method="learned here from 2 ladders; tables say 8.0")
    made = learn(LADDERS, hlb.load_library(overlay=[from_bench, learned]))
    assert made.figures["value"].equals(learn(LADDERS).figures["value"])


def test_a_value_accepted_on_the_ladder_page_does_not_count_twice() -> None:
    plan = hlb.plan_ladder(*OLEATE, centre=10, half_width=3, oil_phase={"mineral oil": 20})
    seen = tuple(hlb.Observation(v, 24, "score", s) for v, s in enumerate([0, 2, 3, 4, 4, 3, 1], 1))
    trial = hlb.Trial(plan, observations=seen, name="June")
    item = measured_value(trial, fit_trial(trial), "mineral oil").item
    made = learn(LADDERS, hlb.load_library(overlay=[item]))
    assert made.figures["value"].equals(learn(LADDERS).figures["value"])


def test_a_published_ladder_does_not_count_twice() -> None:
    x = BenchResult({"hemp seed oil": 1}, (), 9.0, name="m", source="mikulcova_2017")
    found = learn([x]).figures.set_index("ingredient")
    assert found.loc["hemp seed oil", "tables_value"] == 7.0
    assert not found["value"].isna().any()


def test_what_is_no_result_is_refused() -> None:
    with pytest.raises(hlb.InvalidInput, match="Give BenchResult objects"):
        learn([{"phase": 1}])  # type: ignore[list-item]


def test_pairs_with_most_ladders_stand_first_and_then_by_name() -> None:
    lower = BenchResult({"shea butter": 1}, ("ceteth-2", "ceteth-20"), 6.0, 5.5, 6.5)
    for ladders in (LADDERS, LADDERS[::-1]):
        table = learn([*ladders, lower], departure=0.4).pairs
        assert table["ladders"].tolist() == [2, 2, 2]
        assert table["pair"].tolist() == sorted(table["pair"])


def test_figures_are_learned_of_every_oil_that_the_tables_have_one_of() -> None:
    held = {i.id for i in hlb.load_library().oils if i.readings("o/w")}
    assert set(learn([]).figures["id"]) == held
    assert set(learn(LADDERS).figures["id"]) == held
