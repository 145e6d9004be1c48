"""Moving pictures as files: GIF, MP4, or a folder of PNGs."""

from __future__ import annotations

import io
import subprocess
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from pathlib import Path

import numpy as np
from PIL import Image

from linkage.errors import OutputError
from linkage.film.stage import Picture

MOVIES = (".gif", ".mp4")
"""Endings of the files that can be written; a name without an ending is a folder of PNGs."""

_GREYS = 16  # in the one palette of a GIF; 0 is black, the last white
_SAME = _GREYS  # the place after them: see-through, as the frame before
_PALETTE = bytes(
    255 * (k % _GREYS) // (_GREYS - 1) + 8 * (k >= _GREYS)  # all different, as Pillow looks them up
    for k in range(2 * _GREYS - 1)
    for _ in range(3)
)
_QUIET = ("-nostdin", "-loglevel", "error")
_CODING = {
    "-c:v": "libx264",
    "-preset": "medium",
    "-crf": "20",
    "-pix_fmt": "yuv420p",
    "-movflags": "+faststart",
    "-fflags": "+bitexact",
    "-flags:v": "+bitexact",
    "-map_metadata": "-1",
    "-threads": "2",
}


def movie_format(name: str) -> str:
    """Return what a name asks for.

    One of `MOVIES`, or empty for a folder of PNGs.

    Raises
    ------
    OutputError
        Where the ending is another, or asks for a program that is not there.
    """
    ending = Path(name).suffix.lower()
    if name.endswith(("/", "\\")) or not ending or Path(name).is_dir():
        return ""
    if ending not in MOVIES:
        raise OutputError(
            f"{name}: ends in {ending!r}; an animation ends in .gif or .mp4, or is a folder of "
            "PNGs: folder/"
        )
    if ending == ".mp4":
        _ffmpeg(name)
    return ending


def _ffmpeg(name: str) -> str:
    """Return the program that codes MP4s: it comes with imageio-ffmpeg for most computers."""
    import imageio_ffmpeg

    try:
        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError:  # built for another kind of computer, and none on the PATH
        raise OutputError(
            f"{name}: an MP4 is made by the program ffmpeg; there is none for this computer in "
            "imageio-ffmpeg, and none on the PATH: install it, or name a .gif, which needs nothing"
        ) from None


def gif_bytes(pictures: Iterable[Picture], durations: Sequence[int]) -> bytes:
    """Return frames as a GIF that goes round for ever, all in one palette of greys.

    `durations`: how long each is shown [ms], in whole hundredths of a second.
    """
    frames = _changes(_levels(picture) for picture in pictures)
    first = next(frames)
    buffer = io.BytesIO()
    first.save(
        buffer, format="GIF", save_all=True, append_images=frames, duration=list(durations), loop=0,
        optimize=False, disposal=1, transparency=_SAME, palette=_PALETTE,
    )  # fmt: skip
    return buffer.getvalue()


def _levels(picture: Picture) -> Picture:
    """Return the nearest places in the palette, without dithering."""
    return ((picture.astype(np.uint16) * (_GREYS - 1) + 127) // 255).astype(np.uint8)


def _changes(frames: Iterable[Picture]) -> Iterator[Image.Image]:
    """Yield the first frame, then of each what has changed, the rest see-through."""
    before = None
    for number, frame in enumerate(frames):
        changed = frame if before is None else np.where(frame == before, _SAME, frame)
        if (changed == _SAME).all():  # Pillow leaves out a frame that is written as the one before
            changed[0, number % 2] = frame[0, number % 2]
        image = Image.fromarray(changed.astype(np.uint8)).convert("L")
        image.putpalette(_PALETTE)
        yield image
        before = frame


def mp4_bytes(pictures: Iterable[Picture], turn: int, name: str) -> bytes:
    """Return frames as an MP4 that any browser or telephone plays.

    The whole file: H.264, 4:2:0.

    `turn`: how long all of them take [ms].

    Raises
    ------
    OutputError
        Where ffmpeg is not there, or fails.
    """
    with tempfile.TemporaryDirectory() as folder:
        raw, out = Path(folder, "turn.gray"), Path(folder, "turn.mp4")
        count, rows, columns = 0, 0, 0
        with raw.open("wb") as file:
            for picture in pictures:
                file.write(picture.tobytes())
                rows, columns = picture.shape
                count += 1
        form = f"-f rawvideo -pix_fmt gray -s {columns}x{rows} -r {1000 * count}/{turn} -i"
        done = subprocess.run(
            [_ffmpeg(name), *_QUIET, *form.split(), str(raw), *chain(*_CODING.items()), str(out)],
            capture_output=True, check=False,
        )  # fmt: skip
        if done.returncode:
            said = done.stderr.decode(errors="replace").strip()
            raise OutputError(f"{name}: ffmpeg could not make it: {said}")
        return out.read_bytes()


def png_files(pictures: Iterable[Picture]) -> Iterator[tuple[str, bytes]]:
    """Yield each frame as the name and content of a PNG file, ``frame-000.png`` and so on."""
    for number, picture in enumerate(pictures):
        buffer = io.BytesIO()
        Image.fromarray(picture).save(buffer, format="PNG")
        yield f"frame-{number:03d}.png", buffer.getvalue()
