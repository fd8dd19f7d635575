"""The first three uses of README, from the first screen to the answer, by what a person sees."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb

MOST_ACTIONS = 8
OIL = "Add an oil, butter, wax or other fat"
OF_FORMULA = "[% of the formula]"
EXAMPLE = hlb.example_sheet()
BOTH_SIZES = pytest.mark.parametrize("size", ["desktop", "phone"])


def phase(*, without: str = "", added: tuple[hlb.SheetLine, ...] = ()) -> hlb.RequiredHlb:
    """What the example requires, lines in the order of the page: what is added comes last."""
    held = tuple(x for x in EXAMPLE.lines if x.name != without)
    required = hlb.work_out(replace(EXAMPLE, lines=(*held, *added))).required
    assert required is not None
    return required


def check_required(bench: Bench, required: hlb.RequiredHlb) -> None:
    assert bench.row("Required HLB of the oil phase")[1:] == [
        f"{required.value:.1f}",
        f"{required.low:.1f} to {required.high:.1f}",
    ]


@BOTH_SIZES
def test_what_does_my_oil_phase_require(browser: Any, server: Served, size: str) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        bench.press("Start with an empty sheet")
        bench.add(OIL, "karite")
        bench.type("karite = shea butter [%]", "7,5")
        bench.add(OIL, "Glycine Soja Oil")
        bench.type("Glycine Soja Oil = soybean oil [%]", "12.5 %")
        check_required(bench, hlb.required_hlb({"shea butter": 7.5, "soybean oil": 12.5}))
        assert bench.actions <= MOST_ACTIONS


@BOTH_SIZES
def test_which_ratio_and_how_much(browser: Any, server: Served, size: str) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        bench.press("Amounts", nth=1)
        bench.type(f"polysorbate 60: at least {OF_FORMULA}", "1.8")
        bench.page.keyboard.press("Escape")
        bench.type("All emulsifiers [%]", "5")
        blend = hlb.solve_blend(
            ["sorbitan stearate", "polysorbate 60"],
            phase(),
            total=5,
            limits={"polysorbate 60": (1.8, 100)},
            product="o/w cream",
        )
        for n, name in enumerate(blend.labels):
            assert bench.row(name)[1:3] == [
                f"{blend.masses[n]:.2f}",
                f"{100 * blend.mixture.fractions[n]:.1f}",
            ]
        assert blend.masses[1] == pytest.approx(1.8)
        assert bench.actions <= MOST_ACTIONS


@pytest.mark.parametrize(
    ("size", "low", "high", "word"),
    [
        ("desktop", "2.5", "1.5", "inside"),
        ("desktop", "1", "3", "outside"),
        ("phone", "2.5", "1.5", "inside"),
    ],
    ids=["near", "far", "phone"],
)
def test_does_the_pair_i_have_still_hold_after_a_swap(
    browser: Any, server: Served, size: str, low: str, high: str, word: str
) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        bench.press("Remove", nth=2)
        bench.add(OIL, "mango butter")
        bench.type("mango butter [%]", "3")
        bench.press("Amounts", nth=0)
        bench.type(f"sorbitan stearate: in use now {OF_FORMULA}", low)
        bench.page.keyboard.press("Escape")
        bench.press("Amounts", nth=1)
        bench.type(f"polysorbate 60: in use now {OF_FORMULA}", high)
        bench.page.keyboard.press("Escape")
        bench.choose("What to look for", "Check my amounts")
        required = phase(without="cocoa butter", added=(hlb.SheetLine("mango butter", "3"),))
        amounts = {"sorbitan stearate": float(low), "polysorbate 60": float(high)}
        judged = hlb.judge(amounts, required, "o/w cream")
        check_required(bench, required)
        assert judged.word == word
        assert bench.verdict().startswith(f"{word.capitalize()} ")
        assert bench.actions <= MOST_ACTIONS


def test_first_screen_is_the_example_solved(browser: Any, server: Served) -> None:
    outcome = hlb.work_out(EXAMPLE)
    assert outcome.blend is not None
    with opened(browser, server.url) as bench:
        assert bench.verdict().startswith("Inside ")
        assert bench.row("sorbitan stearate")[1] == f"{outcome.blend.masses[0]:.2f}"
        assert bench.page.get_by_text("Traceback").count() == 0


def test_what_is_typed_stays_after_a_visit_to_the_other_page(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.type("sunflower oil [%]", "20")
        bench.page.get_by_role("link", name="Values and sources").click()
        bench.page.get_by_role("heading", name="Values and sources").wait_for()
        bench.page.get_by_role("link", name="Oils and emulsifiers").click()
        bench.settle()
        bench.sees("Required HLB of the oil phase")
        assert bench.page.get_by_label("sunflower oil [%]", exact=True).input_value() == "20"
        lines = (replace(EXAMPLE.lines[0], amount="20"), *EXAMPLE.lines[1:])
        required = hlb.work_out(replace(EXAMPLE, lines=lines)).required
        assert required is not None
        check_required(bench, required)
