"""What axe-core, a library of accessibility rules, finds wrong with the page: nothing."""

from __future__ import annotations

from importlib.resources import files

import pytest
from selenium.webdriver import Keys

AXE = files("axe_core_python").joinpath("axe.min.js")
RUN = "const done = arguments[0]; axe.run(document).then((found) => done(found.violations));"


@pytest.mark.parametrize(
    ("scheme", "width"),
    [
        ("light", 360),
        ("dark", 1280),
        pytest.param("light", 1280, marks=pytest.mark.long),
        pytest.param("dark", 360, marks=pytest.mark.long),
    ],
)
@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("ardmoor-2-6-0", "ardmoor-2-6-0-straightened"),
        ("peaucellier", None),
        ("ardmoor-2-6-0-return-crank-slipped", None),
    ],
)
def test_no_rule_of_access_is_broken(open_page, before, after, scheme, width):
    page = open_page(before, after, width, 740, scheme)
    if before.startswith("ardmoor"):
        page.run("document.getElementById('side-both').click()")
    page.run("document.querySelector('.parts button').click()")
    page.run(AXE.read_text(encoding="utf-8") + "; window.axe = axe;")

    found = page.browser.execute_async_script(RUN)

    assert [(item["id"], [node["html"] for node in item["nodes"]]) for item in found] == []
    assert page.run("return document.documentElement.scrollWidth") <= width


def test_the_button_for_light_and_dark(open_page):
    page = open_page("four-bar")
    ground = "return getComputedStyle(document.body).backgroundColor"
    light = page.run(ground)
    page.button("Dark").click()

    assert page.run(ground) != light
    page.button("Light").click()
    assert page.run(ground) == light


def test_every_control_can_be_reached_by_tab(open_page):
    page = open_page("ardmoor-2-6-0", "ardmoor-2-6-0-straightened")
    reached = page.run(
        "return [...document.querySelectorAll('button, input, select, summary')]"
        ".filter((one) => one.tabIndex >= 0 && !one.disabled).length"
    )
    there = page.run("return document.querySelectorAll('button, input, select, summary').length")

    assert reached == there


def test_choosing_by_keys_keeps_ones_place(open_page):
    page = open_page("ardmoor-2-6-0", "ardmoor-2-6-0-straightened")
    page.run("document.getElementById('sheet-0').focus()")
    page.browser.switch_to.active_element.send_keys(Keys.ARROW_RIGHT)

    assert page.sheet == 1
    assert page.browser.switch_to.active_element.get_attribute("id") == "sheet-1"


def test_a_position_is_read_out_once_it_stands(open_page):
    page = open_page("ardmoor-2-6-0")
    page.slide(90)
    heard = page.browser.execute_async_script(
        "const done = arguments[0]; const live = document.querySelector('.unseen[aria-live]');"
        "new MutationObserver(() => done(live.textContent)).observe(live, {childList: true});"
    )

    assert heard == (
        "6 o'clock, right-hand crank 90 degrees. "
        "Free here: no tight spot at this place of the turn."
    )
