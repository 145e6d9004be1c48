"""`tightspot elsewhere`: what no sheet shows."""

from __future__ import annotations

import json

import click

from linkage.cli.pages import say


@click.command("elsewhere")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object instead of text.")
def command(as_json: bool) -> None:
    """Say what else may stick: faults that are not in the motion, and how each is told.

    For an engine that `tightspot check` calls free and that sticks all the same.

    Example: tightspot elsewhere
    """
    from linkage.report.elsewhere import elsewhere_blocks, elsewhere_data

    if as_json:
        click.echo(json.dumps(elsewhere_data(), indent=2, ensure_ascii=False))
    else:
        say(elsewhere_blocks())
