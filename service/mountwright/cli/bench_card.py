"""``mountwright bench-card``: the sheet that goes with the skate."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from mountwright.cli.opening import own_workshop
from mountwright.cli.telling import asked, explained, say
from mountwright.web.cards.answering import card_answered, card_page, card_sheet
from mountwright.web.cards.asking import card_read
from mountwright.web.parsing import Question
from mountwright.web.schemas.bench_cards import BenchCardRequestSchema
from mountwright.web.workshop import Workshop

_PAGE, _SHEET = (".html", ".htm"), (".pdf",)


def _printable(_context: click.Context, _param: click.Parameter, out: Path | None) -> Path | None:
    if out is not None and out.suffix.lower() not in (*_PAGE, *_SHEET):
        raise click.BadParameter(f"{out}: a card is written to a file that ends in .html or .pdf")
    return out


@click.command("bench-card")
@click.argument("file", type=click.File("rb"))
@click.option(
    "-o",
    "out",
    type=click.Path(dir_okay=False, path_type=Path),
    callback=_printable,
    help="Write it to this HTML or PDF file.",
)
@explained
def write_bench_card(file: Any, out: Path | None) -> None:
    """Write the bench card of a JSON file (``-`` for standard input): as JSON, a page to print, or a PDF."""
    workshop = own_workshop()
    question = asked(file, BenchCardRequestSchema(), workshop, card_read)
    if out is None:
        say(card_answered(question, workshop))
    else:
        out.write_bytes(_printed(question, workshop, out))
        click.echo(f"Written to {out}.")


def _printed(question: Question, workshop: Workshop, out: Path) -> bytes:
    address = workshop.settings.address
    if out.suffix.lower() in _PAGE:
        return card_page(question, workshop, address).encode()
    return card_sheet(question, workshop, address)
