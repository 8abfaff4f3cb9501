"""The questions, each from a JSON file: ``mountwright fit``, ``ride``, ``upgrade-path``, ``wheel-line``."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from mountwright.bootstrap import ready_catalogue
from mountwright.cli.opening import own_workshop
from mountwright.cli.telling import asked, drawn, explained, problems, say
from mountwright.web.answering import fit_answered
from mountwright.web.parsing import read
from mountwright.web.paths.answering import path_answered, path_picture
from mountwright.web.paths.asking import path_read
from mountwright.web.rides.asking import ride_read
from mountwright.web.rides.picture_link import wheel_line_read
from mountwright.web.rides.ride_estimates import rides_answered
from mountwright.web.rides.wheel_lines import picture, wheel_line_answered
from mountwright.web.schemas.fit_checks import FitRequestSchema
from mountwright.web.schemas.ride_estimates import RideRequestSchema
from mountwright.web.schemas.upgrade_paths import PathRequestSchema
from mountwright.web.schemas.wheel_lines import WheelLineRequestSchema

_QUESTION = click.argument("file", type=click.File("rb"))


@click.command()
@_QUESTION
@explained
def fit(file: Any) -> None:
    """Answer a fit check from a JSON file (``-`` for standard input), as the service would."""
    workshop = own_workshop()
    question = asked(file, FitRequestSchema(), workshop, read)
    say(fit_answered(question, workshop))


@click.command()
@_QUESTION
@explained
def ride(file: Any) -> None:
    """Compare how set-ups roll, from a JSON file (``-`` for standard input), as the service would."""
    workshop = own_workshop()
    question = asked(file, RideRequestSchema(), workshop, ride_read)
    with problems(workshop):
        say(rides_answered(question, workshop))


_PICTURE = click.option(
    "--picture", "out", type=click.Path(dir_okay=False, path_type=Path), help="Draw it to this SVG file."
)


@click.command("upgrade-path")
@_QUESTION
@_PICTURE
@explained
def show_upgrade_path(file: Any, out: Path | None) -> None:
    """Say in which order to spend a customer's money, from a JSON file (``-`` for standard input), or draw it."""
    workshop = own_workshop()
    ready_catalogue(workshop.engines)
    question = asked(file, PathRequestSchema(), workshop, path_read)
    if out is None:
        say(path_answered(question, workshop))
    else:
        drawn(path_picture(question, workshop), out)


@click.command("wheel-line")
@_QUESTION
@_PICTURE
@explained
def show_wheel_line(file: Any, out: Path | None) -> None:
    """Say how a skate stands on its wheels, from a JSON file (``-`` for standard input), or draw it."""
    workshop = own_workshop()
    question = asked(file, WheelLineRequestSchema(), workshop, wheel_line_read)
    if out is None:
        say(wheel_line_answered(question, workshop))
    else:
        drawn(picture(question, workshop), out)
