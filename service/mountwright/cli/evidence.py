"""``mountwright evidence``."""

from __future__ import annotations

from pathlib import Path
from typing import TextIO

import click

from mountwright.bootstrap import ready_catalogue
from mountwright.catalogue.importing import Findings
from mountwright.catalogue.outcome_files import outcomes_loaded
from mountwright.cli.opening import own_workshop
from mountwright.cli.telling import explained
from mountwright.web.evidence.lines import evidence_lines
from mountwright.web.evidence.report import conflicts, corrections
from mountwright.web.evidence.telling import outcome_faults
from mountwright.web.importing.report import FAULTS_SHOWN, import_lines, told_to


@click.group()
def evidence() -> None:
    """Look at what was told of pairs that somebody tried, or bring it in."""


@evidence.command("conflicts")
@explained
def show_conflicts() -> None:
    """Show the pairs that went otherwise than the geometry says, and the rows that returns point at."""
    workshop = own_workshop()
    ready_catalogue(workshop.engines)
    for line in evidence_lines(conflicts(workshop), corrections(workshop)):
        click.echo(line)


@evidence.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--shop", required=True, help="Code of the shop that tells it: a to z, 0 to 9 and hyphens.")
@click.option("--report", type=click.File("w", encoding="utf-8"), help="Write every fault to this CSV file.")
@explained
def import_outcomes(file: Path, shop: str, report: TextIO | None) -> None:
    """Bring outcomes from a JSON Lines file in: all of them, or nothing."""
    workshop = own_workshop()
    ready_catalogue(workshop.engines)
    findings = Findings(most=FAULTS_SHOWN, told=told_to(report, workshop.messages))
    done = outcomes_loaded(file, workshop.engines, shop, outcome_faults, findings)
    for line in import_lines(done, False, workshop.messages):
        click.echo(line, err=not done.is_good)
    if not done.is_good:
        raise SystemExit(1)
