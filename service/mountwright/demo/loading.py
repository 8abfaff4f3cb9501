"""Brings the invented shop's catalogue and what it was told into a database."""

from __future__ import annotations

from contextlib import ExitStack
from importlib import resources
from pathlib import Path

from mountwright.catalogue.importing import Report, imported
from mountwright.catalogue.outcome_files import outcomes_loaded
from mountwright.web.evidence.telling import outcome_faults
from mountwright.web.records import checks_of
from mountwright.web.workshop import Workshop

#: Code of the invented shop.
SHOP = "tidewheel"


def load_demo(workshop: Workshop) -> tuple[Report, Report]:
    """Load skates, parts and outcomes; give what became of the catalogue's files and of the outcomes.

    Raises
    ------
    CatalogueError
        When the database cannot be written to.
    """
    with ExitStack() as files:
        skates, parts, outcomes = (_file(name, files) for name in ("skates.csv", "parts.csv", "outcomes.jsonl"))
        catalogue = imported([skates, parts], workshop.engines, checks_of(workshop))
        told = outcomes_loaded(outcomes, workshop.engines, SHOP, outcome_faults)
    return catalogue, told


def _file(name: str, files: ExitStack) -> Path:
    return files.enter_context(resources.as_file(resources.files(__package__).joinpath(name)))
