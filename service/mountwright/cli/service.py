"""``mountwright serve``, ``demo`` and ``openapi``."""

from __future__ import annotations

import os
import sys

import click
import orjson

from mountwright.bootstrap import create_app, create_workshop, ready_catalogue
from mountwright.cli.telling import explained
from mountwright.demo.run import run_demo
from mountwright.serving import gunicorn_arguments


@click.command()
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(0, 65535), help="Port to listen on.")
@click.option("--workers", type=click.IntRange(1, 256), help="Processes; one a core if left out.")
@explained
def serve(host: str, port: int, workers: int | None) -> None:
    """Serve the API with gunicorn."""
    ready_catalogue(create_workshop().engines)
    sys.stdout.flush()
    os.execv(sys.executable, gunicorn_arguments(host, port, workers))  # noqa: S606  # our own command, no shell


@click.command()
@click.option("--keep", is_flag=True, help="Leave the service running afterwards, until Ctrl-C.")
@click.option("--port", default=0, type=click.IntRange(0, 65535), help="Port on loopback; 0 takes a free one.")
@explained
def demo(keep: bool, port: int) -> None:
    """Start the service, ask it what a skate shop is asked all day, and print the answers."""
    run_demo(port, keep, click.echo)


@click.command()
@explained
def openapi() -> None:
    """Print the contract, an OpenAPI 3.1 document."""
    app = create_app()
    document = orjson.loads(app.test_client().get("/openapi.json").get_data())
    click.echo(orjson.dumps(document, option=orjson.OPT_INDENT_2).decode())
