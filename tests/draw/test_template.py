"""Templates: true scale, proved by counting pixels of the printed page."""

from __future__ import annotations

import math
import re

import numpy as np
import pypdfium2
import pytest

from linkage.arrangements import build, points_of
from linkage.draw import picture_bytes
from linkage.draw.template import CHECK, Template, draw_template
from linkage.errors import OutputError
from linkage.lengths import MILLIMETRES
from linkage.mechanism import Part
from linkage.sheet import change

DOTS = 600  # to the inch


def template_of(sheet, name="radius rod"):
    part = build(sheet, "left")["left"].part(name)
    return Template("title", name, part, part, points_of(sheet)["left"][name], MILLIMETRES)


@pytest.fixture(scope="module")
def page(demo):
    """Return the printed page as dark and light, rows from the top."""
    pdf = pypdfium2.PdfDocument(picture_bytes(draw_template(template_of(demo)), ".pdf"))
    image = pdf[0].render(scale=DOTS / 72, grayscale=True).to_numpy()
    return np.squeeze(image) < 128


def longest_run(dark):
    """Return the longest unbroken run of dark pixels [mm]."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(int), [0]))))
    return float((edges[1::2] - edges[::2]).max(initial=0)) * 25.4 / DOTS


def test_the_page_is_a4(page):
    height, width = (size * 25.4 / DOTS for size in page.shape)
    assert (width, height) == pytest.approx((297.0, 210.0), abs=0.1)


def test_the_line_across_measures_100_mm(page):
    """Within 0.1 mm in 100, counted in pixels at 600 to the inch."""
    half = page.shape[1] // 2
    assert max(map(longest_run, page[:, :half])) == pytest.approx(CHECK, abs=0.1)


def test_the_line_in_inches_measures_four(page):
    half = page.shape[1] // 2
    assert max(map(longest_run, page[:, half:])) == pytest.approx(4 * 25.4, abs=0.1)


def test_the_line_up_measures_50_mm(page):
    assert max(map(longest_run, page.T)) == pytest.approx(CHECK / 2, abs=0.1)


@pytest.mark.parametrize("times", [1.0, 5.0])
def test_hole_centres_stand_where_the_sheet_has_them(demo, times):
    """The crosses of the two holes, as far apart on paper as on the rod, so many times."""
    axis = draw_template(template_of(demo), times).axes[0]
    bars = [
        line.get_xdata()
        for line in axis.lines
        if np.ptp(line.get_ydata()) == 0 and np.ptp(line.get_xdata()) == pytest.approx(3.0)
    ]
    first, second = (np.mean(bar) for bar in bars)
    assert abs(second - first) == pytest.approx(
        times * demo.sides["left"].radius_rod.centres, abs=1e-9
    )


def test_a_bent_part_is_drawn_straight_and_dashed_as_it_was_measured(demo, straight):
    found = build(demo, "right")["right"].part("radius rod")
    made = build(straight, "right")["right"].part("radius rod")
    bent = Template("", "radius rod", made, found, {}, MILLIMETRES)
    dashed = [line for line in draw_template(bent).axes[0].lines if line.get_linestyle() == "--"]
    assert len(dashed) == 2  # the two faces, seen from above
    plain = [line for line in draw_template(template_of(demo)).axes[0].lines if line.is_dashed()]
    assert plain == []


def test_svg_is_true_to_scale(demo):
    text = picture_bytes(draw_template(template_of(demo)), ".svg").decode()
    width = float(re.search(r'width="([\d.]+)pt"', text).group(1))
    assert width * 25.4 / 72 == pytest.approx(297.0, abs=0.01)


def test_a_larger_part_takes_a3_and_beyond_that_is_refused(demo):
    large = template_of(change(demo, {"connecting_rod.centres": 42.0}), "connecting rod")
    assert draw_template(large, 7.0).get_size_inches()[0] == pytest.approx(420 / 25.4)
    with pytest.raises(OutputError, match="too large for A3 at 20 times; give a smaller --times"):
        draw_template(large, 20.0)


def test_what_has_no_outline_is_refused():
    part = Part("string")
    with pytest.raises(OutputError, match="the string has no outline"):
        draw_template(Template("", "string", part, part, {"end": (math.pi, 0.0)}, MILLIMETRES))
