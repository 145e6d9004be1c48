"""The page in a browser: turned by mouse, finger and keys, and asking for nothing."""

from __future__ import annotations

import math
import time
from dataclasses import replace

import pytest
from selenium.webdriver import ActionChains, Keys
from selenium.webdriver.support.ui import WebDriverWait

from linkage.examine import examine
from linkage.page.parts import viewer_script


def test_it_opens_at_the_worst_tight_spot(demo_page):
    assert demo_page.here.startswith("Tight spot 1 of 1, right-hand side.")
    assert "Here: the radius rod fouls the motion bracket by 0.13 mm" in demo_page.here
    assert demo_page.position == "12 o'clock, right-hand crank 269 degrees"
    assert demo_page.find("figure.dial figcaption").text == "Crank pin about 12 o'clock"
    assert demo_page.all(".body.heavy")
    assert demo_page.all(".ring.ink")


def test_the_slider_is_dragged(demo_page):
    slider = demo_page.find("#turn")
    before = demo_page.degrees()
    ActionChains(demo_page.browser).move_to_element(slider).click_and_hold().move_by_offset(
        slider.size["width"] // 4, 0
    ).release().perform()

    assert demo_page.degrees() != before
    assert abs(demo_page.degrees() - 270) < 8


def test_keys_turn_the_crank_and_go_round_the_end(demo_page):
    slider = demo_page.find("#turn")
    slider.send_keys(Keys.HOME)
    assert demo_page.degrees() == 0
    slider.send_keys(Keys.ARROW_RIGHT)
    assert demo_page.degrees() == 1
    slider.send_keys(Keys.PAGE_UP)
    assert demo_page.degrees() > 20
    slider.send_keys(Keys.END)
    assert demo_page.degrees() == 359
    slider.send_keys(Keys.ARROW_RIGHT)
    assert demo_page.degrees() == 0
    slider.send_keys(Keys.ARROW_LEFT)
    assert demo_page.degrees() == 359
    assert slider.get_attribute("aria-valuetext") == "3 o'clock, right-hand crank 359 degrees"


def test_a_finger_turns_the_dial(open_page):
    page = open_page("ardmoor-2-6-0", width=360, height=740)
    page.run("document.querySelector('svg.dial').scrollIntoView({block: 'start'})")
    box = page.run(
        "const b = document.querySelector('svg.dial').getBoundingClientRect();"
        "return [b.left, b.top, b.width]"
    )
    scale = box[2] / 336
    middle = (box[0] + 168 * scale, box[1] + 118 * scale)

    def touch(kind, degrees):
        angle = math.radians(degrees)
        point = {"x": middle[0] + 70 * scale * math.cos(angle),
                 "y": middle[1] + 70 * scale * math.sin(angle)}  # fmt: skip
        points = [] if kind == "touchEnd" else [point]
        page.browser.execute_cdp_cmd(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": points}
        )

    top = "return document.querySelector('svg.dial').getBoundingClientRect().top"
    stood = page.run(top)
    touch("touchStart", 0)
    assert page.degrees() == pytest.approx(0, abs=1)
    for angle in (30, 60, 90):
        touch("touchMove", angle)
    touch("touchEnd", 90)

    assert page.degrees() == pytest.approx(90, abs=1)
    assert page.run(top) == stood  # the page has not gone with the finger


def test_a_click_on_the_curve_turns_the_crank_there_and_stops_it(demo_page):
    curve = demo_page.find("svg.curve")
    demo_page.button("Forwards").click()
    ActionChains(demo_page.browser).move_to_element(curve).click().perform()

    wide = curve.size["width"]
    assert demo_page.degrees() == pytest.approx((wide / 2 - 44) / (wide - 52) * 360, abs=1)
    assert demo_page.button("Forwards")  # it has stopped
    assert len(demo_page.all("path.level")) == 2
    assert len(demo_page.all("path.level.zero")) == 1


def test_jumping_to_the_next_spot_and_enlarging_it(open_page):
    page = open_page("slider-crank-rod-too-long")
    page.button("Next spot").click()
    second = page.here
    assert second.startswith("Tight spot 2 of 3.")
    page.button("Previous spot").click()
    assert page.here.startswith("Tight spot 1 of 3.")

    plain = page.find("svg.side .body").get_attribute("transform")
    zoom = page.button("Enlarge at the spot")
    world = page.find("svg.side > g").get_attribute("transform")
    zoom.click()
    assert zoom.get_attribute("aria-pressed") == "true"
    assert page.find("svg.side > g").get_attribute("transform") != world
    assert page.find("svg.side .body").get_attribute("transform") == plain
    assert "enlarged 5 times" in page.find("figcaption").text


def test_before_and_after(demo_page):
    demo_page.run("document.getElementById('sheet-1').click()")

    assert demo_page.here == "Free here: no tight spot at this place of the turn."
    assert demo_page.degrees() == pytest.approx(269, abs=1)
    assert not demo_page.all(".heavy")
    lists = demo_page.find(".lists").text
    assert lists.index("Before: ") < lists.index("fouls") < lists.index("After: ")
    assert "Free by the figures as they stand. The least air is" in lists
    demo_page.button("Show").click()
    assert demo_page.sheet == 0
    assert "fouls" in demo_page.here


