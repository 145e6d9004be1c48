"""Figures as the bytes of a file."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from matplotlib.figure import Figure

from linkage.draw.paint import our_look
from linkage.errors import OutputError

FORMATS = (".png", ".svg", ".pdf")
"""What can be written, by the ending of the file's name."""

_DOTS = 200  # to the inch


def picture_format(path: Path) -> str:
    """Return the format that a file's name asks for.

    One of `FORMATS`.

    Raises
    ------
    OutputError
        Where the ending names none of them.
    """
    ending = path.suffix.lower()
    if ending not in FORMATS:
        found = f"ends in {path.suffix!r}" if ending else "has no ending"
        raise OutputError(f"{path}: {found}; pictures end in .png, .svg or .pdf")
    return ending


def pages_bytes(figures: Sequence[Figure], path: Path) -> dict[Path, bytes]:
    """Return pages as the contents of files: one PDF, or one numbered file a page.

    Whole files; they hold no date.

    `path`: where they are to go; where one file holds one page, its name gets the page's number.

    Raises
    ------
    OutputError
        Where the name's ending is not known.
    """
    ending = picture_format(path)
    if ending == ".pdf":
        return {path: _pdf_bytes(figures)}
    names = [path] if len(figures) == 1 else [
        path.with_name(f"{path.stem}-{number}{path.suffix}")
        for number in range(1, len(figures) + 1)
    ]  # fmt: skip
    return {
        name: picture_bytes(figure, ending) for name, figure in zip(names, figures, strict=True)
    }


def _pdf_bytes(figures: Sequence[Figure]) -> bytes:
    from matplotlib.backends.backend_pdf import FigureCanvasPdf, PdfPages

    buffer = io.BytesIO()
    with our_look(), PdfPages(buffer, metadata={"CreationDate": None, "ModDate": None}) as pages:
        for figure in figures:
            FigureCanvasPdf(figure)
            pages.savefig(figure)
    return buffer.getvalue()


def picture_bytes(figure: Figure, ending: str) -> bytes:
    """Return a figure as the content of a file, the same each time.

    The whole file; it holds no date.

    `ending`: One of `FORMATS`.
    """
    dates = {".png": {}, ".svg": {"Date": None}, ".pdf": {"CreationDate": None, "ModDate": None}}
    buffer = io.BytesIO()
    with our_look():
        figure.savefig(buffer, format=ending[1:], dpi=_DOTS, metadata=dates[ending])
    return buffer.getvalue()
