"""Answers that are pictures: given to a caller who accepts SVG rather than JSON, and behind an address."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import orjson
from flask import Response, request

from mountwright.web.blueprint import SVG

_JSON = "application/json"


def told_or_drawn(told: Callable[[], Mapping[str, Any]], drawn: Callable[[], str]) -> Response:
    """Give an answer in the form that the caller accepts: JSON, or the picture alone.

    Parameters
    ----------
    told : callable
        Gives what is to become JSON.
    drawn : callable
        Gives the picture, as SVG.
    """
    if request.accept_mimetypes.best_match([_JSON, SVG], default=_JSON) == SVG:
        answer = picture_answer(drawn())
    else:
        answer = Response(orjson.dumps(told()), mimetype=_JSON)
    answer.vary.add("Accept")
    return answer


def picture_answer(svg: str) -> Response:
    """Give a picture as an answer."""
    answer = Response(svg, mimetype=SVG)
    # A picture is shown by itself, too: nothing in it may run or fetch anything.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return answer
