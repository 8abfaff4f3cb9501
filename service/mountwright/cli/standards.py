"""``mountwright standards``."""

from __future__ import annotations

from pathlib import Path

import click

from mountwright.bench.added_jobs import jobs_with_added
from mountwright.cli.opening import own_workshop
from mountwright.cli.telling import explained
from mountwright.errors import StandardsFileError
from mountwright.mounts.discovery import standards_in
from mountwright.mounts.registry import assembled


@click.group()
def standards() -> None:
    """Look at the installed mount standards, or check a file with new ones."""


@standards.command("list")
@explained
def list_standards() -> None:
    """List the installed standards and the plugins that were left out."""
    workshop = own_workshop()
    registry, phrase = workshop.registry, workshop.messages.phrase
    for standard in registry.standards.values():
        click.echo(f"{standard.key:<22} {', '.join(standard.family.positions):<26} {phrase(standard.title)}")
    for failure in registry.failures:
        click.echo(f"left out: {failure.plugin} ({failure.distribution}): {failure.reason}", err=True)


@standards.command("check")
@click.argument("path", type=click.Path(exists=True, path_type=Path))
@explained
def check_standards(path: Path) -> None:
    """Check a standards file, or every ``*.toml`` of a folder, before it is deployed."""
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    faulty = False
    for file in files:
        try:
            found = standards_in(file)
            jobs_with_added(assembled([found]))
        except StandardsFileError as error:
            faulty = True
            click.echo(f"{file}: {len(error.faults)} fault(s)", err=True)
            for fault in error.faults:
                click.echo(f"  {fault}", err=True)
        else:
            click.echo(f"{file}: good: {', '.join(standard.key for standard in found.standards)}")
    if faulty or not files:
        raise click.ClickException("faults found" if faulty else f"no *.toml in {path}")
