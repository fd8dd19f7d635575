"""What notebook 6 works out."""

from __future__ import annotations

from running import Notebook

LESSON = Notebook(6)


def test_one_printed_ladder() -> None:
    n = LESSON.after("tubes = pd.DataFrame(")
    # not the nearest tube: that one stands at 9.998
    assert n.required == 10.0
    best = n.tubes.loc[n.tubes["stayed"].idxmax()]
    assert best["hlb"] == 12.001

    n = LESSON.after("others = tubes.drop(best.name)")
    assert round(n.ladder.value, 2) == round((n.others["distance"] > best["distance"]).mean(), 2)
    assert n.ladder.low < 0.5 < n.ladder.high


def test_whole_formulas() -> None:
    n = LESSON.after("return abs(worked.blend.value - worked.required.value)")
    by_outcome = n.seen.groupby("outcome")["distance"]
    assert by_outcome.count().to_dict() == {"failed": 6, "held": 1}

    n = LESSON.after("whole = hlb.lessons.told_apart(")
    assert n.whole.low < 0.5 < n.whole.high
    assert not n.whole.shows


def test_how_many_would_it_take() -> None:
    n = LESSON.after("found = hlb.lessons.told_apart(far, near)")
    widths = [high - low for _, _, low, high, _ in n.rows]
    assert widths == sorted(widths, reverse=True)
    assert next((shows for *_, shows in n.rows)) is False
    assert n.rows[-1][-1] is True


def test_what_may_be_said() -> None:
    n = LESSON.after("print(sentence)")
    assert "0.48 (95 % interval 0.18 to 0.75)" in n.sentence
    assert "0.79 (0.48 to 1.00)" in n.sentence
