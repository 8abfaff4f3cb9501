"""``mountwright gauge``: sheets to print and measure with."""

from __future__ import annotations

from pathlib import Path

import click

from mountwright.cli.opening import own_workshop
from mountwright.cli.telling import drawn, explained, printed, problems
from mountwright.drawing.sheet import Paper
from mountwright.web.gauges import gauge_sheet_of, gauges_printed


@click.command()
@click.argument("keys", nargs=-1, required=True, metavar="KEY...")
@click.option(
    "-o", "--output", "out", required=True, type=click.Path(dir_okay=False, path_type=Path), help="*.pdf or *.svg."
)
@click.option("--paper", type=click.Choice([each.value for each in Paper]), default=Paper.A4.value, show_default=True)
@explained
def gauge(keys: tuple[str, ...], out: Path, paper: str) -> None:
    """Draw the gauges of standards at their true size: a page each in a PDF, or one as SVG."""
    as_picture = out.suffix.lower() == ".svg"
    if not as_picture and out.suffix.lower() != ".pdf":
        raise click.UsageError(f"{out}: expected a file that ends in .pdf or .svg")
    if as_picture and len(keys) > 1:
        raise click.UsageError(f"an SVG holds one gauge, found {len(keys)}: name a .pdf")
    workshop = own_workshop()
    with problems(workshop):
        sheets = [gauge_sheet_of(key, Paper(paper), workshop) for key in keys]
        if as_picture:
            drawn(sheets[0].svg(), out)
        else:
            printed(gauges_printed(sheets), out)
