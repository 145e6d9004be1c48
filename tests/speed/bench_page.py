"""How fast the bench's page answers a hand, in Chromium: run by command, never asserted.

    python -m tests.speed.bench_page

A number is dragged over its scale by the pointer, and stepped by its button; told are, from the
event in the page to the frame that shows it: the drawing, the verdict by samples, the proof.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

from tests.browser.conftest import BROWSERS, SWITCHES
from tests.browser.test_bench import Bench, end, served, size, text_of_demo

NUMBERS = ("eccentric_rod.centres", "radius_rod.out",
           "combination_lever.radius_rod_pin_to_union_pin",
           "right.radius_rod.bend[1].towards_frames")  # fmt: skip
PROBE = """
window.seen = {moves: [], drawn: [], states: []};
const known = {};
const painted = (then) => requestAnimationFrame(() => {
  const channel = new MessageChannel();
  channel.port1.onmessage = () => then(performance.now());
  channel.port2.postMessage(0);
});
let drawn = null;
const plain = window.fetch;
window.fetch = async (path, init) => {
  const response = await plain(path, init);
  const json = response.json.bind(response);
  response.json = async () => {
    const said = await json();
    const asked = init.body ? JSON.parse(init.body) : {};
    if (path === "/change" && said.bench) known[said.bench.revision] = asked.edits.at(-1).typed;
    if (path === "/glimpse" && said.sides) drawn = asked.value;
    if (path.startsWith("/found") && said.data && said.stage === "motion") {
      drawn = Number.parseFloat(known[said.revision]);
    }
    return said;
  };
  return response;
};
const entry = () =>
  Number.parseFloat((document.getElementById("entry")?.value ?? "").replace("to be ", ""));
for (const kind of ["pointerdown", "pointermove", "click"]) {
  addEventListener(kind, (event) => {
    const at = event.timeStamp;
    const before = entry();
    setTimeout(() => {
      const now = entry();
      if (now !== before && !Number.isNaN(now)) seen.moves.push([now, at]);
    }, 0);
  }, true);
}
document.addEventListener("DOMContentLoaded", () => {
  new MutationObserver(() => {
    if (drawn === null) return;
    const value = drawn;
    drawn = null;
    painted((at) => seen.drawn.push([value, at]));
  }).observe(document.getElementById("bench"), {subtree: true, childList: true, attributes: true,
    attributeFilter: ["d", "transform"]});
  new MutationObserver(() => {
    const state = document.querySelector(".verdict-bar")?.dataset.state;
    if (seen.states.at(-1)?.[0] !== state) {
      const item = [state, 0, entry()];
      seen.states.push(item);
      painted((at) => { item[1] = at; });
    }
  }).observe(document.getElementById("bench"), {subtree: true, attributes: true,
    attributeFilter: ["data-state"]});
});
"""


def opened() -> webdriver.Chrome:
    """Return a browser that notes what it shows and when."""
    import shutil

    options = Options()
    options.binary_location = next(found for name in BROWSERS if (found := shutil.which(name)))
    for switch in SWITCHES:
        options.add_argument(switch)
    chrome = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    chrome.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": PROBE})
    return chrome


def choose(bench: Bench, number: str) -> None:
    """Choose a number by a script: what it takes is not what is measured."""
    for name in (f"group-{bench.part_of(number)}", f"number-{number}"):
        bench.run(
            "const one = document.getElementById(arguments[0]);"
            "if (one.getAttribute('aria-expanded') === 'false') one.click();",
            name,
        )


def mouse(browser, kind, x, y):
    """Send an event of the pointer."""
    held = {"type": kind, "x": x, "y": y, "button": "left", "buttons": 1, "clickCount": 1}
    browser.execute_cdp_cmd("Input.dispatchMouseEvent", held)


def dragged(bench: Bench, number: str) -> None:
    """Drag a number over its scale, to and fro."""
    box = bench.run("const b = document.querySelector('svg.scale').getBoundingClientRect();"
                    "return [b.left, b.top, b.width, b.height]")  # fmt: skip
    left, y, wide = box[0], box[1] + box[3] * 0.45, box[2]
    path = [0.5 + 0.0025 * (k if k < 40 else 80 - k) for k in range(80)]
    mouse(bench.browser, "mousePressed", left + path[0] * wide, y)
    for place in path:
        mouse(bench.browser, "mouseMoved", left + place * wide, y)
        time.sleep(0.016)
    mouse(bench.browser, "mouseReleased", left + path[-1] * wide, y)


def lags(seen: dict) -> list[float]:
    """Return from the event that set a value to the frame that shows it [ms]."""
    found = []
    for value, at in seen["drawn"]:
        begun = [when for typed, when in seen["moves"] if abs(typed - value) < 1e-6 and when < at]
        if begun:
            found.append(at - begun[-1])
    return found


def told(name: str, times: list[float]) -> str:
    """Say a distribution."""
    if not times:
        return f"{name}: nothing"
    ordered = sorted(times)
    at = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
    median = statistics.median(ordered)
    return f"{name}: {median:.0f} ms median, {at:.0f} at the 95th, of {len(ordered)}"


def main() -> None:
    """Measure and tell."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "speed.toml").write_text(text_of_demo(), encoding="utf-8")
        begun = time.perf_counter()
        process, url = served(folder, "speed.toml")
        browser = opened()
        bench = Bench(browser, folder, url)
        try:
            size(browser, 1280, 800)
            print(f"served after {time.perf_counter() - begun:.2f} s")
            browser.get(url)
            bench.until(lambda: bench.all(".viewer-root svg path"))
            print(
                "first picture", bench.run("return performance.now()") / 1000, "s after asked for"
            )
            bench.proven()
            if "steps" in sys.argv:
                steps(bench)
            for number in NUMBERS:
                choose(bench, number)
                bench.find("svg.scale")
                bench.proven()
                bench.run("window.seen.moves = []; window.seen.drawn = []; seen.states = []")
                dragged(bench, number)
                time.sleep(0.3)
                seen = bench.run("return window.seen")
                print(told(f"dragged {number}", lags(seen)), len(seen["moves"]), "moves")
                bench.proven()
                while bench.undo_says:
                    said = bench.undo_says
                    bench.press("undo")
                    bench.until(lambda said=said: bench.undo_says != said)
                bench.proven()
        finally:
            browser.quit()
            end(process)


def steps(bench: Bench) -> None:
    """Step numbers by the button, each to its proof."""
    drawn, looked, proven = [], [], []
    for number in NUMBERS:
        choose(bench, number)
        bench.proven()
        for _ in range(8):
            bench.run("window.seen.moves = []; window.seen.drawn = []; seen.states = []")
            bench.press("more")
            bench.until(
                lambda: bench.run(
                    "return seen.states.at(-1)?.[0] === 'proven' && seen.states.at(-1)[1]"
                )
            )
            time.sleep(0.3)
            seen = bench.run("return window.seen")
            if not seen["moves"]:
                continue
            at = seen["moves"][0][1]
            drawn += lags(seen)
            looked += [when - at for state, when, _ in seen["states"] if state == "looked"]
            proven += [when - at for state, when, _ in seen["states"] if state == "proven"][-1:]
        for _ in range(8):
            bench.press("undo")
    print(told("stepped: drawn", drawn))
    print(told("stepped: by samples", looked))
    print(told("stepped: proven", proven))


if __name__ == "__main__":
    sys.exit(main())
