"""What a person does on the page and sees there, by visible words only."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from typing import Any

WIDTHS = {"desktop": (1440, 900), "tablet": (820, 1100), "phone": (390, 844)}


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

    def text(self) -> str:
        """All text that is visible, spaces made one."""
        return " ".join(self.page.locator("body").inner_text().split())

    def row(self, name: str) -> list[str]:
        """Cells of the first table row that begins with a name."""
        cells = self.page.get_by_role("row").filter(has=self.page.get_by_role("cell", name=name, exact=True))
        return [c.strip() for c in cells.first.get_by_role("cell").all_inner_texts()]

    def sees(self, words: str) -> None:
        """Wait until words are visible."""
        self.page.get_by_text(words).first.wait_for()

    def verdict(self) -> str:
        """The verdict, word first."""
        return " ".join(self.page.get_by_role("status").first.inner_text().split())


@contextmanager
def opened(browser: Any, url: str, size: tuple[int, int] = WIDTHS["desktop"]) -> Iterator[Bench]:
    """A fresh visit of the page with the example, ready."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, accept_downloads=True)
    page = context.new_page()
    page.set_default_timeout(15_000)
    bench = Bench(page)

    def heard(dialog: Any) -> None:
        bench.dialogs.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", heard)
    page.goto(url)
    for words in ("Required HLB of the oil phase", "Show the example again", "Another figure"):
        bench.sees(words)
    bench.settle()
    try:
        yield bench
    finally:
        context.close()
