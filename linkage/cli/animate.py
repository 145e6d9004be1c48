"""`tightspot animate`: one turn as a moving picture."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from linkage.cli.progress import shown
from linkage.cli.sheets import mm_beside, read
from linkage.errors import OutputError
from linkage.examine import Examination, examine
from linkage.files import check_output, finish_killed, write_folder, write_whole
from linkage.sheet.ready import demonstration

if TYPE_CHECKING:
    from linkage.film.animation import Take


@click.command("animate")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option(
    "--after", type=click.Path(path_type=Path), help="A second sheet, shown beside it in step."
)
@click.option(
    "--out",
    help="File to write: .gif or .mp4; or a folder of PNGs.  [default: name of the sheet, .gif]",
)
@click.option("--side", type=click.Choice(["right", "left", "only"]), help="Show this side.")
@click.option(
    "--frames", type=click.IntRange(12, 360), default=120, show_default=True, help="Pictures."
)
@click.option(
    "--seconds", type=click.FloatRange(1, 120), default=8.0, show_default=True, help="For the turn."
)
@click.option("--backwards", is_flag=True, help="Turn the wheels backwards.")
@click.option(
    "--width", type=click.IntRange(320, 1600), default=640, show_default=True, help="Pixels."
)
@click.option("--slow/--no-slow", default=True, help="Pass the tight spot slowly.  [default: slow]")
@click.option("--force", is_flag=True, help="Write over what is there.")
@mm_beside
def command(  # noqa: PLR0913 (one parameter an option)
    sheet: Path | None,
    after: Path | None,
    out: str | None,
    side: str | None,
    frames: int,
    seconds: float,
    backwards: bool,
    width: int,
    slow: bool,
    force: bool,
) -> None:
    """Show SHEET through one whole turn: side view, plan and dial, the tight spot flashing.

    With --after, a second sheet is shown in step with it: beside it from 1000 pixels of width on,
    below it otherwise. With no SHEET, the bundled demonstration is shown.

    Example: tightspot animate my-engine.toml --out turn.gif
    """
    from linkage.film.animation import film, side_shown
    from linkage.film.movie import movie_format
    from linkage.film.timing import Pace

    source = sheet or demonstration()
    name = out or f"{source.stem}.gif"
    ending = movie_format(name)
    path = Path(name)
    if ending:
        check_output(path, force, (source, after))
    else:
        _check_folder(path, force)
    if seconds / frames < 0.02:
        raise click.BadParameter(
            f"{frames} frames need {frames * 0.02:g} seconds at least: browsers show no more than "
            "50 a second", param_hint="--seconds"
        )  # fmt: skip
    before, later = _examined(source, side), None
    if after is not None:
        later = _examined(after, side_shown(before, side))
    takes = film(before, later, side, Pace(frames, seconds, backwards, slow))
    _write(takes, path, ending, width - width % 2, force)
    size = f"{_size(path)}, {frames} frames, {seconds:g} seconds for the turn"
    click.echo(f"{path} is written: {size}")


def _examined(source: Path, side: str | None) -> Examination:
    """Read and examine a sheet that must have that side."""
    found = examine(read(source))
    if side is not None and side not in found.sides:
        there = ", ".join(found.sides)
        raise click.BadParameter(f"{source} has: {there}", param_hint="--side")
    return found


def _check_folder(path: Path, force: bool) -> None:
    """Refuse a folder with anything in it, unless told to write over it."""
    if path.is_dir():
        finish_killed(path)
    if path.is_dir() and any(path.iterdir()) and not force:
        raise OutputError(f"{path}: stands there and is not empty; give --force to write into it")
    if path.exists() and not path.is_dir():
        raise OutputError(f"{path}: is a file; name a folder, or a .gif or .mp4")
    if not path.absolute().parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}")


def _write(takes: tuple[Take, ...], path: Path, ending: str, width: int, force: bool) -> None:
    """Draw all frames and put them in their file or folder."""
    from linkage.film.movie import gif_bytes, mp4_bytes, png_files
    from linkage.film.stage import draw_frames

    timing = takes[0].timing
    pictures = shown(draw_frames(takes, width), len(timing.ends), "Drawing")
    if ending == ".gif":
        write_whole(path, gif_bytes(pictures, timing.durations), force)
    elif ending == ".mp4":
        write_whole(path, mp4_bytes(pictures, timing.ends[-1], str(path)), force)
    else:
        files = dict(png_files(pictures))
        _check_folder(path, force)
        write_folder(path, files, old=list(path.glob("frame-[0-9][0-9][0-9].png")))


def _size(path: Path) -> str:
    files = [path] if path.is_file() else list(path.glob("frame-*.png"))
    return f"{sum(file.stat().st_size for file in files) / 1e6:.2f} MB"
