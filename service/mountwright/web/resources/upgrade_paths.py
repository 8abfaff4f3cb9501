"""``POST /v1/upgrade-paths``: in which order to spend money; ``GET /v1/upgrade-paths/picture``: the same, drawn."""

from __future__ import annotations

from flask import Response

from mountwright.web.blueprint import Resource
from mountwright.web.parsing import Question
from mountwright.web.paths.answering import path_drawn, path_told
from mountwright.web.paths.asking import path_read
from mountwright.web.rides.picture_link import question_of
from mountwright.web.schemas.pictures import PictureQuerySchema
from mountwright.web.schemas.upgrade_path_answers import PathAnswerSchema
from mountwright.web.schemas.upgrade_paths import PathRequestSchema
from mountwright.web.workshop import workshop

resource = Resource("upgrade-paths", __name__, url_prefix="/v1", description="In which order to spend the money?")

_REQUEST = PathRequestSchema()


@resource.at("/upgrade-paths", "POST")
@resource.refuses(400, 413, 415, 422, 503)
@resource.answers(PathAnswerSchema(), "Stages within the money, each a skate that goes together, every step explained.")
@resource.draws("Money along and what it relieves up, where the caller accepts that rather than JSON.")
@resource.takes(_REQUEST, reader=path_read)
def plan_path(question: Question) -> Response:
    """Say what to do first, what it costs and why, what not to do, and how sure the order is; or draw it."""
    return path_told(question, workshop())


@resource.at("/upgrade-paths/picture")
@resource.refuses(400, 422, 503)
@resource.draws("Money along and what it relieves up.")
@resource.asks(PictureQuerySchema())
def show_path(query: dict[str, str]) -> Response:
    """Draw the path that an address asks for, by the catalogue as it is now; such addresses stand in answers."""
    return path_drawn(question_of(query["of"], _REQUEST, path_read), workshop())
