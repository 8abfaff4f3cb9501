"""The command line: serve, demo, standards, catalogue, keys, evidence, and the questions."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from functools import wraps
from pathlib import Path
from typing import Any, TextIO

import click
import orjson
from marshmallow import Schema

from mountwright.bench.added_jobs import jobs_with_added
from mountwright.bootstrap import create_app, create_workshop, ready_catalogue
from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.exporting import exported_csv, exported_json
from mountwright.catalogue.importing import Findings, Watch, imported
from mountwright.catalogue.keys import Scope, created, listed, revoked
from mountwright.catalogue.outcome_files import outcomes_loaded
from mountwright.catalogue.reindexing import reindexed
from mountwright.catalogue.schema import require_current, upgrade
from mountwright.demo.run import run_demo
from mountwright.errors import MountwrightError, StandardsFileError
from mountwright.messages import catalogue as sentences
from mountwright.mounts.discovery import standards_in
from mountwright.mounts.registry import assembled
from mountwright.serving import gunicorn_arguments
from mountwright.settings import Settings
from mountwright.web.answering import fit_answered
from mountwright.web.evidence.lines import evidence_lines
from mountwright.web.evidence.report import conflicts, corrections
from mountwright.web.evidence.telling import outcome_faults
from mountwright.web.importing.report import FAULTS_SHOWN, import_lines, rows_in, told_to
from mountwright.web.importing.run import run_import
from mountwright.web.parsing import Question, Reader, parsed, read
from mountwright.web.paths.answering import path_answered, path_picture
from mountwright.web.paths.asking import path_read
from mountwright.web.problems import Problem
from mountwright.web.records import checks_of, mount_reader
from mountwright.web.rides.asking import ride_read
from mountwright.web.rides.picture_link import wheel_line_read
from mountwright.web.rides.ride_estimates import rides_answered
from mountwright.web.rides.wheel_lines import picture, wheel_line_answered
from mountwright.web.schemas.fit_checks import FitRequestSchema
from mountwright.web.schemas.ride_estimates import RideRequestSchema
from mountwright.web.schemas.upgrade_paths import PathRequestSchema
from mountwright.web.schemas.wheel_lines import WheelLineRequestSchema
from mountwright.web.security import TRUSTED_S
from mountwright.web.workshop import Workshop


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
    ready_catalogue(create_workshop().engines)
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


@main.group()
def catalogue() -> None:
    """Bring skates and parts into the catalogue and out of it."""


@catalogue.command("upgrade")
@_explained
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
@_explained
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
@_explained
def run_sent_import(job: str, file: Path, decimal_comma: bool, dry_run: bool) -> None:
    """Bring in a file that was sent to the service, which starts this once for each."""
    run_import(job, file, create_workshop(), decimal_comma=decimal_comma, dry_run=dry_run)


@catalogue.command("export")
@click.option("-o", "--output", default="-", help="File to write; standard output if left out.")
@click.option("--format", "form", type=click.Choice(["jsonl", "csv"]), default="jsonl", show_default=True)
@_explained
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


@main.group()
def keys() -> None:
    """Hand out keys to the service, list them, revoke them."""


@keys.command("create")
@click.argument("shop")
@click.option(
    "--scope",
    type=click.Choice([scope.value for scope in Scope]),
    default=Scope.READ.value,
    show_default=True,
    help="What it opens; write includes read.",
)
@click.option("--days", type=click.IntRange(1, 3650), help="Days until it expires; never if left out.")
@_explained
def create_key(shop: str, scope: str, days: int | None) -> None:
    """Make a key for a shop, named by its code, and print it: this once."""
    now = datetime.now(UTC)
    text = created(_own_catalogue(), shop, [scope], now + timedelta(days=days) if days else None, now)
    click.echo(text)
    key_id = text.split("_")[1]
    click.echo(f"Shown this once. If it gets lost: mountwright keys revoke {key_id}, and make another.", err=True)


@keys.command("revoke")
@click.argument("key_id", metavar="ID")
@_explained
def revoke_key(key_id: str) -> None:
    """Revoke a key by its id, the eight characters after mw_."""
    # A whole key may have been pasted; its secret is not to be repeated on the screen.
    key_id = key_id.removeprefix("mw_")[:8]
    if not revoked(_own_catalogue(), key_id, datetime.now(UTC)):
        raise click.ClickException(f"no key {key_id} that could be revoked; mountwright keys list shows them all")
    click.echo(f"Revoked {key_id}. Running services stop taking it within {TRUSTED_S:.0f} seconds.")


@keys.command("list")
@_explained
def list_keys() -> None:
    """List every key that was made, the oldest first, without its secret."""
    now, rows = datetime.now(UTC), listed(_own_catalogue())
    if not rows:
        click.echo("No keys yet. Make one: mountwright keys create SHOP", err=True)
        return
    width = max(4, *(len(row.shop) for row in rows))
    click.echo(f"{'id':<8}  {'shop':<{width}}  {'opens':<10}  {'made':<20}  {'expires':<20}  state")
    for row in rows:
        opens, end = " ".join(sorted(row.scopes)), row.expires_at or "never"
        click.echo(f"{row.id}  {row.shop:<{width}}  {opens:<10}  {row.created_at}  {end:<20}  {row.state(now)}")


def _own_catalogue() -> Engines:
    engines = opened(Settings.from_env().database)
    ready_catalogue(engines)
    return engines


@main.group()
def evidence() -> None:
    """Look at what was told of pairs that somebody tried, or bring it in."""


@evidence.command("conflicts")
@_explained
def show_conflicts() -> None:
    """Show the pairs that went otherwise than the geometry says, and the rows that returns point at."""
    workshop = create_workshop()
    ready_catalogue(workshop.engines)
    for line in evidence_lines(conflicts(workshop), corrections(workshop)):
        click.echo(line)


@evidence.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--shop", required=True, help="Code of the shop that tells it: a to z, 0 to 9 and hyphens.")
@click.option("--report", type=click.File("w", encoding="utf-8"), help="Write every fault to this CSV file.")
@_explained
def import_outcomes(file: Path, shop: str, report: TextIO | None) -> None:
    """Bring outcomes from a JSON Lines file in: all of them, or nothing."""
    workshop = create_workshop()
    ready_catalogue(workshop.engines)
    findings = Findings(most=FAULTS_SHOWN, told=told_to(report, workshop.messages))
    done = outcomes_loaded(file, workshop.engines, shop, outcome_faults, findings)
    for line in import_lines(done, False, workshop.messages):
        click.echo(line, err=not done.is_good)
    if not done.is_good:
        raise SystemExit(1)


@main.command()
@_explained
def openapi() -> None:
    """Print the contract, an OpenAPI 3.1 document."""
    app = create_app()
    document = orjson.loads(app.test_client().get("/openapi.json").get_data())
    click.echo(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode())


_QUESTION = click.argument("file", type=click.File("rb"))


@main.command()
@_QUESTION
@_explained
def fit(file: Any) -> None:
    """Answer a fit check from a JSON file (``-`` for standard input), as the service would."""
    workshop = create_workshop()
    question = _asked(file, FitRequestSchema(), workshop, read)
    _say(fit_answered(question, workshop))


@main.command()
@_QUESTION
@_explained
def ride(file: Any) -> None:
    """Compare how set-ups roll, from a JSON file (``-`` for standard input), as the service would."""
    workshop = create_workshop()
    question = _asked(file, RideRequestSchema(), workshop, ride_read)
    with _problems(workshop):
        _say(rides_answered(question, workshop))


_PICTURE = click.option(
    "--picture", "out", type=click.Path(dir_okay=False, path_type=Path), help="Draw it to this SVG file."
)


@main.command("upgrade-path")
@_QUESTION
@_PICTURE
@_explained
def show_upgrade_path(file: Any, out: Path | None) -> None:
    """Say in which order to spend a customer's money, from a JSON file (``-`` for standard input), or draw it."""
    workshop = create_workshop()
    ready_catalogue(workshop.engines)
    question = _asked(file, PathRequestSchema(), workshop, path_read)
    if out is None:
        _say(path_answered(question, workshop))
    else:
        _drawn(path_picture(question, workshop), out)


