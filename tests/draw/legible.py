"""Whether what is written on a picture can be read."""

from __future__ import annotations

from itertools import combinations

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text

from linkage.draw.paint import our_look


def check_legible(figure) -> None:
    """Hold that no words leave the page or run into others, and that none is under 8 points."""
    FigureCanvasAgg(figure)
    with our_look():
        figure.canvas.draw()
        boxes = [
            (text.get_text(), Text.get_window_extent(text, figure.canvas.get_renderer()))
            for text in figure.findobj(Text)
            if text.get_text() and text.get_visible()
        ]
    assert boxes
    page = figure.bbox
    for said, box in boxes:
        assert page.x0 <= box.x0, said
        assert box.x1 <= page.x1, said
        assert page.y0 <= box.y0, said
        assert box.y1 <= page.y1, said
    for (said, box), (other, against) in combinations(boxes, 2):
        wide = min(box.x1, against.x1) - max(box.x0, against.x0)
        high = min(box.y1, against.y1) - max(box.y0, against.y0)
        # 1.5 pixels of a line's own white above and below its letters may be shared
        assert wide <= 0.5 or high <= 1.5, f"{said!r} runs into {other!r}"
    assert min(text.get_fontsize() for text in figure.findobj(Text) if text.get_text()) >= 8
