"""The files: one content in both, one page for the owner, nothing cut, nothing that runs."""

from __future__ import annotations

import dataclasses
import io
import re

import numpy as np
import pypdfium2
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.text import Text
from PIL import Image

from linkage.draw.owner import draw_clock, draw_enlarged, draw_whole
from linkage.draw.paint import our_look
from linkage.errors import SheetError
from linkage.examine import examine
from linkage.handover import Photo, compose, html_bytes, load_photographs, pdf_bytes
from linkage.handover.pdf import FOOT, MARGIN, TOP
from linkage.handover.photographs import LONGEST, PhotographError
from linkage.report.blocks import Column, Grid, Heading, Paragraph
from linkage.scene.moment import moment_of
from linkage.sheet import Job, read_sheet, sheet_from
from linkage.sheet.ready import ready_sheets
from tests.handover.reports import (
    AFTER,
    BEFORE,
    KINDS,
    bare,
    data_of,
    examined,
    pages_of,
    read_html,
    texts,
    written,
)
from tests.ready import ready_names

DOTS = 100  # to the inch
MM = DOTS / 25.4


def without_foot(pages: list[str], title: str) -> str:
    """Return the text of all pages run together, without title and number at the foot."""
    said = []
    for page in pages:
        text = bare(page)
        foot = re.search(r"page\d+of\d+", text)
        assert foot, "no number on the page"
        said.append(text.replace(bare(title) + foot[0], "").replace(foot[0], ""))
    return "".join(said)


def ink_of(pdf: bytes) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(pdf)
    pages = [page.render(scale=DOTS / 72, grayscale=True).to_numpy() for page in document]
    return [np.squeeze(page) < 250 for page in pages]


def assert_within_margins(pdf: bytes) -> None:
    for page in ink_of(pdf):
        height, width = page.shape
        assert (width / MM, height / MM) == pytest.approx((210, 297), abs=0.3)
        half = 0.5  # of a millimetre, for a line's own width and the rounding to a pixel
        side, top, foot = (int((x - half) * MM) for x in (MARGIN, TOP, FOOT))
        assert not page[:, :side].any()
        assert not page[:, -side:].any()
        assert not page[:top].any()
        number = page[-foot:]  # only the title and the number stand at the foot
        assert not number[-int(8.0 * MM) :].any()


def test_every_sentence_stands_in_both(each):
    blocks = (*each.report.owners, *each.report.bench)
    page = bare(read_html(each.html)[0])
    paper = without_foot(each.pages, each.report.title)
    for text in texts(blocks):
        assert bare(text) in page, text
        assert bare(text) in paper, text


def test_the_owners_part_is_just_one_page(each):
    pages = each.pages
    assert bare(texts(each.report.owners)[-1]) in bare(pages[0])
    assert bare(pages[1]).startswith("Appendix,forthebench")
    assert "Appendix,forthebench" not in bare(pages[0])


def test_nothing_is_drawn_beyond_the_margins(each):
    assert_within_margins(each.pdf)


def test_pages_are_numbered(demo):
    count = len(demo.pages)
    for number, page in enumerate(demo.pages, 1):
        assert f"page {number} of {count}" in page


def test_a_table_that_goes_overleaf_has_its_headings_again(demo):
    row = re.compile(r"(?:mm|degrees) (?:measured|assumed) ")  # wherever the page is turned
    with_numbers = [page for page in demo.pages if row.search(page)]
    assert len(with_numbers) >= 2
    for page in with_numbers:
        assert "plus or minus" in page


@pytest.mark.parametrize("name", ["before and after", "four-bar"])
def test_the_same_report_gives_the_same_file(name):
    first = written(name)
    if name == "four-bar":
        again = compose(examined("four-bar"))
    else:
        again = compose(examined(BEFORE), examined(AFTER))
    assert again == first.report
    assert pdf_bytes(again) == first.pdf
    assert html_bytes(again) == first.html


def test_a_date_on_the_sheet_is_the_files():
    sheet = dataclasses.replace(examined("four-bar").sheet, job=Job(date="2026-03-28"))
    report = compose(dataclasses.replace(examined("four-bar"), sheet=sheet))
    assert b"D:20260328000000" in pdf_bytes(report)


def test_nothing_in_the_page_runs_or_comes_from_elsewhere(each):
    text, tags = read_html(each.html)
    assert "script" not in tags
    source = each.html.decode()
    assert not re.search(r"""(src|href)=["'](?!data:)""", source)
    assert "url(" not in source
    assert each.report.title in text


