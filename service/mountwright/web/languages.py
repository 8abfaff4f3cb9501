"""The language of an answer: of those that the service speaks, the one that the caller prefers (RFC 9110, 12.5.4)."""

from __future__ import annotations

from functools import lru_cache

from flask import Flask, Response, request
from werkzeug.datastructures import LanguageAccept
from werkzeug.http import parse_accept_header

from mountwright.messages import LANGUAGES


def wanted_language(otherwise: str) -> str:
    """Give the language that the request under way asks for first of those that the service speaks.

    Parameters
    ----------
    otherwise : str
        For a caller who names none of them.
    """
    asked = request.headers.get("Accept-Language")
    return otherwise if asked is None else _best(asked, otherwise)


@lru_cache(1024)
def _best(asked: str, otherwise: str) -> str:
    return parse_accept_header(asked, LanguageAccept).best_match(LANGUAGES, otherwise) or otherwise


def register_languages(app: Flask) -> None:
    """Say of every answer that another language would have given another one (RFC 9110, 12.5.5)."""

    def told(answer: Response) -> Response:
        answer.vary.add("Accept-Language")
        return answer

    app.after_request(told)
