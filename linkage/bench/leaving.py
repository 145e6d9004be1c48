"""What goes with the engine, or back to the bench: report, page, film, template, form, picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from linkage.bench.asking import Progress
from linkage.bench.telling import Answer, Question

_FRAMES, _SECONDS, _WIDTH = 120, 8.0, 640


def _report(asked: Question, progress: Progress) -> Answer:
    """Make the job report; with a sheet that was kept, as it came and as it goes."""
    from linkage.handover import compose, html_bytes, pdf_bytes

    before, after = _both(asked, progress)
    progress(2, 3, "Writing the report")
    report = compose(before, after, ())
    if asked.given.get("format") == "html":
        return Answer({}, files={"-report.html": html_bytes(report)})
    return Answer({}, files={"-report.pdf": pdf_bytes(report)})


def _page(asked: Question, progress: Progress) -> Answer:
    """Make the owner's page."""
    from linkage.page.html import page_html

    before, after = _both(asked, progress)
    progress(2, 3, "Writing the page")
    return Answer({}, files={".html": page_html(before, after).encode("utf-8")})


def _film(asked: Question, progress: Progress) -> Answer:
    """Make one turn as a moving picture."""
    from linkage.film.animation import film
    from linkage.film.movie import gif_bytes
    from linkage.film.stage import draw_frames
    from linkage.film.timing import Pace

    before, after = _both(asked, progress)
    takes = film(before, after, None, Pace(_FRAMES, _SECONDS, False, True))
    count = len(takes[0].timing.ends)

    def drawn() -> Iterator[Any]:
        for number, picture in enumerate(draw_frames(takes, _WIDTH), 1):
            progress(number, count, "Drawing")
            yield picture

    return Answer({}, files={".gif": gif_bytes(drawn(), takes[0].timing.durations)})


def _picture(asked: Question, progress: Progress) -> Answer:
    """Draw the worst tight spot."""
    from linkage.draw import picture_bytes
    from linkage.draw.figure import draw_figure
    from linkage.examine import examine

    progress(0, 2, "Examining")
    found = examine(asked.sheet)
    progress(1, 2, "Drawing")
    figure = draw_figure(found, next(iter(found.spots), None))
    return Answer({}, files={".png": picture_bytes(figure, ".png")})


def _template(asked: Question, progress: Progress) -> Answer:
    """Draw a part at true scale."""
    from linkage.draw import picture_bytes
    from linkage.draw.template import draw_template, template_of

    progress(0, 1, "Drawing")
    part, sides = str(asked.given.get("part", "")), list(asked.sheet.sides)
    side = asked.given.get("side")
    template = template_of(asked.sheet, part, side if side in sides else sides[0])
    name = f"-{part.replace('_', '-').replace('.', '-').replace(' ', '-')}.pdf"
    return Answer({}, files={name: picture_bytes(draw_template(template), ".pdf")})


def _form(asked: Question, progress: Progress) -> Answer:
    """Draw the form to measure by."""
    from pathlib import Path

    from linkage.bench.numbers import wheels_of
    from linkage.draw import pages_bytes
    from linkage.form.pages import draw_measuring

    progress(0, 1, "Drawing")
    sheet = asked.sheet
    _, wheels = wheels_of(sheet)
    figures = draw_measuring(sheet.arrangement, sheet.scale, wheels, sheet.unit)
    (content,) = pages_bytes(figures, Path("form.pdf")).values()
    return Answer({}, files={"-form.pdf": content})


def _both(asked: Question, progress: Progress) -> tuple[Any, Any]:
    """Return the sheet examined, after one that was kept where one is named."""
    from linkage.examine import examine
    from linkage.sheet import sheet_in

    progress(0, 3, "Examining")
    kept = asked.given.get("before")
    if kept is None:
        return examine(asked.sheet), None
    before = examine(sheet_in(str(kept), str(asked.given.get("snapshot", ""))))
    progress(1, 3, "Examining")
    return before, examine(asked.sheet, known=before)


LEFT: Mapping[str, Callable[[Question, Progress], Answer]] = {
    "report": _report,
    "page": _page,
    "film": _film,
    "picture": _picture,
    "template": _template,
    "form": _form,
}
"""What can be left with, by name."""
