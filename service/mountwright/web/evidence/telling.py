"""What a shop tells of a pair that was tried: judged, kept once, and seen by this process at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any, Final

from marshmallow import Schema, ValidationError

from mountwright.catalogue.documents import Json
from mountwright.catalogue.noting import Note, Noted, Noting
from mountwright.catalogue.rows import Misplaced
from mountwright.messages import Messages, shown
from mountwright.web.parsing import Question
from mountwright.web.problems import Problem, listed, pointed, refused
from mountwright.web.schemas.outcomes import OutcomeSchema
from mountwright.web.workshop import Workshop

_OUTCOME: Final[Schema] = OutcomeSchema()


def told(question: Question, shop: str, workshop: Workshop) -> tuple[Json, HTTPStatus]:
    """Keep an outcome; give it as it is kept, and the status of the answer: 201 where it is new, 200 where not.

    Raises
    ------
    Problem
        422 for a SKU that leads nowhere, 409 for what was told otherwise under the same number.
    CatalogueAwayError
        When the database cannot be written to.
    """
    with workshop.engines.writing() as connection:
        noting = Noting(connection, shop)
        (note,) = noting.note([question.asked])
        _require_kept(note, workshop.messages)
        version = noting.finish()
    workshop.shelf.noted(version)
    answer = {"outcome": note.kept, "shop": shop, "noted": note.noted, "catalogue": version.label}
    return answer, HTTPStatus.CREATED if note.noted is Noted.NEW else HTTPStatus.OK


def outcome_faults(outcome: Mapping[str, Any]) -> list[Misplaced]:
    """Give everything that is wrong with an outcome by itself, whatever the catalogue holds."""
    try:
        _OUTCOME.load(outcome)
    except ValidationError as error:
        return [Misplaced(pointer, *fault) for pointer, fault in pointed(error.messages)]
    return []


def _require_kept(note: Note, messages: Messages) -> None:
    """Refuse an outcome that names what is not there, or that was told otherwise before.

    Raises
    ------
    Problem
        422 or 409, with every fault and its place.
    """
    if note.wrong:
        raise refused(note.wrong, messages)
    if note.noted is Noted.OTHERWISE:
        number = {"outcome_id": note.told["outcome_id"]}
        raise Problem(HTTPStatus.CONFLICT, "told_otherwise", number, listed(list(_differences(note)), messages))


def _differences(note: Note) -> Iterator[Misplaced]:
    told, kept = note.told, note.kept
    for name in sorted(told.keys() | kept.keys()):
        if told.get(name) != kept.get(name):
            params = {"found": _shown(told, name), "kept": _shown(kept, name)}
            yield Misplaced(f"/{name}", "request.kept_otherwise", params)


def _shown(outcome: Json, name: str) -> str:
    return shown(outcome[name]) if name in outcome else "nothing"
