"""What a person does on the page and sees there, by visible words only."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

from serving import clear

HEADINGS = {"Ladder": "Bench ladder"}
"""Headings of pages that the way to them calls by a shorter word."""

WIDTHS = {"desktop": (1440, 900), "tablet": (820, 1100), "phone": (390, 844)}


FITS = """() => [document.scrollingElement, document.querySelector('[data-testid=stMain]')]
    .every(e => e.scrollWidth <= e.clientWidth)"""


@dataclass
class Bench:
    """A page with a count of the actions done on it; filling a field and Enter is one."""

    page: Any
    actions: int = 0
    dialogs: list[str] = field(default_factory=list)

    def type(self, label: str | re.Pattern[str], text: str) -> None:
        self.actions += 1
        box = (
            self.page.get_by_label(label, exact=True)
            if isinstance(label, str)
            else self.page.get_by_role("textbox", name=label)
        )
        box.fill(text)
        box.press("Enter")
        self.settle()

    def add(self, picker: str, name: str) -> None:
        """Type a name in a picker and take what Enter takes."""
        self.actions += 1
        # the help and the clear sign of a picker carry its label too: the field is the combobox
        box = self.page.get_by_role("combobox", name=re.compile(re.escape(picker)))
        box.click()
        self.page.keyboard.type(name)
        self.page.get_by_role("option").first.wait_for()
        self.page.keyboard.press("Enter")
        self.settle()

    # --- the list of lines

    def line(self, name: str, amount: str) -> None:
        """Type a name where lines are added, and the amount where the cursor then stands."""
        self.actions += 2
        box = self.adding()
        box.click()
        box.fill(name)
        box.press("Enter")
        self.page.keyboard.type(amount)
        self.page.keyboard.press("Enter")
        self.settle()

    def adding(self) -> Any:
        return self.page.get_by_role("combobox", name="Add by any name")

    def amount(self, name: str, unit: str = "%") -> Any:
        return self.page.get_by_label(f"{name}, amount in {unit}", exact=True)

    def set(self, name: str, text: str) -> None:
        """Type an amount of a line."""
        self.actions += 1
        box = self.amount(name)
        box.fill(text)
        box.press("Enter")
        self.settle()

    def more(self, name: str) -> None:
        """Open or close the menu of a line."""
        self.actions += 1
        self.page.get_by_role("button", name=f"more for {name}", exact=True).click()

    def in_menu(self, label: str, text: str) -> None:
        """Type in a field of the menu that is open."""
        self.actions += 1
        box = self.page.locator(".panel").get_by_label(label)
        box.fill(text)
        box.press("Tab")
        self.settle()

    def strip(self) -> str:
        """The short line of the answer; it is kept beside the card on a wide page too."""
        return " ".join(str(self.page.locator(".strip").text_content()).split())

    def held(self, words: str) -> None:
        """Wait until the short answer holds words."""
        self.page.wait_for_function(
            "words => document.querySelector('.strip').textContent.includes(words)", arg=words
        )

    def verdict(self) -> str:
        """The verdict box of a page, word first."""
        return " ".join(self.page.locator(".verdict").first.inner_text().split())

    def headline(self) -> str:
        return str(self.page.locator(".verdict-line").text_content())

    def visit(self, page: str) -> None:
        """Go to a page by the words above every page."""
        link = self.page.get_by_role("link", name=page, exact=True)
        if not link.first.is_visible():
            self.page.get_by_role("button", name=re.compile("^More")).click()
        link.first.click()
        self.page.get_by_role("heading", level=1, name=HEADINGS.get(page, page), exact=True).wait_for()
        self.settle()

    def choose(self, picker: str, option: str) -> None:
        self.actions += 1
        self.page.get_by_role("combobox", name=re.compile(re.escape(picker))).click()
        self.page.get_by_role("option", name=option, exact=True).click()
        self.settle()

    def press(self, label: str, nth: int = 0) -> None:
        self.actions += 1
        self.page.get_by_role("button", name=label, exact=True).nth(nth).click()
        self.settle()

    def open(self, text: str, nth: int = 0) -> None:
        """Open what is folded away."""
        self.actions += 1
        self.page.get_by_text(text, exact=True).nth(nth).click()

    def settle(self) -> None:
        """Wait until the server has answered."""
        state = "document.querySelector('[data-testid=stApp]').dataset.testScriptState"
        # a busy server begins late; where nothing is asked of it, it does not begin at all
        with suppress(Exception):
            self.page.wait_for_function(f"{state} !== 'notRunning'", timeout=350)
        self.page.wait_for_function(f"{state} === 'notRunning'")
        # widgets are fetched on first use: grey boxes stand in their places for a moment
        self.page.wait_for_function("!document.querySelector('[data-testid=stSkeleton]')")
        self.page.wait_for_timeout(80)

    def ready(self) -> None:
        """Wait until the formula page stands."""
        self.page.locator(".line-list").wait_for()
        self.page.locator(".strip").wait_for(state="attached")
        self.settle()

    def resize(self, width: str) -> None:
        """Another width, laid out."""
        wide, high = WIDTHS[width]
        self.page.set_viewport_size({"width": wide, "height": high})
        self.page.wait_for_function("wide => innerWidth === wide", arg=wide)
        self.page.wait_for_timeout(150)

    def fits(self) -> bool:
        """Whether nothing is wider than the screen."""
        return bool(self.page.evaluate(FITS))

    def text(self) -> str:
        """All text that is visible, spaces made one."""
        return " ".join(self.page.locator("body").inner_text().split())

    def row(self, name: str) -> list[str]:
        """Cells of the first table row that begins with a name."""
        cells = self.page.get_by_role("row").filter(has=self.page.get_by_role("cell", name=name, exact=True))
        cells.first.wait_for()
        return [c.strip() for c in cells.first.get_by_role("cell").all_inner_texts()]

    def sees(self, words: str) -> None:
        """Wait until words are visible."""
        self.page.get_by_text(words).filter(visible=True).first.wait_for()


@contextmanager
def tab(browser: Any, size: tuple[int, int] = WIDTHS["desktop"], scheme: str = "light") -> Iterator[Bench]:
    """A new tab; visits that follow one another share what the browser has fetched."""
    idle = (context for context in browser.contexts if not context.pages)
    context = next(idle, None) or browser.new_context(accept_downloads=True)
    page = context.new_page()
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.emulate_media(color_scheme=scheme)
    page.set_default_timeout(90_000)  # a loaded machine is slow, not wrong
    bench = Bench(page)

    def heard(dialog: Any) -> None:
        bench.dialogs.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", heard)
    try:
        yield bench
    finally:
        page.close()


@contextmanager
def opened(
    browser: Any,
    url: str,
    size: tuple[int, int] = WIDTHS["desktop"],
    *,
    path: str = "",
    heading: str = "",
    fresh: bool = True,
) -> Iterator[Bench]:
    """A fresh visit of a page, by default the formula page, ready."""
    if fresh:
        clear(url)
    with tab(browser, size) as bench:
        bench.page.goto(f"{url}/{path}")
        if path:
            bench.page.get_by_role("heading", level=1, name=heading, exact=True).wait_for()
            bench.settle()
        else:
            bench.ready()
        yield bench
