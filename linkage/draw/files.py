"""Figures as the bytes of a file."""

from __future__ import annotations

import io
from pathlib import Path

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_pdf import FigureCanvasPdf
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from linkage.draw.style import our_look
from linkage.errors import OutputError

FORMATS = {".png": FigureCanvasAgg, ".svg": FigureCanvasSVG, ".pdf": FigureCanvasPdf}
"""What can be written, by the ending of the file's name."""

_DOTS = 200  # to the inch


def picture_format(path: Path) -> str:
    """Return the format that a file's name asks for.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        A key of `FORMATS`.

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


def picture_bytes(figure: Figure, ending: str) -> bytes:
    """Return a figure as the content of a file, the same each time.

    Parameters
    ----------
    figure : Figure
        The figure.
    ending : str
        A key of `FORMATS`.

    Returns
    -------
    bytes
        The whole file; it holds no date.
    """
    dates = {".png": {}, ".svg": {"Date": None}, ".pdf": {"CreationDate": None, "ModDate": None}}
    buffer = io.BytesIO()
    with our_look():
        FORMATS[ending](figure)
        figure.savefig(buffer, format=ending[1:], dpi=_DOTS, metadata=dates[ending])
    return buffer.getvalue()
