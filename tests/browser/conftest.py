"""A browser without a window, and pages of ready sheets to open in it."""

from __future__ import annotations

import json
import os
import shutil
from functools import cache
from pathlib import Path

import pytest
from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

from linkage.page.html import page_html
from tests.ready import examined

CONFIGS = Path(__file__).parents[2] / "configs"
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
SWITCHES = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


@pytest.fixture(scope="session")
def browser(tmp_path_factory):
    program = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    driver = shutil.which("chromedriver")
    if not (program and driver) and "CI" not in os.environ:
        pytest.skip("no chromium with its chromedriver is installed here")
    options = Options()
    options.binary_location = str(program)
    for switch in SWITCHES:
        options.add_argument(switch)
    options.add_argument(f"--user-data-dir={tmp_path_factory.mktemp('browser')}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    chrome = webdriver.Chrome(options=options, service=Service(driver))
    yield chrome
    chrome.quit()


@cache
def written(names: tuple[str, ...]) -> str:
    return page_html(*(examined(name) for name in names))


class Page:
    """A page opened in the browser."""

    def __init__(self, browser, url: str) -> None:
        self.browser = browser
        self.url = url

    def size(self, width: int, height: int, scheme: str = "light") -> None:
        """Give the window a size; a narrow one is a phone with a touch screen."""
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}
        self.browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        touch = {"enabled": width < 500, "maxTouchPoints": 1}
        self.browser.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", touch)
        features = [{"name": "prefers-color-scheme", "value": scheme}]
        self.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})

    def run(self, script: str, *values):
        """Run a script in the page."""
        return self.browser.execute_script(script, *values)

    def find(self, selector: str):
        """Return the first element of a selector."""
        return self.browser.find_element("css selector", selector)

    def all(self, selector: str):
        """Return all elements of a selector."""
        return self.browser.find_elements("css selector", selector)

    def button(self, name: str):
        """Return the button of that name."""
        return next(b for b in self.all("button") if b.text == name)

    @property
    def position(self) -> str:
        """Where the page says the crank stands."""
        return self.find(".position").text

    @property
    def here(self) -> str:
        """What the page says of that place."""
        return self.find(".here").text

    @property
    def sheet(self) -> int:
        """Which sheet is in sight."""
        return self.run(
            "return Number(document.querySelector('[name=\"sheet\"]:checked')?.value ?? 0)"
        )

    def degrees(self) -> float:
        """Return where the right-hand crank stands [degrees]."""
        return self.run(
            "return JSON.parse(document.getElementById('data').textContent)"
            ".sheets[arguments[0]].crank[Number(document.getElementById('turn').value)]",
            self.sheet,
        )

    def slide(self, stop: int) -> None:
        """Move the slider to a stop, as a drag of it does."""
        self.run(
            "const slider = document.getElementById('turn'); slider.value = arguments[0];"
            "slider.dispatchEvent(new Event('input'));",
            stop,
        )

    def requests(self) -> list[str]:
        """Return what was asked of the network, files and inline data apart."""
        found = []
        for entry in self.browser.get_log("performance"):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent":
                found.append(message["params"]["request"]["url"])
        return found


@pytest.fixture
def open_page(browser, tmp_path):
    """Return a way to open a page of ready sheets, or of examinations."""

    def opened(before, after=None, width=1280, height=900, scheme="light"):
        names = (before,) if after is None else (before, after)
        text = written(names) if isinstance(before, str) else page_html(*names)
        path = tmp_path / "page.html"
        path.write_text(text, encoding="utf-8")
        page = Page(browser, path.as_uri())
        page.size(width, height, scheme)
        browser.get_log("browser")
        browser.get_log("performance")
        browser.get(page.url)
        return page

    return opened


@pytest.fixture
def demo_page(open_page):
    """Open the demonstration before and after its cure."""
    page = open_page("ardmoor-2-6-0", "ardmoor-2-6-0-straightened")
    yield page
    said = [entry["message"] for entry in page.browser.get_log("browser")]
    assert said == []
