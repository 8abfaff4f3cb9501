"""The command line: serve, demo, standards, fit."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

import click
import orjson

from mountwright.bootstrap import create_app, create_workshop
from mountwright.demo.run import run_demo
from mountwright.errors import MountwrightError, StandardsFileError
from mountwright.messages import catalogue
from mountwright.mounts.discovery import standards_in
from mountwright.serving import gunicorn_arguments
from mountwright.web.answering import fit_answered
from mountwright.web.parsing import digest, parsed, read
from mountwright.web.problems import Problem
from mountwright.web.schemas.fit_checks import FitRequestSchema


def _explained(command: Callable[..., None]) -> Callable[..., None]:
    """Turn an error of ours into one line and exit code 1 instead of a stack trace."""

    @wraps(command)
    def guarded(*args: Any, **kwargs: Any) -> None:
        try:
            command(*args, **kwargs)
        except (MountwrightError, OSError) as error:
            raise click.ClickException(str(error)) from error

    return guarded


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="mountwright")
def main() -> None:
    """Say whether a part goes on an inline skate, what it takes, and how sure that is."""


@main.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(0, 65535), help="Port to listen on.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes; one a core if left out.")
@_explained
def serve(host: str, port: int, workers: int | None) -> None:
    """Serve the API with gunicorn."""
    create_workshop()
    sys.stdout.flush()
    os.execv(sys.executable, gunicorn_arguments(host, port, workers))  # noqa: S606  # our own command, no shell


@main.command()
@click.option("--keep", is_flag=True, help="Leave the service running afterwards, until Ctrl-C.")
@click.option("--port", default=0, type=click.IntRange(0, 65535), help="Port on loopback; 0 takes a free one.")
@_explained
def demo(keep: bool, port: int) -> None:
    """Start the service, ask it what a skate shop is asked all day, and print the answers."""
    run_demo(port, keep, click.echo)


@main.group()
def standards() -> None:
    """Look at the installed mount standards, or check a file with new ones."""


@standards.command("list")
@_explained
def list_standards() -> None:
    """List the installed standards and the plugins that were left out."""
    registry = create_workshop().registry
    for standard in registry.standards.values():
        click.echo(f"{standard.key:<22} {', '.join(standard.family.positions):<26} {standard.title}")
    for failure in registry.failures:
        click.echo(f"left out: {failure.plugin} ({failure.distribution}): {failure.reason}", err=True)


@standards.command("check")
@click.argument("path", type=click.Path(exists=True, path_type=Path))
@_explained
def check_standards(path: Path) -> None:
    """Check a standards file, or every ``*.toml`` of a folder, before it is deployed."""
    files = sorted(path.glob("*.toml")) if path.is_dir() else [path]
    faulty = False
    for file in files:
        try:
            found = standards_in(file)
        except StandardsFileError as error:
            faulty = True
            click.echo(f"{file}: {len(error.faults)} fault(s)", err=True)
            for fault in error.faults:
                click.echo(f"  {fault}", err=True)
        else:
            click.echo(f"{file}: good: {', '.join(standard.key for standard in found.standards)}")
    if faulty or not files:
        raise click.ClickException("faults found" if faulty else f"no *.toml in {path}")


@main.command()
@_explained
def openapi() -> None:
    """Print the contract, an OpenAPI 3.1 document."""
    app = create_app()
    document = orjson.loads(app.test_client().get("/openapi.json").get_data())
    click.echo(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode())


@main.command()
@click.argument("file", type=click.File("rb"))
@_explained
def fit(file: Any) -> None:
    """Answer a fit check from a JSON file (``-`` for standard input), as the service would."""
    workshop = create_workshop()
    try:
        body = parsed(file.read())
        answer = fit_answered(read(body, FitRequestSchema(), workshop), digest(body), workshop)
    except Problem as problem:
        messages = catalogue(workshop.registry.messages)
        click.echo(messages.text(f"problem.{problem.problem_code}", problem.params), err=True)
        for fault in problem.errors or []:
            click.echo(f"  {fault['pointer'] or '/'}: {fault['detail']}", err=True)
        raise SystemExit(1) from problem
    click.echo(orjson.dumps(orjson.loads(orjson.dumps(answer)), option=orjson.OPT_INDENT_2).decode())
