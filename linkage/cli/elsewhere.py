"""`tightspot elsewhere`: what no sheet shows."""

from __future__ import annotations

import click

from linkage.cli.pages import say


@click.command("elsewhere")
def command() -> None:
    """Say what else may stick: faults that are not in the motion, and how each is told.

    For an engine that `tightspot check` calls free and that sticks all the same.

    Example: tightspot elsewhere
    """
    from linkage.report.elsewhere import elsewhere_blocks

    say(elsewhere_blocks())
