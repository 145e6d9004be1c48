"""Photographs made small enough to send, without what the camera wrote into them."""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from linkage.errors import LinkageError, Problem, SheetError
from linkage.report.blocks import Picture
from linkage.sheet import Sheet

if TYPE_CHECKING:
    from PIL import Image

LONGEST = 1200
"""Longer side of a photograph as it stands in the report [pixels]."""
_QUALITY = 80
_MOST = 60_000_000
"""Pixels a photograph may have: those of a PNG must all be held at once."""


class PhotographError(LinkageError):
    """A photograph that cannot be used."""


@dataclass(frozen=True)
class Photo:
    """A photograph to put in: its file and its caption."""

    path: Path
    caption: str = ""


def load_photographs(sheet: Sheet, more: Iterable[Photo] = ()) -> tuple[Picture, ...]:
    """Read the photographs that a sheet names, and others.

    JPEG, no longer than `LONGEST`, the right way up, without places or times.

    Raises
    ------
    SheetError
        Where photographs named on the sheet cannot be used; holds them all.
    PhotographError
        Where another cannot.
    """
    folder = Path(sheet.source).parent
    found: list[Picture] = []
    problems: list[Problem] = []
    for index, photograph in enumerate(sheet.job.photographs, 1):
        try:
            found.append(_load(folder / photograph.file, photograph.caption))
        except PhotographError as error:
            wrong = str(error)
            problems.append(Problem(f"job.photographs[{index}]", wrong, f'"{photograph.file}"'))
    if problems:
        raise SheetError(sheet.source, problems)
    for photo in more:
        try:
            found.append(_load(photo.path, photo.caption))
        except PhotographError as error:
            raise PhotographError(f"{photo.path}: {error}") from error
    return tuple(found)


def _load(path: Path, caption: str) -> Picture:
    from PIL import Image, ImageOps, UnidentifiedImageError

    if not path.is_file():
        raise PhotographError("there is no such photograph")
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # refused below
            image = Image.open(path, formats=("JPEG", "PNG"))
        with image:
            if image.width * image.height > _MOST:
                raise PhotographError(f"has more than {_MOST // 1_000_000} million pixels")
            image.draft("RGB", (LONGEST, LONGEST))
            upright = ImageOps.exif_transpose(image)
            upright.thumbnail((LONGEST, LONGEST))
            return _as_jpeg(upright, caption)
    except UnidentifiedImageError as error:
        raise PhotographError("is neither JPEG nor PNG") from error
    except Image.DecompressionBombError as error:
        raise PhotographError("has too many pixels") from error
    except (OSError, SyntaxError, ValueError) as error:
        raise PhotographError(f"cannot be read ({error})") from error


def _as_jpeg(image: Image.Image, caption: str) -> Picture:
    """Return a picture on white, as JPEG without anything beside its pixels."""
    from PIL import Image as Images

    if "A" in image.getbands() or "transparency" in image.info:
        over = image.convert("RGBA")
        image = Images.new("RGB", over.size, "white")
        image.paste(over, mask=over.getchannel("A"))
    buffer = io.BytesIO()
    image.convert("RGB").save(buffer, "JPEG", quality=_QUALITY, optimize=True, comment=b"")
    width, height = image.size
    return Picture(buffer.getvalue(), "jpeg", width, height, caption)