def test_a_title_cannot_run():
    said, tags = read_html(written("in line").html)
    assert "<script>alert(1)</script> & sons" in said
    assert "script" not in tags


LONG = "Donaudampfschifffahrtsgesellschaft" * 12
JOB = {
    "letterhead": f"<b>Works</b>\n{LONG}",
    "owner": LONG,
    "complaint": f"<img src=x onerror=alert(1)> {LONG}",
    "other_work": [LONG, "a & b \u2022 \u00e9 \u0416 \u2192"],
    "advice": ["\u0007bell \U0001f682 engine"],  # a control character, and a letter we have not
}


def test_long_words_and_odd_ones_are_wrapped_and_escaped():
    data = data_of("four-bar") | {"job": JOB, "title": LONG}
    report = compose(examine(sheet_from(data)))
    pdf, html = pdf_bytes(report), html_bytes(report)
    assert_within_margins(pdf)
    paper = without_foot(pages_of(pdf), report.title)
    assert paper.count(bare(LONG)) >= 4
    assert "bell\u25a1engine" in paper
    said, tags = read_html(html)
    assert said.count(LONG) >= 4
    assert "bell \U0001f682 engine" in said
    assert "b" not in tags
    assert "onerror" not in "".join(re.findall(r"<[^>]*>", html.decode()))


@pytest.mark.parametrize("letters", [120, 251])
def test_a_long_name_of_a_file_stands_whole_in_one_line(demo, letters):
    """251 letters and `.toml` are the longest name that a file can have."""
    name = ("a-sheet-of-many-words_" * 12)[:letters] + ".toml"
    grid = Grid((Column("pair", 3), Column("mm", 1, right=True)), ((f"the {name[:70]}", "0.1"),))
    blocks = (Heading("Appendix"), Paragraph(f"From the sheet {name}, as found."), grid)
    pdf = pdf_bytes(dataclasses.replace(demo.report, bench=blocks))
    lines = "\n".join(pages_of(pdf)).replace("\ufffe", "-").splitlines()
    assert_within_margins(pdf)
    assert any(name in line for line in lines)
    assert any(name[:70] in line for line in lines if name not in line)


def test_a_row_longer_than_a_page_goes_on_overleaf(demo):
    words = " ".join(f"word{number}" for number in range(3000))
    grid = Grid((Column("a", 1), Column("b", 1, right=True)), (("x", words), ("y", "end")))
    report = dataclasses.replace(demo.report, bench=(Heading("Appendix"), grid))
    pdf = pdf_bytes(report)
    assert_within_margins(pdf)
    paper = without_foot(pages_of(pdf), report.title)
    assert bare(words) in paper


def test_a_paragraph_longer_than_a_page_is_not_cut(demo):
    words = " ".join(f"word{number}" for number in range(3000))
    report = dataclasses.replace(demo.report, bench=(Paragraph(words), Paragraph("end")))
    pdf = pdf_bytes(report)
    assert_within_margins(pdf)
    assert bare(words) in without_foot(pages_of(pdf), report.title)


def test_very_many_words_of_ones_own_go_over_to_a_second_page():
    job = {"other_work": [f"Line {number} of the other work." for number in range(90)]}
    report = compose(examine(sheet_from(data_of("four-bar") | {"job": job})))
    pages = pages_of(pdf_bytes(report))
    assert "Appendix" not in pages[1]
    assert "Line 89 of the other work." in "".join(pages)


@pytest.mark.parametrize("name", [*KINDS, *ready_names()])
def test_no_word_of_a_picture_is_cut(name):
    examination = examined(name)
    moment = moment_of(examination, examination.spots[0] if examination.spots else None)
    for figure in (draw_whole(moment), draw_enlarged(moment), draw_clock(moment)):
        if figure is None:
            continue
        FigureCanvasAgg(figure)
        with our_look():
            figure.canvas.draw()
            (axis,) = figure.axes
            titles = [t for t in axis.get_children() if isinstance(t, Text) and t not in axis.texts]
            for text in (*axis.texts, *titles):
                box = Text.get_window_extent(text, figure.canvas.get_renderer())
                said = text.get_text()
                if said:
                    assert figure.bbox.x0 <= box.x0, said
                    assert box.x1 <= figure.bbox.x1, said
                assert not re.search(r"\bmm\b|°", said)


