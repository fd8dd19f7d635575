"""The list in a real browser: what a maker types, picks, pastes and sees."""

from __future__ import annotations

import json
import multiprocessing
import os
import re
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from bench import WIDTHS, tab
from serving import Served, served

PAGE = Path(__file__).with_name("list_page.py")


@dataclass
class Opened:
    """One visit of the page with the list, and what the server then holds."""

    page: Any
    file: Path
    errors: list[str] = field(default_factory=list)

    def held(self) -> dict[str, Any]:
        return dict(json.loads(self.file.read_text("utf-8"))) if self.file.exists() else {}

    def holds(self, told: Callable[[dict[str, Any]], bool], seconds: float = 15) -> None:
        """Wait until the server holds what was typed."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            try:
                if told(self.held()):
                    return
            except (KeyError, StopIteration, json.JSONDecodeError):
                pass
            time.sleep(0.05)
        raise AssertionError(f"not held: {self.held()}")

    def amount(self, name: str) -> Any:
        return self.page.get_by_label(f"{name}, amount in %", exact=True)

    def adding(self) -> Any:
        return self.page.get_by_role("combobox", name="Add by any name")

    def focused(self) -> str:
        """Accessible name of what has the focus, inside the list."""
        return str(
            self.page.evaluate(
                """() => {
                    let at = document.activeElement;
                    while (at.shadowRoot && at.shadowRoot.activeElement) at = at.shadowRoot.activeElement;
                    return at.getAttribute('aria-label') || (at.labels && at.labels[0] || at).textContent;
                }"""
            )
        )

    def names(self) -> list[str]:
        return list(self.page.locator(".line .name").all_inner_texts())

    def paste(self, text: str) -> None:
        """A paste event, as the browser gives it to what has the focus."""
        self.page.evaluate(
            """text => {
                let at = document.activeElement;
                while (at.shadowRoot && at.shadowRoot.activeElement) at = at.shadowRoot.activeElement;
                const given = new DataTransfer();
                given.setData('text/plain', text);
                at.dispatchEvent(new ClipboardEvent('paste',
                    {clipboardData: given, bubbles: true, cancelable: true, composed: true}));
            }""",
            text,
        )

    def answered(self) -> None:
        state = "document.querySelector('[data-testid=stApp]').dataset.testScriptState === 'notRunning'"
        self.page.wait_for_timeout(400)
        self.page.wait_for_function(state)


def amount_of(held: dict[str, Any], name: str) -> str:
    return str(next(line["amount"] for line in held["lines"] if line["name"] == name))


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("list") / "held.json"


@pytest.fixture(scope="module")
def server(file: Path) -> Iterator[Served]:
    os.environ["LIST_FILE"] = str(file)
    try:
        with served(PAGE) as running:
            yield running
    finally:
        del os.environ["LIST_FILE"]


@pytest.fixture
def visit(
    browser: Any, server: Served, file: Path, request: pytest.FixtureRequest
) -> Iterator[Callable[..., Opened]]:
    opened: list[Opened] = []
    tabs = ExitStack()

    def go(size: tuple[int, int] = WIDTHS["desktop"], show: str = "lines", **more: str) -> Opened:
        file.unlink(missing_ok=True)
        page = tabs.enter_context(tab(browser, size)).page
        one = Opened(page, file)
        opened.append(one)
        page.on("pageerror", lambda e: one.errors.append(str(e)))
        query = "&".join(f"{k}={v}" for k, v in more.items())
        # lines of its own for each test
        page.goto(
            f"{server.url}/?show={show}&work={request.node.nodeid.rpartition('::')[2].translate(_SAFE)}&{query}"
        )
        page.locator(".line-list .entry").first.wait_for()
        one.answered()
        return one

    with tabs:
        yield go
    assert [e for one in opened for e in one.errors] == []


_SAFE = str.maketrans("[]", "__")


def test_a_typed_amount_reaches_the_server_as_typed_and_enter_goes_on(visit: Callable[..., Opened]) -> None:
    on = visit(WIDTHS["phone"])
    on.amount("mango butter").fill("5,25 ")
    on.holds(lambda held: amount_of(held, "mango butter") == "5,25 ")
    on.amount("phenoxyethanol with ethylhexylglycerin").click()
    on.page.keyboard.press("Enter")
    assert on.focused() == "linden complex, amount in %"
    on.page.keyboard.press("ArrowUp")
    assert on.focused() == "phenoxyethanol with ethylhexylglycerin, amount in %"
    on.page.keyboard.press("ArrowDown")
    on.page.keyboard.press("Enter")
    assert on.focused() == "Add by any name"


def test_a_line_is_added_with_enter_and_its_amount_typed_at_once(visit: Callable[..., Opened]) -> None:
    on = visit()
    asked: list[str] = []
    on.page.on("request", lambda r: asked.append(r.url))
    on.adding().focus()
    # typed without a pause: the amount is typed before any answer of the server
    on.page.keyboard.type("castor oil\n12\n")
    assert on.focused() in ("Add by any name", "phenoxyethanol with ethylhexylglycerin, amount in %")
    on.holds(lambda held: amount_of(held, "castor oil") == "12")
    on.answered()
    assert on.names().count("castor oil") == 1
    assert on.amount("castor oil").input_value() == "12"
    on.adding().focus()
    on.page.keyboard.type("Zz <b>moss</b> extract\n")
    assert on.focused() == "Zz <b>moss</b> extract, amount in %"
    on.holds(
        lambda held: held["lines"][-1]["name"] == "Zz <b>moss</b> extract" and not held["lines"][-1]["known"]
    )
    assert asked == []  # of any address


def test_exact_names_lead_and_arrows_choose_among_the_others(visit: Callable[..., Opened]) -> None:
    on = visit()
    box, options = on.adding(), on.page.get_by_role("option")
    for typed, first in (
        ("mineral oil", ["mineral oil"]),
        ("POLYSORBATE-20", ["polysorbate 20"]),
        ("castor o", ["castor oil"]),
        ("butter mango", ["mango butter"]),
        ("abyssinian seed oil", ["abyssinian oil", "abyssinian seed oil"]),
    ):
        box.fill("")
        box.focus()
        on.page.keyboard.type(typed)
        assert options.first.inner_text().splitlines()[: len(first)] == first
        assert "as typed" in options.last.inner_text() or len(first) > 1
    box.fill("")
    on.page.keyboard.type("lecithin")
    on.page.keyboard.press("ArrowDown")
    chosen = on.page.locator("[role=option][aria-selected=true]")
    assert chosen.get_attribute("id") == box.get_attribute("aria-activedescendant")
    assert chosen.get_attribute("id") == options.nth(1).get_attribute("id")
    on.page.keyboard.press("Escape")
    assert box.get_attribute("aria-expanded") == "false"
    assert box.input_value() == "lecithin"
    box.fill("")
    on.page.keyboard.type("polysorbate 20\n")
    assert on.focused() == "polysorbate 20, amount in %"


def test_the_menu_opens_fields_below_the_line_by_keyboard(visit: Callable[..., Opened]) -> None:
    on = visit(WIDTHS["phone"])
    dots = on.page.get_by_role("button", name="more for jojoba oil")
    dots.focus()
    on.page.keyboard.press("Enter")
    assert dots.get_attribute("aria-expanded") == "true"
    panel = on.page.get_by_role("group", name="more for jojoba oil")
    panel.get_by_label("own HLB").fill("6,1")
    panel.get_by_label("note").fill("sheet of March\nsecond line")
    panel.get_by_label("phase").select_option("cool")
    on.holds(
        lambda held: (
            [
                (line.get("own"), line.get("note"), line["phase"])
                for line in held["lines"]
                if line["name"] == "jojoba oil"
            ]
            == [("6,1", "sheet of March\nsecond line", "cool")]
        )
    )
    on.answered()
    assert on.page.locator(".mark", has_text="own").count() == 1
    panel.get_by_label("own HLB").press("Escape")
    assert on.focused() == "more for jojoba oil"
    assert panel.count() == 0


def test_a_line_moves_and_goes_and_the_focus_stays_near(visit: Callable[..., Opened]) -> None:
    on = visit()
    on.page.get_by_role("button", name="more for jojoba oil").click()
    on.page.get_by_role("button", name="Move up").click()
    on.holds(lambda held: [line["name"] for line in held["lines"]].index("jojoba oil") == 3)
    on.answered()
    assert on.names().index("jojoba oil") == 3
    assert on.focused() == "Move up"
    on.page.get_by_role("button", name="Remove").click()
    assert on.focused() == "mango butter, amount in %"
    on.holds(lambda held: "jojoba oil" not in [line["name"] for line in held["lines"]])
    on.answered()
    assert on.focused() == "mango butter, amount in %"
    assert "jojoba oil" not in on.names()
    on.page.get_by_role("button", name="not known: say what it is").click()
    assert on.focused() == "counts as"
    on.page.get_by_role("button", name="Supplier's sheet").click()
    on.holds(lambda held: "Pressed" in str(held["said"]))


def test_a_block_is_sent_whole_and_a_problem_told_with_its_amount(visit: Callable[..., Opened]) -> None:
    on = visit()
    on.adding().focus()
    block = "shea butter\t12 %\nsunflower oil\t22 %\n"
    on.paste(block)
    on.holds(lambda held: repr(block) in held["said"][-1])
    assert on.adding().input_value() == ""
    on.amount("water").focus()
    on.paste("beeswax, 2\nwater, 60")
    on.holds(
        lambda held: "beeswax, 2\\nwater, 60" in held["said"][-1] and "field='amount'" in held["said"][-1]
    )
    assert on.amount("water").input_value() == "70.2"
    on.amount("glycerin").fill("-4")
    on.amount("glycerin").press("Enter")
    on.page.get_by_text("-4 is below nothing").wait_for()
    box = on.amount("glycerin")
    assert box.get_attribute("aria-invalid") == "true"
    told = on.page.locator(f"#{box.get_attribute('aria-describedby')}")
    assert "Type 0 or more" in told.inner_text()


def test_html_in_a_name_is_shown_as_text(visit: Callable[..., Opened]) -> None:
    on = visit(show="strange")
    assert on.names()[0] == "<img src=x onerror=\"document.title='run'\"><b>bold</b>"
    on.amount("glycerin").press("Enter")
    assert on.page.title() != "run"
    assert on.page.locator(".line-list img, .line-list b").count() == 0


def test_the_focus_stays_over_a_rerun_of_the_page_and_what_is_typed_is_not_overwritten(
    visit: Callable[..., Opened],
) -> None:
    on = visit(slow="0.8")
    box = on.amount("mango butter")
    box.click()
    on.page.keyboard.type("11")
    on.page.wait_for_timeout(600)  # under way, the answer is still being made
    on.page.keyboard.type("22")
    on.page.wait_for_timeout(1100)  # the answer to 11 has come
    assert box.input_value() == "1122"
    on.page.keyboard.type("33")
    on.holds(lambda held: amount_of(held, "mango butter") == "112233")
    on.answered()
    assert box.input_value() == "112233"
    assert on.focused() == "mango butter, amount in %"


def test_text_not_yet_taken_up_survives_a_reload(visit: Callable[..., Opened]) -> None:
    on = visit()
    on.adding().fill("half a na")
    on.amount("jojoba oil").fill("6.75")
    on.page.reload()  # at once: nothing was sent
    on.page.locator(".line-list .entry").first.wait_for()
    assert on.amount("jojoba oil").input_value() == "6.75"
    assert on.adding().input_value() == "half a na"
    on.holds(lambda held: amount_of(held, "jojoba oil") == "6.75")
    on.answered()
    on.adding().fill("")
    assert on.page.evaluate("Object.keys(sessionStorage).filter(k => k.startsWith('line list'))") == []


def tick(on: Opened, label: str) -> None:
    """A change of the page that leaves the cursor where it is."""
    on.page.evaluate(
        "label => [...document.querySelectorAll('label')].find(l => l.innerText === label)"
        ".querySelector('input').click()",
        label,
    )
    on.answered()


def test_the_cursor_and_the_edits_outlast_changes_of_the_page_around(visit: Callable[..., Opened]) -> None:
    on = visit()
    on.amount("jojoba oil").click()
    on.page.keyboard.type("7")
    # the page changes above the list while the cursor is in it
    on.page.evaluate("document.querySelector('input[type=checkbox]').click()")
    on.page.get_by_text("This stands above the list.").wait_for()
    on.page.keyboard.type("5")
    on.holds(lambda held: amount_of(held, "jojoba oil") == "75")
    tick(on, "Framed")
    assert on.focused() == "jojoba oil, amount in %"
    on.page.keyboard.type("1")
    on.holds(lambda held: amount_of(held, "jojoba oil") == "751")
    on.adding().fill("castor")
    tick(on, "Away")
    on.page.get_by_text("The list is away.").wait_for()
    tick(on, "Away")
    assert on.adding().input_value() == "castor"
    on.adding().press("Enter")
    on.page.keyboard.type("3\n")
    on.holds(lambda held: [line["amount"] for line in held["lines"] if "castor" in line["name"]] == ["3"])
    assert amount_of(on.held(), "jojoba oil") == "751"
    on.answered()
    # letters typed here are no commands of the page
    before = on.page.get_by_text(re.compile(r"^run \d+")).inner_text()
    on.adding().focus()
    on.page.keyboard.type("rcr")
    on.page.wait_for_timeout(500)
    assert on.adding().input_value() == "rcr"
    assert on.page.get_by_role("dialog").count() == 0
    assert on.page.get_by_text(re.compile(r"^run \d+")).inner_text() == before


def test_lines_typed_while_the_server_stands_still_arrive_in_order(
    visit: Callable[..., Opened], server: Served
) -> None:
    on = visit()
    on.adding().focus()
    os.kill(server.pid, signal.SIGSTOP)
    try:
        on.page.keyboard.type("castor oil\n12\n")
        on.adding().focus()
        on.page.keyboard.type("beeswax\n2\n")
        on.page.get_by_text("Not taken up yet; what you typed is held here.").wait_for()
    finally:
        os.kill(server.pid, signal.SIGCONT)
    on.holds(lambda held: (amount_of(held, "castor oil"), amount_of(held, "beeswax")) == ("12", "2"), 30)
    on.answered()
    assert (on.names().count("castor oil"), on.names().count("beeswax")) == (1, 1)
    assert on.page.get_by_text("Not taken up yet").count() == 0


# --- the table of cells


def test_enter_and_arrows_move_among_cells_and_a_block_fills_them(visit: Callable[..., Opened]) -> None:
    on = visit(show="cells")
    on.page.get_by_label("vial 3, 1 h, score", exact=True).click()
    steps = {
        "Enter": "vial 4, 1 h, score",
        "ArrowRight": "vial 4, 1 h, layer, mm",
        "ArrowDown": "vial 5, 1 h, layer, mm",
        "Tab": "vial 5, 24 h, score",
        "ArrowLeft": "vial 5, 1 h, layer, mm",
        "ArrowUp": "vial 4, 1 h, layer, mm",
        "Shift+Enter": "vial 3, 1 h, layer, mm",
    }
    for key, label in steps.items():
        on.page.keyboard.press(key)
        assert on.focused() == label
    on.page.get_by_label("vial 12, 1 h, score", exact=True).press("Enter")
    assert on.focused() == "vial 1, 1 h, layer, mm"
    on.page.get_by_label("vial 11, 24 h, score", exact=True).focus()
    on.paste("3\t1,5\r\n4\t2\r\n5\t3\r\n")
    on.page.get_by_text("larger than what lies right and below").wait_for()
    want = {"v11": {"24 h score": "3", "24 h layer": "1,5"}, "v12": {"24 h score": "4", "24 h layer": "2"}}
    on.holds(lambda held: want == {k: {c: held["scores"][k][c] for c in row} for k, row in want.items()})


def busy(seconds: float) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        pass


@contextmanager
def busy_machine(seconds: float) -> Iterator[None]:
    workers = [
        multiprocessing.get_context("spawn").Process(target=busy, args=(seconds,), daemon=True)
        for _ in range(os.cpu_count() or 2)
    ]
    for worker in workers:
        worker.start()
    try:
        yield
    finally:
        for worker in workers:
            worker.kill()
            worker.join()


def test_sixty_cells_typed_without_a_pause_on_a_busy_machine_lose_no_digit(
    visit: Callable[..., Opened],
) -> None:
    on = visit(show="many", slow="0.3")
    first = [f"{hour} score" for hour in ("1 h", "24 h", "7 d", "14 d", "28 d")]
    columns = [c for hour in first for c in (hour, hour.replace("score", "layer"))][:5]
    with busy_machine(60):
        on.page.get_by_label("vial 1, 1 h, score", exact=True).click()
        start = time.monotonic()
        # as fast as the browser takes them; the rate is printed
        on.page.keyboard.type("".join(f"{n + 10}\n" for n in range(60)))
        rate = 60 / (time.monotonic() - start)
    print(f"{rate:.1f} cells a second")
    want = {f"v{1 + n % 12} {columns[n // 12]}": str(n + 10) for n in range(60)}
    on.holds(
        lambda held: (
            {
                f"{row} {c}": t
                for row, cells in held["scores"].items()
                for c, t in cells.items()
                if f"{row} {c}" in want
            }
            == want
        ),
        60,
    )
    on.answered()
    shown = {
        f"v{1 + n % 12} {columns[n // 12]}": on.page.locator(
            f"[data-row=v{1 + n % 12}][data-field='{columns[n // 12]}']"
        ).input_value()
        for n in range(60)
    }
    assert shown == want


# --- what it looks like

WIDE = """() => {
    const shadow = document.querySelector('.stBidiComponent > * > *').shadowRoot;
    const list = shadow.querySelector('.line-list');
    const right = list.getBoundingClientRect().right + 0.5;
    const over = [...list.querySelectorAll('*')].filter(n => n.getBoundingClientRect().right > right
        && getComputedStyle(n).clipPath === 'none' && !n.closest('.head'));
    return [document.scrollingElement.scrollWidth > innerWidth, over.map(n => n.className)];
}"""
LOW = """need => [...document.querySelector('.stBidiComponent > * > *').shadowRoot.querySelectorAll(
        '.line-list :is(button, .entry:not(.tick), [role=combobox], [role=option])')]
    .map(n => [n.className, n.getBoundingClientRect().height]).filter(([, h]) => h && h < need)"""


@pytest.mark.parametrize("show", ["lines", "many", "batch"])
def test_it_is_sound_narrow_and_wide_in_light_and_dark(visit: Callable[..., Opened], show: str) -> None:
    from axe_playwright_python.sync_playwright import Axe

    on = visit(show=show)
    if show == "lines":
        on.page.get_by_role("button", name="more for jojoba oil").click()
        on.amount("glycerin").fill("-4")
        on.adding().fill("castor")
        on.page.get_by_text("-4 is below nothing").wait_for()
    grounds = set()
    for width, scheme in (("desktop", "light"), ("phone", "light"), ("phone", "dark")):
        wide, high = WIDTHS[width]
        on.page.set_viewport_size({"width": wide, "height": high})
        on.page.emulate_media(color_scheme=scheme)
        on.page.wait_for_timeout(500)
        assert on.page.evaluate(WIDE) == [False, []], width
        assert on.page.evaluate(LOW, 44 if width == "phone" else 24) == [], width
        grounds.add(on.page.evaluate("getComputedStyle(document.querySelector('.stApp')).backgroundColor"))
        found = Axe().run(on.page, context=".stBidiComponent").response
        assert any(".line-list" in str(n["target"]) for v in found["passes"] for n in v["nodes"])
        bad = [v for v in found["violations"] if v["impact"] in ("serious", "critical")]
        assert [(scheme, v["id"], v["nodes"][0]["html"][:200]) for v in bad] == []
    assert len(grounds) == 2
