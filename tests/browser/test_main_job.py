"""The main job from the first minute, by what a person sees; what the page shows is the core's."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from bench import WIDTHS, Bench, opened
from serving import Served

import hlbcore as hlb
from hlbcore.blending import card

EXAMPLE = hlb.example_formula()
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
        shown = bench.page.locator(".grams tr").filter(has_text=row.emulsifier).text_content()
        assert f"{row.grams:g} g" in shown
        assert f"{row.pct_of_formula:.2f} %" in shown


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


@BOTH_SIZES
def test_five_oils_and_two_emulsifiers_pasted(browser: Any, server: Served, size: str) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
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
        assert in_sight(bench)


@pytest.mark.parametrize("product", [t.name for t in hlb.product_types()])
def test_each_product_type_is_answered_as_by_the_core(browser: Any, server: Served, product: str) -> None:
    with opened(browser, server.url) as bench:
        bench.press("Type my own")
        bench.choose("Product type", product)
        bench.press("Paste a list")
        box = bench.page.get_by_label("A name and an amount a line", exact=True)
        box.fill("\n".join(f"{n}\t{a} %" for n, a in RECIPE))
        box.press("Control+Enter")
        bench.settle()
        check_answer(bench, worked(product))
        assert in_sight(bench)


@BOTH_SIZES
def test_the_answer_stays_in_sight_wherever_the_page_is_scrolled(
    browser: Any, server: Served, size: str
) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        for top in (0, 300, 900, 3000):
            bench.page.evaluate("top => document.querySelector('[data-testid=stMain]').scrollTo(0, top)", top)
            bench.page.wait_for_timeout(100)
            assert in_sight(bench), top


def test_the_strip_of_the_phone_opens(browser: Any, server: Served) -> None:
    with opened(browser, server.url, WIDTHS["phone"]) as bench:
        assert not bench.page.locator(".verdict-line").is_visible()
        bench.page.get_by_text("show all", exact=True).click()
        bench.page.locator(".verdict-line").wait_for()
        assert bench.page.get_by_text("What to mind").is_visible()


@BOTH_SIZES
def test_the_cursor_stands_in_the_new_amount(browser: Any, server: Served, size: str) -> None:
    with opened(browser, server.url, WIDTHS[size]) as bench:
        box = bench.adding()
        box.click()
        box.fill("karite")
        box.press("Enter")
        bench.page.keyboard.type("7,5")
        bench.settle()
        assert bench.amount("karite").input_value() == "7,5"
        bench.page.keyboard.press("Enter")
        assert bench.adding().evaluate("e => e.getRootNode().activeElement === e")


def test_exact_names_lead(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.press("Type my own")
        for name in ("mineral oil", "polysorbate 20", "dimethicone"):
            bench.line(name, "5")
            assert bench.amount(name).input_value() == "5"


@pytest.mark.parametrize(
    ("low", "high", "word"), [("2.5", "1.5", "inside"), ("1", "3", "outside")], ids=["near", "far"]
)
def test_does_the_pair_i_have_still_hold_after_a_swap(
    browser: Any, server: Served, low: str, high: str, word: str
) -> None:
    with opened(browser, server.url) as bench:
        bench.more("cocoa butter")
        bench.press("Remove")
        bench.line("mango butter", "3")
        bench.set("sorbitan stearate", low)
        bench.set("polysorbate 60", high)
        amounts = {"sorbitan stearate": low, "polysorbate 60": high}
        lines = [
            replace(x, amount=amounts.get(x.name, x.amount.text))
            for x in EXAMPLE.lines
            if x.name != "cocoa butter"
        ]
        made = hlb.work_out(replace(EXAMPLE, lines=(*lines, hlb.Line("mango butter", "3", phase="oil"))))
        assert made.verdict.word == word
        check_answer(bench, made)


def test_the_proposal_stands_beside_and_one_press_takes_it(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set("polysorbate 60", "4")
        assert bench.headline().startswith("Outside")
        bench.page.get_by_text("See what the tool would propose", exact=True).click()
        bench.settle()
        bench.sees(re.compile("polysorbate 60 4.00 → "))
        bench.press("Take the proposal")
        bench.held("Inside")
        assert float(bench.amount("polysorbate 60").input_value()) < 2


def test_first_screen_is_the_example_judged(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        check_answer(bench, hlb.work_out(EXAMPLE))
        assert bench.page.get_by_text("Traceback").count() == 0


def test_what_is_typed_stays_after_a_visit_to_the_other_page(browser: Any, server: Served) -> None:
    with opened(browser, server.url) as bench:
        bench.set("sunflower oil", "20")
        bench.visit("Values and sources")
        bench.visit("Formula")
        bench.ready()
        assert bench.amount("sunflower oil").input_value() == "20"