# --- photographs ----------------------------------------------------------------------------------


def photograph(path, size=(3000, 2000), **more):
    """Write noise on a slope of grey, which JPEG cannot make small by itself."""
    rows = np.linspace(0, 200, size[1])[:, None] + np.zeros(size[0])
    noise = np.random.default_rng(1).integers(0, 55, rows.shape)
    Image.fromarray((rows + noise).astype(np.uint8)).convert("RGB").save(path, **more)


def test_photographs_are_put_in_small(tmp_path):
    photograph(tmp_path / "lock.jpg")
    photograph(tmp_path / "rod.png", (200, 100))
    text = ready_sheets()["four-bar"].read_text(encoding="utf-8")
    job = '\n[job]\nphotographs = ["rod.png", { file = "lock.jpg", caption = "The lock." }]\n'
    (tmp_path / "sheet.toml").write_text(text + job, encoding="utf-8")
    sheet = read_sheet(tmp_path / "sheet.toml")

    found = load_photographs(sheet, [Photo(tmp_path / "rod.png", "Again.")])
    assert [picture.caption for picture in found] == ["", "The lock.", "Again."]
    assert (found[1].width, found[1].height) == (LONGEST, 2 * LONGEST // 3)
    assert (found[0].width, found[0].height) == (200, 100)
    report = compose(examine(sheet), photographs=found)
    html, pdf = html_bytes(report), pdf_bytes(report)
    assert html.count(b"data:image/jpeg;base64,") == 3
    assert len(pdf) < len((tmp_path / "lock.jpg").read_bytes())
    assert_within_margins(pdf)
    assert "The lock." in "".join(pages_of(pdf))


def test_a_photograph_stands_upright_and_tells_no_place(tmp_path):
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "maker of the camera"
    photograph(tmp_path / "turned.jpg", (400, 200), exif=exif)
    sheet = dataclasses.replace(examined("four-bar").sheet, source=str(tmp_path / "sheet.toml"))
    (found,) = load_photographs(sheet, [Photo(tmp_path / "turned.jpg")])
    assert (found.width, found.height) == (200, 400)
    with Image.open(io.BytesIO(found.content)) as image:
        assert not image.getexif()


def test_a_see_through_photograph_is_laid_on_white(tmp_path):
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(tmp_path / "clear.png")
    (found,) = load_photographs(examined("four-bar").sheet, [Photo(tmp_path / "clear.png")])
    with Image.open(io.BytesIO(found.content)) as image:
        assert image.getpixel((10, 10)) == (255, 255, 255)


def test_photographs_that_cannot_be_used_are_said_all_at_once(tmp_path):
    (tmp_path / "text.jpg").write_text("no picture")
    photograph(tmp_path / "whole.jpg", (300, 200))
    whole = (tmp_path / "whole.jpg").read_bytes()
    (tmp_path / "half.jpg").write_bytes(whole[: len(whole) // 2])
    names = ["nowhere.jpg", "text.jpg", "half.jpg", "."]
    data = data_of("four-bar") | {"job": {"photographs": names}}
    sheet = sheet_from(data, str(tmp_path / "sheet.toml"))
    with pytest.raises(SheetError) as caught:
        load_photographs(sheet)
    first, second, third, fourth = map(str, caught.value.problems)
    assert first == 'job.photographs[1]: there is no such photograph (found "nowhere.jpg")'
    assert second == 'job.photographs[2]: is neither JPEG nor PNG (found "text.jpg")'
    assert third.startswith("job.photographs[3]: cannot be read (")
    assert fourth == 'job.photographs[4]: there is no such photograph (found ".")'


def test_another_photograph_that_is_not_there_is_said(tmp_path):
    with pytest.raises(PhotographError, match=r"nowhere\.png: there is no such photograph"):
        load_photographs(examined("four-bar").sheet, [Photo(tmp_path / "nowhere.png")])


def test_two_sheets_of_different_engines_are_refused():
    with pytest.raises(SheetError, match='should be "walschaerts", as on'):
        compose(examined(BEFORE), examined("four-bar"))


def test_a_sheet_of_one_side_is_no_after_of_both():
    data = {key: held for key, held in data_of(AFTER).items() if key != "right"}
    one = examine(sheet_from(data | {"sides": ["left"]}, ask=False))
    with pytest.raises(SheetError, match='sides: should be "right, left", as on'):
        compose(examined(BEFORE), one)
