"""Reads the query of a request; a fault in it is pointed at as if the query stood in the body: ``/query/limit``."""

from __future__ import annotations

from typing import Any

from flask import request
from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.messages import Fault
from mountwright.web.problems import invalid
from mountwright.web.workshop import Desk, workshop

#: Where the pointers of faults begin.
_PLACE = "query"


def queried(schema: Schema) -> Any:
    """Load the query of the current request.

    Raises
    ------
    Problem
        422 with every fault; a parameter that is given twice is one.
    """
    shop = workshop()
    given = {name: texts[0] for name, texts in request.args.lists()}
    faults: dict[str, Any] = {
        name: [Fault("request.given_again", {"found": len(texts)})]
        for name, texts in request.args.lists()
        if len(texts) > 1
    }
    try:
        with Context(Desk(shop)):
            found = schema.load(given)
    except ValidationError as error:
        faults = {**error.messages_dict, **faults}
    if faults:
        raise invalid(ValidationError({_PLACE: faults}), shop.messages)
    return found