@main.command("wheel-line")
@_QUESTION
@_PICTURE
@_explained
def show_wheel_line(file: Any, out: Path | None) -> None:
    """Say how a skate stands on its wheels, from a JSON file (``-`` for standard input), or draw it."""
    workshop = create_workshop()
    question = _asked(file, WheelLineRequestSchema(), workshop, wheel_line_read)
    if out is None:
        _say(wheel_line_answered(question, workshop))
    else:
        _drawn(picture(question, workshop), out)


def _drawn(svg: str, out: Path) -> None:
    out.write_text(svg, encoding="utf-8")
    click.echo(f"Drawn to {out}.")


def _asked(file: Any, schema: Schema, workshop: Workshop, reader: Reader) -> Question:
    with _problems(workshop):
        return reader(parsed(file.read()), schema, workshop)


@contextmanager
def _problems(workshop: Workshop) -> Iterator[None]:
    """Print what is wrong with a question, each fault on a line of its own, and end with exit code 1."""
    try:
        yield
    except Problem as problem:
        messages = sentences(workshop.registry.messages)
        click.echo(messages.text(f"problem.{problem.problem_code}", problem.params), err=True)
        for fault in problem.errors or []:
            click.echo(f"  {fault['pointer'] or '/'}: {fault['detail']}", err=True)
        raise SystemExit(1) from problem


def _say(answer: Mapping[str, Any]) -> None:
    click.echo(orjson.dumps(orjson.loads(orjson.dumps(answer)), option=orjson.OPT_INDENT_2).decode())
