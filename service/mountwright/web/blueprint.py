"""The blueprint of this project: it writes the contract from the schemas and stays out of a request's way.

The base class wraps a view once for every documented answer and dumps what it gives through a
schema; here a view gives finished JSON, and tests hold real answers to the documented schemas.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from flask_smorest import Api, Blueprint
from marshmallow import Schema

from mountwright.web.parsing import loaded
from mountwright.web.problems import MEDIA_TYPE
from mountwright.web.schemas.problems import ProblemSchema

View = TypeVar("View", bound=Callable[..., Any])


class Resource(Blueprint):
    """A resource of the contract."""

    def at(self, rule: str, *methods: str) -> Callable[[View], View]:
        """Route a path of the resource to a view; GET where no method is named."""
        found: Callable[[View], View] = self.route(rule, methods=list(methods) or ["GET"])
        return found

    def takes(
        self, schema: Schema, example: Mapping[str, Any] | None = None
    ) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Hand the loaded body to a view as its first argument.

        Parameters
        ----------
        schema : Schema
            An instance: a class would be built anew for every request.
        example : Mapping or None
            For the contract.
        """
        body: dict[str, Any] = {"in": "json", "required": True, "schema": schema}
        if example is not None:
            body["example"] = dict(example)

        def handed(view: Callable[..., Any]) -> Callable[..., Any]:
            @functools.wraps(view)
            def with_body(*args: Any, **kwargs: Any) -> Any:
                return view(loaded(schema), *args, **kwargs)

            _documents(with_body, "arguments")["parameters"] = [body]
            return with_body

        return handed

    def answers(self, schema: Schema, description: str) -> Callable[[View], View]:
        """Document the answer of a view that gives finished JSON."""
        return _answering(200, {"schema": schema, "description": description, "content_type": None})

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document refusals."""

        def documented(view: View) -> View:
            for status in statuses:
                refusal = {"schema": ProblemSchema(), "description": "A problem.", "content_type": MEDIA_TYPE}
                view = _answering(status, refusal)(view)
            return view

        return documented


def _answering(status: int, answer: dict[str, Any]) -> Callable[[View], View]:
    def documented(view: View) -> View:
        _documents(view, "response").setdefault("responses", {}).setdefault(status, []).append(answer)
        return view

    return documented


def _documents(view: Callable[..., Any], part: str) -> dict[str, Any]:
    """Give the part of a view's documentation that the base class builds the contract from."""
    documentation: dict[str, Any] = view.__dict__.setdefault("_apidoc", {})
    found: dict[str, Any] = documentation.setdefault(part, {})
    return found


class Contract(Api):
    """The API whose document is the contract; failures are answered elsewhere, as problems."""

    ERROR_SCHEMA = ProblemSchema
    DEFAULT_ERROR_RESPONSE_NAME = None

    def _register_error_handlers(self) -> None:
        """Leave failures to :mod:`mountwright.web.problems`."""
