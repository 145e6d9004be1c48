"""`tightspot bench`: a page to work at."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("bench")
@click.argument("sheet", required=False, type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port of this computer to serve it at.  [default: any that is free]",
)
@click.option("--no-browser", is_flag=True, help="Open no browser; say where the page is.")
def command(sheet: Path | None, port: int, no_browser: bool) -> None:
    """Open a page to work at SHEET: the motion drawn, its numbers beside it, all of it live.

    Change a number, and the tight spots move. What is changed goes into the sheet's file when you
    save it, comments and order kept. The page comes from this computer alone and asks nothing of
    any other. With no SHEET, a copy of the bundled demonstration is taken, which has no file yet.

    It ends when its page is closed, or with Ctrl-C.

    Example: tightspot bench my-engine.toml
    """
    from linkage.bench.open import open_bench
    from linkage.errors import OutputError

    try:
        open_bench(sheet, port, not no_browser, click.echo)
    except OSError as error:
        raise OutputError(f"port {port}: cannot be served at ({error.strerror})") from error
