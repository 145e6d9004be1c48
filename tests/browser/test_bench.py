"""The page to work at, in a browser: what was felt, access, and what may go wrong.

One server serves all tests but those that end it. Each test opens a sheet of its own from the
page; a page that is never closed keeps the server from ending between them.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from urllib.request import urlopen

import pytest
from selenium.common.exceptions import StaleElementReferenceException
from selenium.webdriver import ActionChains, Keys
from selenium.webdriver.support.ui import Select, WebDriverWait

from linkage.sheet.ready import demonstration

ROOT = Path(__file__).parents[2]
AXE = files("axe_core_python").joinpath("axe.min.js")
RUN_AXE = "const done = arguments[0]; axe.run(document).then((found) => done(found.violations));"
PANELS = ("numbers", "felt", "cures", "part", "kept", "leave")
BEND = "right.radius_rod.bend[1].towards_frames"
TOO_LONG = "23.0"
"""An eccentric rod with which the link of a new sheet swings to one side only [mm]."""
HOSTILE = "</script><img src=x onerror=\"document.title='in'\">"


class Bench:
    """The page of a bench in the browser."""

    def __init__(self, browser, folder: Path, url: str) -> None:
        self.browser, self.folder, self.url = browser, folder, url

    def until(self, what, seconds=60):
        """Wait until something holds, and return it."""
        # what is drawn anew between two looks is looked for again
        wait = WebDriverWait(self.browser, seconds, 0.1, [StaleElementReferenceException])
        return wait.until(lambda _: what())

    def find(self, selector):
        """Return the first element of a selector, waited for."""
        return self.until(lambda: self.all(selector))[0]

    def still(self, selector):
        """Return the first element of a selector, once it has stopped moving on the page."""
        found = self.find(selector)
        seen = []

        def stands():
            seen.append(found.rect)
            return len(seen) > 3 and all(rect == seen[-1] for rect in seen[-4:])

        self.until(stands)
        return found

    def all(self, selector):
        """Return all elements of a selector that are in sight."""
        found = self.browser.find_elements("css selector", selector)
        return [one for one in found if one.is_displayed()]

    def run(self, script, *values):
        """Run a script in the page."""
        return self.browser.execute_script(script, *values)

    def says(self, selector):
        """Return the words of the first element of a selector, waited for."""
        return self.until(lambda: [one.text for one in self.all(selector)])[0]

    def id(self, name):
        """Return an element by its id, waited for."""
        return self.find(f'[id="{name}"]')

    def press(self, name):
        """Press a button with the pointer; one drawn anew before the pointer is there, again."""
        self.until(lambda: self.pressed(self.all(f'[id="{name}"]')))

    def pressed(self, found):
        """Press the first of what was found, and return whether there was one."""
        for one in found[:1]:
            one.click()
        return bool(found)

    @property
    def badge(self):
        """How sure the verdict is."""
        return self.run("return document.querySelector('.badge').textContent")

    @property
    def verdict(self):
        """What is said of the sheet as it is now."""
        return self.run("return document.querySelector('.verdict-says').textContent")

    @property
    def undo_says(self):
        """What would be taken back."""
        return self.run("return document.getElementById('undo').title")

    @property
    def told(self):
        """What hinders, at the top."""
        return self.run("return document.querySelector('.bench-top [role=alert]').textContent")

    def proven(self):
        """Wait for a proven verdict, and return it: of one look, for a second may find another."""
        return self.until(
            lambda: self.run(
                "return document.querySelector('.badge').textContent === 'Proven'"
                " && document.querySelector('.verdict-says').textContent"
            )
        )

    def pick(self, name, value):
        """Choose one of a list."""

        def picked():
            Select(self.id(name)).select_by_value(value)
            return True

        self.until(picked)

    def keys(self, *typed):
        """Type keys one after the other, to whatever has the focus just then."""
        ActionChains(self.browser).send_keys(*typed).perform()

    def control(self, letter):
        """Type a letter with the control key held."""
        hand = ActionChains(self.browser).key_down(Keys.CONTROL).send_keys(letter)
        hand.key_up(Keys.CONTROL).perform()

    def choose(self, number):
        """Choose a number, in its part."""
        self.unfold(f"group-{self.part_of(number)}")
        self.unfold(f"number-{number}")

    def unfold(self, name):
        """Show what a button unfolds."""

        def folded():
            return self.id(name).get_attribute("aria-expanded") == "false"

        if self.until(lambda: [folded()])[0]:
            self.press(name)

    def part_of(self, number):
        """Return the part of a number, as the page was told."""
        return self.browser.execute_async_script(
            "const [id, token, done] = arguments;"
            "const page = JSON.parse(document.getElementById('first').textContent).page;"
            "fetch('/bench', {headers: {'X-Bench-Token': token, 'X-Bench-Page': page}})"
            ".then((said) => said.json()).then(({groups}) => done(groups.find(({numbers}) =>"
            " numbers.some((one) => one.id === id)).part));",
            number, self.url.partition("token=")[2],
        )  # fmt: skip

    def type(self, number, text):
        """Type a number and go on."""
        self.choose(number)
        entry = self.id("entry")
        entry.send_keys(Keys.CONTROL, "a", Keys.NULL, text, Keys.ENTER)

    def open(self, name, text):
        """Put a sheet in the folder and open it from the page."""
        (self.folder / name).write_text(text, encoding="utf-8")
        self.browser.get(self.url)
        if self.all("dialog #take"):
            self.press("take")
            self.until(lambda: not self.all("dialog[open]"))
        self.press("begin")
        self.pick("open-sheet", name)
        self.press("open-it")
        self.until(lambda: self.says(".file").startswith(name))


def served(folder, *words):
    """Start a bench in a folder; return its process and where it is."""
    process = subprocess.Popen(
        [sys.executable, "-m", "linkage", "bench", *words, "--no-browser"],
        cwd=folder, stdout=subprocess.PIPE, text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    line = process.stdout.readline()
    return process, re.search(r"http\S+", line)[0]


def end(process):
    process.kill()
    process.wait()
    process.stdout.close()


@pytest.fixture(scope="module")
def serving(tmp_path_factory):
    folder = tmp_path_factory.mktemp("bench")
    (folder / "first.toml").write_text(text_of_demo(), encoding="utf-8")
    process, url = served(folder, "first.toml")
    with urlopen(url) as kept:  # a page that is never closed
        kept.read()
    yield folder, url
    end(process)


@pytest.fixture
def bench(browser, serving):
    size(browser, 1280, 800)
    browser.get_log("browser")
    yield Bench(browser, *serving)
    wrong = [one["message"] for one in browser.get_log("browser") if " 409 " not in one["message"]]
    browser.get("about:blank")
    assert [line for line in wrong if "422" not in line] == []


def text_of_demo():
    return demonstration().read_text(encoding="utf-8")


def size(browser, width, height, scheme="light"):
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    browser.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    features = [{"name": "prefers-color-scheme", "value": scheme}]
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": features})


def test_the_whole_story_by_pointer(bench):
    bench.open("story.toml", text_of_demo())
    bench.press("begin")
    bench.press("new-begin")
    bench.until(lambda: bench.says(".file").startswith("walschaerts"))
    assert "Free by the figures" in bench.proven()
    bench.press("next-0")  # what is worth measuring next
    assert bench.all(".chosen-number")
    bench.type("eccentric_rod.centres", TOO_LONG)
    bench.until(lambda: bench.undo_says)
    assert "2 faults that hinder no turn" in bench.proven()  # one a side
    assert bench.says("li.chosen .number").endswith("measured")

    bench.press("tab-cures")
    bench.press("find-cures")
    bench.until(lambda: bench.pressed(bench.all(".cures button")))
    bench.until(lambda: bench.all("#sheet-1 + label"))  # before and after
    assert "Free by the figures" in bench.proven()
    assert not bench.all(".body.heavy")

    bench.press("tab-leave")
    bench.pick("beside-it", "before the cure")
    bench.press("leave-report")
    said = bench.says(".done p")
    assert said.startswith("Written: walschaerts")
    report = next(bench.folder.glob("walschaerts*-report.pdf"))
    assert report.read_bytes().startswith(b"%PDF")
    bench.press("save")
    bench.until(lambda: bench.says(".file").endswith(", saved"))


def test_the_whole_story_by_keyboard(bench):
    bench.open("keys.toml", text_of_demo())

    def tab_to(name):
        for _ in range(160):
            if bench.run("return document.activeElement.id") == name:
                return
            bench.keys(Keys.TAB)
        raise AssertionError(f"{name} is not reached by Tab")

    bench.run("document.body.focus()")
    tab_to("begin")
    bench.keys(Keys.ENTER)
    tab_to("new-begin")
    bench.keys(Keys.ENTER)
    bench.until(lambda: bench.says(".file").startswith("walschaerts"))
    bench.proven()
    tab_to("group-eccentric_rod")
    bench.keys(Keys.ENTER)
    tab_to("number-eccentric_rod.centres")
    bench.keys(Keys.ENTER)
    tab_to("entry")
    bench.keys(Keys.ARROW_UP)  # a step of 0.05 mm
    bench.control("a")
    bench.keys(TOO_LONG, Keys.ENTER)
    bench.until(lambda: "2 faults that hinder no turn" in bench.proven())
    bench.run("document.getElementById('tab-numbers').focus()")
    bench.keys(Keys.ARROW_RIGHT)
    bench.keys(Keys.ARROW_RIGHT)
    tab_to("find-cures")
    bench.keys(Keys.ENTER)
    bench.until(lambda: bench.all(".cures button"))
    bench.keys(Keys.TAB)
    bench.keys(Keys.ENTER)
    bench.until(lambda: bench.all("#sheet-1 + label"))
    assert "Free by the figures" in bench.proven()
    bench.control("s")
    bench.until(lambda: bench.says(".file").endswith(", saved"))


def test_undo_outlasts_a_reload_and_a_drag_in_the_plan_is_one_number(bench):
    bench.open("undo.toml", text_of_demo())
    bench.proven()
    bench.choose(BEND)
    plan = bench.find("svg.plan")
    ActionChains(bench.browser).move_to_element(plan).click_and_hold().move_by_offset(
        0, 4
    ).move_by_offset(0, 4).release().perform()
    bench.until(lambda: "towards the frames" in bench.undo_says)
    bench.until(lambda: bench.run("return !document.querySelector('.shown.stale')"))
    dragged = float(bench.id("entry").get_attribute("value").removeprefix("to be "))
    assert dragged < 0.7  # down is away from the frames
    assert "to be" in bench.says("li.chosen .number")  # nobody has measured it
    bench.press("undo")
    bench.until(lambda: not bench.undo_says)  # all that one hand did is one step
    scale = bench.find("svg.scale")  # looked for once the verdict stands
    bench.until(lambda: len(bench.all("svg.plan .ghosts path")) == 2)  # as far as it may go
    ActionChains(bench.browser).move_to_element(scale).click_and_hold().move_by_offset(
        20, 0
    ).move_by_offset(20, 0).release().perform()
    bench.until(lambda: "towards the frames" in bench.undo_says)
    bench.browser.refresh()
    bench.proven()
    assert "towards the frames" in bench.undo_says
    bench.press("undo")
    bench.until(lambda: not bench.undo_says)
    assert "0.13 mm" in bench.proven()
    assert bench.says(".file") == "undo.toml, saved"


def test_what_was_felt_is_dragged_over_the_dial_and_weighed(bench):
    bench.open("felt.toml", text_of_demo())
    bench.proven()
    bench.press("tab-felt")
    dial = bench.still("svg.felt")
    wide = dial.size["width"]
    around = ActionChains(bench.browser).move_to_element_with_offset(dial, -wide // 8, -wide // 8)
    around.click_and_hold()
    for _ in range(4):
        around.move_by_offset(wide // 16, 0)
    around.release().perform()
    begin, end = (int(bench.id(f"felt-{name}").get_attribute("value")) for name in ("from", "to"))
    assert (begin, end) == (pytest.approx(225, abs=4), pytest.approx(315, abs=4))
    bench.press("felt-add")
    line = bench.says(".felt-lines li span")
    assert line == f"Locks from {begin}° to {end}° on the right"
    bench.id("felt-words").send_keys("the moon is full")
    bench.press("felt-say")
    assert "should say what was felt" in bench.says(".problem")
    bench.press("cause")
    bench.until(lambda: bench.pressed(bench.all(".going button")))  # it takes long: stopped
    bench.until(lambda: not bench.all(".going"))
    assert not bench.all("#panel-felt .said")
    bench.press("felt-remove-0")
    bench.until(lambda: not bench.all(".felt-lines li"))


def test_a_second_page_is_told_and_may_take_over(bench):
    bench.open("two.toml", text_of_demo())
    first = bench.browser.current_window_handle
    bench.browser.switch_to.new_window("tab")
    bench.browser.get(bench.url)
    assert "Another page works at this sheet" in bench.says("dialog[open]")
    bench.press("take")
    bench.until(lambda: not bench.all("dialog[open]"))
    assert "0.13 mm" in bench.proven()
    bench.type("radius_rod.out", "4,5")
    bench.until(lambda: bench.undo_says)
    bench.browser.close()
    bench.browser.switch_to.window(first)
    assert "Another page" in bench.says("dialog[open]")
    bench.press("take")
    bench.until(lambda: bench.undo_says)  # what was done there is here


def test_hostile_text_in_a_sheet_is_text(bench):
    title = HOSTILE.replace('"', "'")
    bench.open("hostile.toml", re.sub('title *= *".*"', f'title = "{title}"', text_of_demo()))
    bench.proven()
    assert bench.says("h1") == title
    bench.press("tab-kept")
    bench.id("keep-name").send_keys(HOSTILE)
    bench.press("keep-it")
    assert bench.says(".kept li span") == HOSTILE
    bench.press("tab-numbers")
    bench.type("radius_rod.out", HOSTILE)
    assert "should be" in bench.says(".chosen-number .problem")
    assert bench.badge == "Proven"  # nothing was changed, and what stood stands
    bench.browser.refresh()
    bench.proven()
    assert bench.browser.title != "in"
    assert not bench.all("img[src='x']")


def test_what_cannot_be_put_together_is_said_and_a_file_changed_elsewhere_is_noticed(bench):
    bench.open("wrong.toml", text_of_demo())
    bench.proven()
    bench.type("union_link.centres", "0.8")
    asked = bench.until(lambda: bench.all(".chosen-number .problem"))[0]
    assert "decimal point" in asked.text
    assert "It is right" in asked.text
    bench.type("eccentric_rod.centres", "34")
    bench.until(lambda: bench.badge == "No answer")
    assert "tight spot" not in bench.verdict
    assert bench.run("return document.querySelector('.shown').classList.contains('unproven')")
    bench.press("undo")
    bench.proven()
    path = bench.folder / "wrong.toml"
    path.write_text(text_of_demo() + "\n# touched\n", encoding="utf-8")
    bench.run("dispatchEvent(new Event('focus'))")  # as when the editor is left for the page
    bench.until(lambda: bench.told)
    bench.press("theirs")
    bench.until(lambda: not bench.told)
    assert bench.says(".file").endswith(", saved")
    assert "0.13 mm" in bench.proven()
    assert path.read_text(encoding="utf-8").endswith("# touched\n")


@pytest.mark.parametrize(("width", "height", "scheme"), [(1280, 800, "light"), (820, 1180, "dark")])
def test_no_rule_of_access_is_broken_on_the_bench(bench, width, height, scheme):
    size(bench.browser, width, height, scheme)
    bench.open("access.toml", text_of_demo())
    bench.proven()
    bench.choose("radius_rod.centres")
    covered = "const [one, other] = [...arguments].map((at) => document.querySelector(at)"
    covered += ".getBoundingClientRect()); return one.bottom - other.top"
    assert bench.run(covered, "svg.plan", ".turning") <= 0  # nothing lies over the plan
    bench.run(AXE.read_text(encoding="utf-8") + "; window.axe = axe;")
    found = {}
    for panel in PANELS:
        bench.press(f"tab-{panel}")
        bench.run("for (const one of document.querySelectorAll('details')) one.open = true;")
        found[panel] = [(one["id"], [node["html"] for node in one["nodes"]])
                        for one in bench.browser.execute_async_script(RUN_AXE)]  # fmt: skip
        low = bench.run(
            "return [...document.querySelectorAll('.side-panel button, .side-panel select')]"
            ".filter((one) => one.offsetHeight && one.offsetHeight < 44).map((one) => one.id)"
        )
        assert low == []
    assert found == {panel: [] for panel in PANELS}
    size(bench.browser, width // 2, height // 2)  # as with everything twice as large
    assert bench.run("return document.documentElement.scrollWidth") <= width // 2


def test_a_server_that_is_gone_is_told_of(browser, tmp_path):
    (tmp_path / "gone.toml").write_text(text_of_demo(), encoding="utf-8")
    process, url = served(tmp_path, "gone.toml")
    bench = Bench(browser, tmp_path, url)
    try:
        browser.get(url)
        bench.proven()
        bench.choose("radius_rod.out")
    finally:
        end(process)
    bench.press("more")
    bench.until(lambda: "no answer from tightspot" in bench.told)
    browser.get("about:blank")
