"""Make the picture in README: the first screen of the running app, with the bundled example."""

from __future__ import annotations

from bench import opened
from playwright.sync_api import sync_playwright
from serving import ROOT, launched, served

SIZE = (1280, 860)  # [px]
TARGET = ROOT / "app" / "picture.png"


def main() -> None:
    # started from the checkout, as README says, so that its settings hold
    with sync_playwright() as playwright, served(folder=ROOT) as running:
        browser = launched(playwright)
        with opened(browser, running.url, SIZE) as bench:
            bench.page.mouse.move(SIZE[0] - 5, SIZE[1] - 5)
            bench.page.wait_for_timeout(1000)
            bench.page.screenshot(path=TARGET)
        browser.close()
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main()
