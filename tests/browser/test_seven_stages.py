"""One cream from its first line to the label, and on to another machine."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from bench import Bench, opened
from ladder_cells import fill
from serving import Served, served

import hlbcore as hlb
from hlbcore.blending import card
from hlbcore.lessons import exercise_sheet, lesson_text

RECIPE = (
    ("soybean oil", "12"),
    ("cocoa butter", "4"),
    ("cetyl alcohol", "2"),
    ("sorbitan stearate", "3.4"),
    ("polysorbate 60", "1.6"),
    ("water", "76"),
    ("phenoxyethanol with ethylhexylglycerin", "1"),
)
"""Made up for this test. [% of formula]"""
OPTIMUM = r"Clear optimum at HLB 10\.0"
SCORES = ("0", "1", "3", "5", "3", "1", "0")
NAME = "Ferry cream"
PRICES = {"soybean oil": ("8", "1 kg"), "mango butter": ("6,5", "250 g"), "polysorbate 60": ("7", "200 g")}


def worked(recipe: tuple[tuple[str, str], ...]) -> hlb.Worked:
    return hlb.work_out(hlb.Formula(lines=[hlb.Line(n, a, phase="oil") for n, a in recipe]))


def typed_and_judged(bench: Bench) -> None:
    bench.press("Type my own")
    for name, amount in RECIPE:
        bench.line(name, amount)
    bench.type("Name of the formula", NAME)
    bench.sees("Together 100.00 %.")
    made = worked(RECIPE)
    assert made.verdict.word == "inside"
    bench.held(card.in_brief(made))


def swapped(bench: Bench) -> None:
    made = hlb.swap(worked(RECIPE), out="cocoa butter", into="mango butter")
    bench.visit("Swap")
    bench.add("Goes out", "cocoa butter")
    bench.add("Comes in", "mango butter")
    bench.page.keyboard.press("Escape")
    bench.sees(re.compile(re.escape(made.answer[:40])))
    bench.press("Accept as a new version")
    bench.sees(re.compile("as version"))


def laddered(bench: Bench) -> None:
    """A ladder of one of its oils: read over a reload, and kept as an own value."""
    bench.visit("Ladder")
    bench.open("Oil phase, and what else is in every vial")
    oils = bench.page.get_by_label("Oil phase of the ladder [% of the vial]", exact=True)
    oils.fill("soybean oil 20")
    oils.blur()
    bench.settle()
    bench.type("Middle [HLB]", "10")
    bench.type("Half width [HLB]", "3")
    bench.sees(re.compile("7 vials of 50 g, HLB 7 to 13"))
    bench.press("Make this ladder and record it")
    bench.sees("Nothing was read yet")
    fill(bench, "1 day, score", SCORES)
    bench.sees(re.compile(OPTIMUM))
    bench.page.reload()
    bench.sees(re.compile(OPTIMUM))
    bench.settle()
    bench.press("Keep as my own value")
    bench.sees("Kept formulas that use it")


def learned(bench: Bench) -> None:
    bench.visit("Bench figures")
    bench.press("Take these in")
    bench.sees(re.compile("^Too few to learn from"))


def batched_and_recorded(bench: Bench) -> None:
    """One weighing as planned, one that is over; the reload in the middle loses neither."""
    bench.visit("Batch")
    bench.sees("into the pot")
    bench.press("Start this batch")
    bench.page.get_by_role("checkbox", name="water, done", exact=True).check()
    weighed = bench.page.get_by_label("polysorbate 60, weighed in g", exact=True)
    weighed.fill("10")
    weighed.press("Enter")
    bench.settle()
    bench.page.reload()
    weighed.wait_for()
    bench.settle()
    assert weighed.input_value() == "10"
    assert bench.page.get_by_label("water, weighed in g", exact=True).input_value() == "380.0"
    bench.type("Made by", "Ada")
    bench.type("Why it is closed with open points", "a trial")
    bench.press("Close the record")
    bench.sees("Add a correction")


def costed(bench: Bench) -> None:
    bench.visit("Cost")
    bench.press("Add 7 lines for what has no price")
    for name, (price, pack) in PRICES.items():
        for field, text in (("price", price), ("pack", pack)):
            box = bench.page.get_by_label(f"{name}, {field}", exact=True)
            box.fill(text)
            box.press("Enter")
    batch = 20 * 6.5 / 250  # 4 % of 500 g
    bench.page.get_by_role("row", name=re.compile(rf"^mango butter 20 {batch:.2f}")).wait_for()


def labelled(bench: Bench) -> None:
    bench.visit("Label")
    listed = bench.page.locator("[data-testid=stCode]").first.inner_text()
    assert listed.index("Soybean") < listed.index("Mango") < listed.index("Cetyl Alcohol")


def taught(bench: Bench) -> None:
    bench.visit("Learn")
    bench.choose("Lesson", f"2. {lesson_text('required').title}")
    bench.sees(re.compile("= 18 parts"))  # of the open formula: 12, 4 and 2
    first = exercise_sheet("required 1", lesson_text("required").levels, 3).exercises[0]
    bench.type(re.compile("^Answer 1 "), str(first.answer))
    bench.sees(f"Right: {first.answer_text}.")


def exported(bench: Bench) -> bytes:
    bench.visit("Kept work")
    with bench.page.expect_download() as waiting:
        bench.page.get_by_role("button", name="Export of everything").click()
    return Path(waiting.value.path()).read_bytes()


def test_one_cream_through_all_stages_and_on_to_another_machine(
    browser: Any, server: Served, tmp_path: Path
) -> None:
    with opened(browser, server.url) as bench:
        for stage in (typed_and_judged, swapped, laddered, learned, batched_and_recorded):
            stage(bench)
        for stage in (costed, labelled, taught):
            stage(bench)
        held = exported(bench)
        bench.visit("Formula")
        bench.ready()
        answer = bench.strip()
    with (
        served(file=tmp_path / "kept.db") as other,
        opened(browser, other.url, path="kept", heading="Kept work") as bench,
    ):
        bench.page.locator("input[type=file]").set_input_files(
            {"name": "kept_work.zip", "mimeType": "application/zip", "buffer": held}
        )
        bench.press("Import what is listed")
        bench.sees("All of it is here already.")
        bench.press(f"Open {NAME}")
        bench.ready()
        assert bench.amount("mango butter").input_value() == "4"
        assert bench.strip() == answer  # with the figure that was measured
        bench.visit("Batch")
        bench.sees(re.compile(f"^{NAME}"))
        bench.visit("Ladder")
        bench.page.get_by_role("button", name="Kept ladders (1)").wait_for()
