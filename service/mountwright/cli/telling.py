"""What the commands share: how a question is read, and how an answer or an error is told."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import wraps
from pathlib import Path
from typing import Any

import click
import orjson
from marshmallow import Schema

from mountwright.errors import MountwrightError
from mountwright.web.parsing import Question, Reader, parsed
from mountwright.web.problems import Problem
from mountwright.web.workshop import Workshop


def explained(command: Callable[..., None]) -> Callable[..., None]:
    """Turn an error of ours into one line and exit code 1 instead of a stack trace."""

    @wraps(command)
    def guarded(*args: Any, **kwargs: Any) -> None:
        try:
            command(*args, **kwargs)
        except (MountwrightError, OSError) as error:
            raise click.ClickException(str(error)) from error

    return guarded


def drawn(svg: str, out: Path) -> None:
    """Write a picture to a file, and say so."""
    out.write_text(svg, encoding="utf-8")
    click.echo(f"Drawn to {out}.")


def printed(pdf: bytes, out: Path) -> None:
    """Write what is to be printed to a file, and say so."""
    out.write_bytes(pdf)
    click.echo(f"Printed to {out}.")


def asked(file: Any, schema: Schema, workshop: Workshop, reader: Reader) -> Question:
    """Give the question in a JSON file; where something is wrong with it, print that and end with exit code 1."""
    with problems(workshop):
        return reader(parsed(file.read()), schema, workshop)


@contextmanager
def problems(workshop: Workshop) -> Iterator[None]:
    """Print what is wrong with a question, each fault on a line of its own, and end with exit code 1."""
    try:
        yield
    except Problem as problem:
        messages = workshop.messages
        click.echo(messages.text(f"problem.{problem.problem_code}", problem.params), err=True)
        for fault in problem.errors or []:
            click.echo(f"  {fault['pointer'] or '/'}: {fault['detail']}", err=True)
        raise SystemExit(1) from problem


def say(answer: Mapping[str, Any]) -> None:
    """Print an answer as JSON."""
    click.echo(orjson.dumps(orjson.loads(orjson.dumps(answer)), option=orjson.OPT_INDENT_2).decode())
