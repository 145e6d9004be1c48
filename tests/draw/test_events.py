"""The page of valve events: its words can be read, and its lines are the valve's."""

from __future__ import annotations

import numpy as np
import pytest

from linkage.draw import draw_events
from linkage.events import find_events
from linkage.sheet import read_sheet
from linkage.sheet.ready import ready_sheets
from tests.draw.legible import check_legible
from tests.events.engines import found, pacific


def axis_of(figure, name):
    return next(axis for axis in figure.axes if axis.get_label() == name)


@pytest.mark.parametrize("at", [None, "mid", "full_back"])
def test_no_words_run_into_each_other(at):
    events = found()
    check_legible(draw_events(events, events.sides["right"], at))


def test_a_sheet_without_laps_is_legible_and_says_so():
    events = find_events(read_sheet(ready_sheets()["ardmoor-2-6-0"]))
    figure = draw_events(events, events.sides["right"])
    check_legible(figure)
    assert any("Not on the sheet: the steam lap" in t.get_text() for t in figure.texts)


def test_reuleauxs_true_points_stand_off_their_line_by_the_lap():
    """Along the line of the eccentric: that is what makes the chord of the lap cut them there."""
    events = find_events(pacific(), 3)
    held = events.sides["right"].at("full_forward")
    axis = axis_of(draw_events(events, events.sides["right"]), "reuleaux")
    chords = [line.get_xydata() for line in axis.lines if line.get_color() == "0.0"]
    chord = next(places for places in chords if len(places) == 2)
    way = (chord[1] - chord[0]) / np.hypot(*(chord[1] - chord[0]))
    off = abs(chord[0] @ np.array([-way[1], way[0]]))
    assert off == pytest.approx(3.4, abs=1e-9)
    marks = np.concatenate([line.get_xydata() for line in axis.lines if line.get_marker() == "o"])
    near = sorted(abs(marks @ np.array([-way[1], way[0]])))
    assert near == pytest.approx([0.0, 0.0, 3.4, 3.4], abs=1e-3)
    assert held.end("front").cut_off is not None