@pytest.mark.parametrize(("name", "way"), [("Forwards", 1), ("Backwards", -1)])
def test_it_turns_either_way_and_stops(demo_page, name, way):
    before = demo_page.degrees()
    demo_page.button(name).click()
    WebDriverWait(demo_page.browser, 10).until(lambda _: demo_page.degrees() != before)
    turned = (demo_page.degrees() - before + 180) % 360 - 180
    assert turned * way > 0
    demo_page.button("Stop").click()
    stopped = demo_page.degrees()
    time.sleep(0.2)  # longer than many pictures
    assert demo_page.degrees() == stopped


def test_a_spot_of_the_other_side_shows_that_side(demo_page):
    demo_page.run("document.getElementById('side-left').click()")
    assert not demo_page.all(".heavy")
    demo_page.button("Next spot").click()

    assert demo_page.all(".heavy")
    assert demo_page.run("return document.getElementById('side-right').checked")


def test_what_is_printed_is_light_and_without_controls(open_page):
    page = open_page("ardmoor-2-6-0", scheme="dark")
    page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    try:
        assert page.run("return getComputedStyle(document.body).backgroundColor") == (
            "rgb(255, 255, 255)"
        )
        assert not any(one.is_displayed() for one in page.all("button, input, select"))
        assert page.position == "12 o'clock, right-hand crank 269 degrees"
        assert "radius rod" in page.here
    finally:
        page.browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})


def test_nothing_turns_by_itself(demo_page):
    before = demo_page.degrees()
    time.sleep(0.3)  # longer than many pictures

    assert demo_page.degrees() == before


def test_where_the_wheels_lock_there_is_no_picture_of_it(open_page):
    page = open_page("ardmoor-2-6-0-return-crank-slipped")
    shown = page.find("svg.side .body").get_attribute("transform")
    last = page.degrees()
    page.button("Forwards").click()
    WebDriverWait(page.browser, 10).until(lambda _: page.all(".one.locked"))

    assert "The wheels lock here: no position." in page.here
    assert page.find("svg.side .body").get_attribute("transform") == shown
    assert page.degrees() > last
    assert page.button("Forwards")  # it has stopped
    page.slide(0)
    assert not page.all(".one.locked")


def test_both_sides_are_in_step_and_both_views_say_front(demo_page):
    demo_page.run("document.getElementById('side-both').click()")

    marks = [
        svg.get_attribute("textContent") for svg in demo_page.all("svg.side, svg.plan, svg.dial")
    ]
    assert len(marks) == 6
    assert sum("FRONT →" in mark for mark in marks) == 3
    assert sum("← FRONT" in mark for mark in marks) == 3
    demo_page.slide(0)
    assert demo_page.position == "Right 3 o'clock, left 12 o'clock, right-hand crank 0 degrees"


def test_parts_are_named_on_a_tap_and_on_focus(demo_page):
    demo_page.run(
        "document.querySelector('svg.side [data-name=\"connecting rod\"]')"
        ".dispatchEvent(new MouseEvent('click', {bubbles: true}))"
    )
    assert demo_page.find(".part").text.startswith("Connecting rod (US: main rod). The bar")
    demo_page.run("document.querySelector('[data-part=\"union link\"]').focus()")
    assert demo_page.find(".part").text.startswith("Union link (US: crosshead link).")


def test_nothing_is_asked_of_the_network(demo_page):
    demo_page.run("document.getElementById('side-both').click()")
    demo_page.button("Enlarge at the spot").click()
    demo_page.button("Forwards").click()
    time.sleep(0.3)  # for anything that comes late

    assert demo_page.requests() == [demo_page.url]


def test_a_title_cannot_run_anything(open_page, demo):
    title = "</script><script>alert(1)</script><img src=x onerror=alert(2)>&amp; \u2028 'a' \"b\""
    page = open_page(examine(replace(demo, title=title)))

    assert page.find("h1").text.split() == title.split()
    assert page.browser.title.split() == title.split()
    assert not page.all("img")
    assert page.run("return document.scripts.length") == 2
    assert page.browser.get_log("browser") == []


def test_fresh_data_can_be_handed_over(demo_page):
    """As a page does that works out a sheet again while it is open."""
    demo_page.run(
        "const data = JSON.parse(document.getElementById('data').textContent);"
        f"const view = {viewer_script('viewer', 'tightspotViewer')}"
        "(document.getElementById('viewer'), data);"
        "view.update({...data, sheets: [data.sheets[1]]});"
    )

    assert demo_page.here.startswith("Free here")
    assert "Before" not in demo_page.find("#viewer").text


def test_frame_time(open_page):
    """Figures to read: turned 200 times by the page's own means, laid out each time."""
    for name in ("ardmoor-2-6-0", "ardmoor-pacific-5in"):
        page = open_page(name)
        page.run("document.getElementById('side-both').click()")
        took = page.run(
            "const turn = document.getElementById('turn'), start = performance.now();"
            "for (let k = 0; k < 200; k += 1) {"
            "  turn.value = k; turn.dispatchEvent(new Event('input'));"
            "  void document.body.offsetHeight;"
            "  document.querySelector('svg').getBBox();"
            "} return (performance.now() - start) / 200;"
        )
        print(f"\n{name}, both sides: {took:.2f} ms a position")  # noqa: T201 (to read)
        assert page.degrees() == pytest.approx(199, abs=1)
