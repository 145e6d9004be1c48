"""How fast the bench's page answers a hand, in Chromium: run by command, never asserted.

    python -m tests.speed.bench_page [--starts 8] [--steps 6] [--of CHECKOUT ...]

Told are, as distributions: from the command to the first picture (the browser is open already);
from the event in the page to the frame that shows it, of a number that is dragged over its scale
and in the plan, stepped by its button and typed: the drawing, the verdict by samples, the proof.
Beside each stands what the server and the finder took of the processor. Run it with nothing beside
it; `--of` measures other checkouts in the same run, by turns. Modules are compiled before.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

from tests.browser.conftest import BROWSERS, SWITCHES
from tests.browser.test_bench import BEND, ROOT, Bench, end, size, text_of_demo

NUMBERS = ("eccentric_rod.centres", "radius_rod.out",
           "combination_lever.radius_rod_pin_to_union_pin",
           BEND)  # fmt: skip
PROBE = """
window.seen = {moves: [], drawn: [], states: [], first: null};
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
for (const kind of ["pointerdown", "pointermove", "click", "keydown"]) {
  addEventListener(kind, (event) => {
    const at = event.timeStamp;
    const before = entry();
    setTimeout(() => {
      const now = entry();
      const sets = now !== before || event.key === "Enter";
      if (sets && !Number.isNaN(now)) seen.moves.push([now, at]);
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
  new MutationObserver((_, self) => {
    if (!document.querySelector(".viewer-root svg path")) return;
    self.disconnect();
    painted((at) => { seen.first = performance.timeOrigin + at; });
  }).observe(document.getElementById("bench"), {subtree: true, childList: true});
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


def dragged(bench: Bench, selector: str, way: tuple[float, float]) -> None:
    """Drag from the middle of an element, to and fro, over so much of its width and height."""
    box = bench.run("const one = document.querySelector(arguments[0]);"
                    "one.scrollIntoView({block: 'center'});"
                    "const b = one.getBoundingClientRect();"
                    "return [b.left, b.top, b.width, b.height]", selector)  # fmt: skip
    begun = box[0] + box[2] * 0.5, box[1] + box[3] * 0.45
    mouse(bench.browser, "mousePressed", *begun)
    for step in range(80):
        part = (step if step < 40 else 80 - step) / 40
        mouse(bench.browser, "mouseMoved", begun[0] + way[0] * part * box[2],
              begun[1] + way[1] * part * box[3])  # fmt: skip
        time.sleep(0.016)
    mouse(bench.browser, "mouseReleased", *begun)


def lags(seen: dict) -> list[float]:
    """Return from the event that set a value to the frame that shows it [ms]."""
    found = []
    for value, at in seen["drawn"]:
        begun = [when for typed, when in seen["moves"] if abs(typed - value) < 1e-6 and when < at]
        if begun:
            found.append(at - begun[-1])
    return found


def processor(process: int) -> dict[str, float]:
    """Return what a server has taken of the processor, and what it began [ms]."""
    taken = {"server": 0.0, "finder and helpers": 0.0}
    for path in Path("/proc").glob("[0-9]*"):
        try:
            rest = (path / "stat").read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if process in (int(path.name), int(rest[1])):
            whose = "server" if int(path.name) == process else "finder and helpers"
            taken[whose] += 1000 * (int(rest[11]) + int(rest[12])) / os.sysconf("SC_CLK_TCK")
    return taken


@dataclass
class Measured:
    """What was measured of one checkout: times by name [ms], and what the processor took."""

    times: dict[str, list[float]] = field(default_factory=dict)
    taken: dict[str, list[dict[str, float]]] = field(default_factory=dict)

    def add(self, name: str, some: list[float]) -> None:
        """Add times."""
        self.times.setdefault(name, []).extend(some)

    @contextmanager
    def working(self, name: str, process: int) -> Iterator[None]:
        """Add what the processor takes for something."""
        before = processor(process)
        yield
        after = processor(process)
        self.taken.setdefault(name, []).append({key: after[key] - before[key] for key in after})

    def tell(self) -> None:
        """Print all of it."""
        for name, some in self.times.items():
            ordered = sorted(some)
            if not ordered:
                print(f"  {name}: nothing")
                continue
            at = ordered[min(len(ordered) - 1, int(0.95 * len(ordered)))]
            middle = statistics.median(ordered)
            print(f"  {name}: {middle:.0f} ms at the median, {at:.0f} for 95 of 100, "
                  f"{ordered[0]:.0f} to {ordered[-1]:.0f}, {len(ordered)} times")  # fmt: skip
        for name, held in self.taken.items():
            each = ", ".join(
                f"{key} {statistics.mean(one[key] for one in held):.0f}" for key in held[0]
            )
            print(f"  processor, {name}: {each} ms")


def served(checkout: Path, folder: Path) -> tuple[subprocess.Popen[str], str]:
    """Serve a copy of the demonstration by a checkout's modules; return the process and where."""
    for path in folder.glob("*speed.toml*"):
        path.unlink()
    (folder / "speed.toml").write_text(text_of_demo(), encoding="utf-8")
    held = {**os.environ, "PYTHONPATH": str(checkout), "PYTHONUNBUFFERED": "1",
            "PYTHONPYCACHEPREFIX": str(folder / checkout.name)}  # fmt: skip
    held.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed package has its modules compiled
    process = subprocess.Popen(
        [sys.executable, "-m", "linkage", "bench", "speed.toml", "--no-browser"],
        cwd=folder, stdout=subprocess.PIPE, text=True, env=held,
    )  # fmt: skip
    return process, re.search(r"http\S+", process.stdout.readline())[0]


def first_picture(browser, checkout: Path, folder: Path, measured: Measured) -> None:
    """Measure from the command to the first picture; what it takes until all is proven, too."""
    begun = time.time()
    process, url = served(checkout, folder)
    measured.add("served", [1000 * (time.time() - begun)])
    try:
        with measured.working("to the first proof", process.pid):
            browser.get(url)
            bench = Bench(browser, folder, url)
            first = bench.until(lambda: bench.run("return window.seen.first"))
            measured.add("first picture", [first - 1000 * begun])
            bench.proven()
    finally:
        end(process)


def changed(bench: Bench, change: Callable[[], None]) -> dict:
    """Change a number, wait for its proof, and return what was seen."""
    bench.run("window.seen.moves = []; window.seen.drawn = []; seen.states = []")
    change()
    bench.until(
        lambda: bench.run("return seen.states.at(-1)?.[0] === 'proven' && seen.states.at(-1)[1]")
    )
    return bench.run("return window.seen")


def steps(bench: Bench, process: int, count: int, measured: Measured) -> None:
    """Step numbers by the button and type others, each to its proof."""
    for number in NUMBERS:
        choose(bench, number)
        bench.proven()
        entry = bench.id("entry").get_attribute("value")
        before, _, value = entry.rpartition(" ")
        for step in range(2 * count):
            bench.proven()
            time.sleep(0.5)  # what a hand takes from one press to the next
            typed = step % 2 == 1
            wanted = f"{before} {float(value) + 0.01 * step:.2f}".strip()
            with measured.working("a change, to its proof", process):
                seen = changed(bench, (lambda w=wanted: by_keys(bench, w)) if typed
                               else lambda: bench.press("more"))  # fmt: skip
            if not seen["moves"]:
                continue
            how = "typed" if typed else "stepped"
            at = seen["moves"][0 if not typed else -1][1]
            measured.add(f"{how}: drawn", lags(seen)[:1])
            for state in ("looked", "proven"):
                first = [when - at for one, when, _ in seen["states"] if one == state and when > at]
                measured.add(f"{how}: {'by samples' if state == 'looked' else state}", first[:1])
        while bench.undo_says:
            said = bench.undo_says
            bench.press("undo")
            bench.until(lambda said=said: bench.undo_says != said)


def by_keys(bench: Bench, text: str) -> None:
    """Type a number and go on."""
    from selenium.webdriver import Keys

    bench.id("entry").send_keys(Keys.CONTROL, "a", Keys.NULL, text, Keys.ENTER)


def drags(bench: Bench, process: int, measured: Measured) -> None:
    """Drag numbers over their scales, and in the plan the one that lies so."""
    for number in (*NUMBERS, f"{BEND} in the plan"):
        plan = number.endswith("plan")
        choose(bench, BEND if plan else number)
        bench.proven()
        bench.until(lambda: bench.all("svg.scale"), 300)  # it stands back where cores are few
        bench.run("window.seen.moves = []; window.seen.drawn = []; seen.states = []")
        with measured.working("a drag of 80 moves", process):
            dragged(bench, "svg.plan" if plan else "svg.scale", (0, 0.3) if plan else (0.1, 0))
            time.sleep(0.3)
        measured.add(f"dragged {number}", lags(bench.run("return window.seen")))
        bench.proven()
        while bench.undo_says:
            said = bench.undo_says
            bench.press("undo")
            bench.until(lambda said=said: bench.undo_says != said)
        bench.proven()


def main() -> None:
    """Measure and tell."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--starts", type=int, default=8)
    parser.add_argument("--steps", type=int, default=6, help="of each number, and as many typed")
    parser.add_argument("--no-drags", action="store_true")
    parser.add_argument("--of", type=Path, nargs="+", default=[ROOT], metavar="CHECKOUT")
    asked = parser.parse_args()
    found = {checkout.resolve(): Measured() for checkout in asked.of}
    browser = opened()
    try:
        size(browser, 1280, 800)
        with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as name:
            folder = Path(name)
            for checkout in found:
                first_picture(browser, checkout, folder, Measured())  # its modules are compiled
            for _ in range(asked.starts):
                for checkout, measured in found.items():
                    first_picture(browser, checkout, folder, measured)
            for checkout, measured in found.items():
                process, url = served(checkout, folder)
                try:
                    browser.get(url)
                    bench = Bench(browser, folder, url)
                    bench.proven()
                    steps(bench, process.pid, asked.steps, measured)
                    if not asked.no_drags:
                        drags(bench, process.pid, measured)
                finally:
                    end(process)
                print(checkout)
                measured.tell()
    finally:
        browser.quit()


if __name__ == "__main__":
    sys.exit(main())
