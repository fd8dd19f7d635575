from __future__ import annotations

from html.parser import HTMLParser

import pytest

from hlbcore import Ladder, plan_ladder
from hlbcore.cells import to_csv
from hlbcore.ladder import label_table, labels_page, weighing_page, weighing_table
from hlbcore.ladder.families import loading_ladder
from hlbcore.ladder.rinse import clarity_ladder, rinse_ladder

NASTY = '<script>alert("1")</script> & =1+1'


def ladder(**changes: object) -> Ladder:
    given = {"centre": 10, "half_width": 3, "oil_phase": {"mineral oil": 20}} | changes
    return plan_ladder("sorbitan oleate", "polysorbate 80", **given)  # type: ignore[arg-type]


class Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: set[str] = set()
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.add(tag)
        if tag not in ("meta", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


@pytest.mark.parametrize("page", [labels_page, weighing_page], ids=["labels", "sheet"])
def test_pages_are_whole_and_run_nothing_that_a_user_typed(page: object) -> None:
    tags = Tags()
    tags.feed(page(ladder(oil_phase={NASTY: 20}), NASTY))  # type: ignore[operator]
    assert tags.open == []
    assert "script" not in tags.seen
    assert any(NASTY in w for w in tags.words)


def test_labels_of_a_blinded_ladder_do_not_tell_the_hlb() -> None:
    coded = ladder(blinded=True)
    assert set(label_table(coded)["text"]) == {""}
    assert "HLB" not in labels_page(coded, "Trial 1")


def test_the_sheet_of_a_blinded_ladder_is_not_for_the_one_who_scores() -> None:
    words = "must not see this sheet"
    assert words in weighing_page(ladder(blinded=True))
    assert words not in weighing_page(ladder())


def test_a_duplicate_is_marked_on_its_label() -> None:
    made = ladder(duplicates=1)
    texts = dict(zip(*(label_table(made)[c] for c in ("label", "text")), strict=True))
    assert texts[made.vials[-1].label] == f"HLB 10.0 ({made.vial(4).label} again)"


def test_weighing_table_runs_in_the_order_of_making() -> None:
    table = weighing_table(ladder())
    assert table["order"].tolist() == sorted(table["order"])
    assert len(table) == 7 * 4


@pytest.mark.parametrize(("scale", "text"), [(0.1, "0.5"), (0.01, "0.75"), (0.001, "0.748")], ids=str)
def test_grams_are_printed_to_the_readability(scale: float, text: str) -> None:
    table = weighing_table(ladder(readability_g=scale, vial_mass_g=40))
    assert text in table.query("ingredient == 'sorbitan oleate'")["grams"].tolist()


def test_weighing_table_goes_to_a_spreadsheet_without_formulas() -> None:
    text = to_csv(weighing_table(ladder(oil_phase={"=1+1": 20}))).decode("utf-8-sig")
    assert ",'=1+1," in text


def test_sheet_tells_temperature_and_what_to_observe() -> None:
    page = weighing_page(ladder(oil_phase={"sunflower oil": 15, "beeswax": 5}))
    assert "68.5 °C" in page
    assert "a drop in water and a drop in oil" in page


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (rinse_ladder("wash-off scrub", oil_phase={"sunflower oil": 80}), "even milk"),
        (clarity_ladder({"lavender oil": 1}), "clear as water"),
        (
            loading_ladder("sorbitan oleate", "polysorbate 80", hlb=10, oil_phase={"x": 20}),
            "even from top to bottom",
        ),
    ],
    ids=["rinse", "clarity", "loading"],
)
def test_sheet_prints_the_wording_of_the_scores_of_its_kind(made: Ladder, words: str) -> None:
    assert words in weighing_page(made)
