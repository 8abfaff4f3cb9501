"""The command line: serve, demo, standards, catalogue, keys, evidence, gauge, and the questions."""

from __future__ import annotations

import click

from mountwright.cli.bench_card import write_bench_card
from mountwright.cli.catalogue import catalogue
from mountwright.cli.evidence import evidence
from mountwright.cli.gauges import gauge
from mountwright.cli.keys import keys
from mountwright.cli.questions import fit, ride, show_upgrade_path, show_wheel_line
from mountwright.cli.service import demo, openapi, serve
from mountwright.cli.standards import standards


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="mountwright")
def main() -> None:
    """Say whether a part goes on an inline skate, what it takes, and how sure that is."""


for _command in (
    serve,
    demo,
    standards,
    catalogue,
    keys,
    evidence,
    openapi,
    gauge,
    fit,
    ride,
    show_upgrade_path,
    show_wheel_line,
    write_bench_card,
):
    main.add_command(_command)
