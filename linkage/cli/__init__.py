"""The command line: read, call one function, say. One file a command."""

from __future__ import annotations

import gc
import importlib
import os
import sys
from functools import partial
from pathlib import Path
from typing import Any, NoReturn

import click

from linkage.cli.ending import into_a_pipe, status_of
from linkage.files import finish_killed

_MADE = 10_000  # things made after which what nobody holds any more is looked for
_THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
COMMANDS = {
    "animate": "Show one turn as a moving picture, the tight spot flashing.",
    "bench": "Open a page to work at: change a number, see the tight spots move.",
    "bend": "Say how to set a bent rod: which way, where, how far.",
    "cause": "Say what may be wrong, by what was felt in turning the wheels.",
    "check": "Find the tight spots of a sheet: which parts, where, how much, what to do.",
    "compare": "Compare two sheets, or two sides: what is gone, new, gained and lost.",
    "draw": "Draw a tight spot, the parts, paths, positions or angles on one page.",
    "elsewhere": "Say what else may stick: faults that are not in the motion, and how to tell.",
    "events": "Say when the valve lets steam in and out, at each place of the reverser.",
    "fits": "Say the limits of holes and pins, and what their play does to an engine.",
    "new": "Write a commented sheet to fill in.",
    "page": "Write a page on which the owner can turn the motion, on a phone as well.",
    "part": "Say whether parts that are offered will do.",
    "report": "Write the job report: a page for the owner, an appendix for the bench.",
    "scale": "Say what a length is at another scale, and which drill and stock are nearest.",
    "sure": "Say how sure each finding is, by many engines, and what to measure next.",
    "template": "Draw a part at true scale, with lines to check the printer by.",
    "window": "Find how far one number, or two together, can go before anything binds or fouls.",
}
"""Each command with its summary, so that the list of them needs no imports."""


class Commands(click.Group):
    """Load a command when it is asked for; every way to end has its status (`ending`)."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names of all commands."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return one command, importing its file."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"linkage.cli.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without loading them."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Say what was perhaps meant where there is no such command."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from difflib import get_close_matches

            near = get_close_matches(args[0], COMMANDS, 1)
            hint = f" Did you mean {near[0]!r}?" if near else ""
            ctx.fail(f"No such command {args[0]!r}.{hint}")
        return super().resolve_command(ctx, args)

    def make_context(self, *args: Any, **more: Any) -> click.Context:
        """Read the call."""
        with into_a_pipe():
            return super().make_context(*args, **more)

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command, after what one that was killed has left here is brought to its end."""
        finish_killed(Path())
        with into_a_pipe():
            return super().invoke(ctx)

    def main(self, *args: Any, **more: Any) -> NoReturn:
        """Run a command and exit."""
        # reading the tables makes much that stays: looked through as often as that is usual, it
        # takes a tenth of a second
        gc.set_threshold(_MADE, 10, 10)
        # matrices here are small: numpy's own threads wait for one another more than they reckon.
        # Read when numpy is first imported, which no command has done yet
        for name in _THREADS:
            os.environ.setdefault(name, "1")
        run = partial(super().main, *args, **{**more, "standalone_mode": False})
        sys.exit(status_of(run))


def _say_version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
    if not wanted:
        return
    from linkage.report.program import program_version

    click.echo(f"tightspot {program_version()}")
    ctx.exit()


@click.command(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_say_version,
    help="Show the version and exit.",
)
def main() -> None:
    """Find where and why a model locomotive's motion binds.

    Write down what you measured with `tightspot new`, then run `tightspot check`.
    """
