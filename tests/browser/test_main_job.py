"""The main job from the first minute, by what a person sees; what the page shows is the core's."""

from __future__ import annotations

import re
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb
from hlbcore.blending import card

BOTH_SIZES = pytest.mark.parametrize("size", ["desktop", "phone"])
RECIPE = (
    ("shea butter", "6"),
    ("sunflower oil", "8"),
    ("jojoba oil", "4"),
    ("apricot kernel oil", "3"),
    ("cetyl alcohol", "2"),
    ("sorbitan stearate", "2.6"),
    ("polysorbate 60", "1.9"),
)
"""Five oils and two emulsifiers. [% of formula]"""
MOST_TYPED, MOST_PASTED = 16, 2


def worked(product: str) -> hlb.Worked:
    return hlb.work_out(
        hlb.Formula(product_type=product, lines=[hlb.Line(n, a, phase="oil") for n, a in RECIPE])
    )


def in_sight(bench: Bench) -> bool:
    """Whether the answer stands inside the viewport: the card, or the strip at the foot."""
    return bool(
        bench.page.evaluate(
            """() => [...document.querySelectorAll('.verdict-line, .strip b')].some(e => {
                const r = e.getBoundingClientRect();
                return r.width > 0 && r.top >= 0 && r.bottom <= innerHeight && r.right <= innerWidth; })"""
        )
    )


def check_answer(bench: Bench, made: hlb.Worked) -> None:
    """Verdict, figures, ratio and grams are those of the core."""
    bench.held(card.in_brief(made))
    assert bench.headline() == card.headline(made)
    for row in hlb.tables.blend_table(made).itertuples():
        shown = bench.page.locator(".grams tr").filter(has_text=row.emulsifier)
        share = f"{row.pct_of_formula:.2f} %"
        shown.filter(has_text=f"{row.grams:g} g").filter(has_text=share).wait_for(state="attached")


@BOTH_SIZES
def test_five_oils_and_two_emulsifiers_typed_from_an_empty_page(
    browser: Any, server: Served, size: str
) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        bench.press("Type my own")
        assert in_sight(bench)
        for name, amount in RECIPE:
            bench.line(name, amount)
            assert in_sight(bench), name
        assert bench.actions <= MOST_TYPED
        check_answer(bench, worked("o/w cream"))
        for top in (0, 300, 900, 3000):
            bench.page.evaluate("top => document.querySelector('[data-testid=stMain]').scrollTo(0, top)", top)
            bench.page.wait_for_timeout(100)
            assert in_sight(bench), top
        if size == "phone":
            assert not bench.page.locator(".verdict-line").is_visible()
            bench.page.get_by_text("show all", exact=True).click()
            bench.page.locator(".verdict-line").wait_for()
            assert bench.page.get_by_text("What to mind").is_visible()


def test_a_pasted_recipe_is_answered_as_by_the_core_whatever_judges_it(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.press("Type my own")
        bench.actions = 0
        bench.press("Paste a list")
        bench.actions += 1
        box = bench.page.get_by_label("A name and an amount a line", exact=True)
        box.fill("\n".join(f"{n}\t{a} %" for n, a in RECIPE))
        box.press("Control+Enter")
        bench.settle()
        assert bench.actions <= MOST_PASTED
        check_answer(bench, worked("o/w cream"))
        for product in ("wash-off scrub", "whipped butter", "w/o cream"):
            bench.choose("Product type", product)
            check_answer(bench, worked(product))
            assert in_sight(bench), product


def test_what_is_pressed_beside_the_list_changes_the_amounts_in_it(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        check_answer(bench, hlb.work_out(hlb.example_formula()))
        bench.line("panthenol", "2")
        bench.sees("2.00 % is too much.")
        bench.press("Take 2 % from the water")
        bench.sees("Together 100.00 %.")
        assert float(bench.amount("water").input_value()) == pytest.approx(68.15)
        bench.set("polysorbate 60", "3")
        bench.page.get_by_text("See what the tool would propose", exact=True).click()
        bench.sees(re.compile(r"polysorbate 60: 3\.00 % → "))
        bench.press("Take the proposal")
        bench.held("Inside")
        assert float(bench.amount("polysorbate 60").input_value()) < 3
