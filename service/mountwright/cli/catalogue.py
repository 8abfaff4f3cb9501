"""``mountwright catalogue``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TextIO

import click

from mountwright.bootstrap import create_workshop, ready_catalogue
from mountwright.catalogue.engines import opened
from mountwright.catalogue.exporting import exported_csv, exported_json
from mountwright.catalogue.importing import Findings, Watch, imported
from mountwright.catalogue.reindexing import reindexed
from mountwright.catalogue.schema import require_current, upgrade
from mountwright.cli.telling import explained
from mountwright.settings import Settings
from mountwright.web.importing.report import FAULTS_SHOWN, import_lines, rows_in, told_to
from mountwright.web.importing.run import run_import
from mountwright.web.records import checks_of, mount_reader


@click.group()
def catalogue() -> None:
    """Bring skates and parts into the catalogue and out of it."""


@catalogue.command("upgrade")
@explained
def upgrade_catalogue() -> None:
    """Make the catalogue's tables, or bring them to this release and to the standards that are installed."""
    workshop = create_workshop()
    engines, registry = workshop.engines, workshop.registry
    revision = upgrade(engines)
    count = reindexed(engines, mount_reader(registry), registry.rules_version)
    click.echo(f"{engines.where}: revision {revision}; {count} sets of mounts read anew")


@catalogue.command("import")
@click.argument("files", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Judge everything and keep nothing.")
@click.option("--decimal-comma", is_flag=True, help="CSV with ; between the cells and , in the numbers.")
@click.option("--report", type=click.File("w", encoding="utf-8"), help="Write every fault to this CSV file.")
@explained
def import_catalogue(files: tuple[Path, ...], dry_run: bool, decimal_comma: bool, report: TextIO | None) -> None:
    """Bring CSV or JSON Lines files into the catalogue: all of them, or nothing."""
    workshop = create_workshop()
    ready_catalogue(workshop.engines)
    with click.progressbar(length=2 * sum(map(rows_in, files)), label="Importing", file=sys.stderr) as bar:
        done = imported(
            files,
            workshop.engines,
            checks_of(workshop),
            decimal_comma=decimal_comma,
            dry_run=dry_run,
            findings=Findings(most=FAULTS_SHOWN, told=told_to(report, workshop.messages)),
            watch=Watch(bar.update, bar.update),
        )
    for line in import_lines(done, dry_run, workshop.messages):
        click.echo(line, err=not done.is_good)
    if not done.is_good:
        raise SystemExit(1)


@catalogue.command("run-import", hidden=True)
@click.argument("job")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--decimal-comma", is_flag=True)
@click.option("--dry-run", is_flag=True)
@explained
def run_sent_import(job: str, file: Path, decimal_comma: bool, dry_run: bool) -> None:
    """Bring in a file that was sent to the service, which starts this once for each."""
    run_import(job, file, create_workshop(), decimal_comma=decimal_comma, dry_run=dry_run)


@catalogue.command("export")
@click.option("-o", "--output", default="-", help="File to write; standard output if left out.")
@click.option("--format", "form", type=click.Choice(["jsonl", "csv"]), default="jsonl", show_default=True)
@explained
def export_catalogue(output: str, form: str) -> None:
    """Write the whole catalogue, so that the same content always gives the same bytes."""
    engines = opened(Settings.from_env().database)
    require_current(engines)
    if form == "csv":
        with click.open_file(output, "w", encoding="utf-8", atomic=output != "-") as file:
            count = exported_csv(engines, file)
    else:
        with click.open_file(output, "wb", atomic=output != "-") as file:
            count = exported_json(engines, file)
    click.echo(f"{count} records", err=True)
