"""The blueprint of this project: bodies through :class:`JsonParser`, answers documented but not dumped again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from flask_smorest import Api, Blueprint
from marshmallow import Schema

from mountwright.web.parsing import JsonParser
from mountwright.web.problems import MEDIA_TYPE
from mountwright.web.schemas.problems import ProblemSchema

View = TypeVar("View", bound=Callable[..., Any])


class Resource(Blueprint):
    """A resource of the contract."""

    ARGUMENTS_PARSER = JsonParser()

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
        extra = {} if example is None else {"example": dict(example)}

        def handed(view: Callable[..., Any]) -> Callable[..., Any]:
            found: Callable[..., Any] = self.arguments(schema, **extra)(view)
            # The base documents 422 as plain JSON; here every refusal is a problem, see refuses().
            found._apidoc["arguments"].pop("responses")  # type: ignore[attr-defined]  # set by the base
            return found

        return handed

    def answers(
        self, schema: Schema, description: str, example: Mapping[str, Any] | None = None
    ) -> Callable[[View], View]:
        """Document the answer of a view that gives finished JSON.

        The schema stays out of the request's way: it describes the contract, and tests hold real answers to it.
        """
        extra = {} if example is None else {"example": dict(example)}
        found: Callable[[View], View] = self.alt_response(
            200, schema=schema, description=description, success=True, **extra
        )
        return found

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document refusals."""

        def documented(view: View) -> View:
            for status in statuses:
                view = self.alt_response(status, schema=ProblemSchema, content_type=MEDIA_TYPE)(view)
            return view

        return documented


class Contract(Api):
    """The API whose document is the contract; failures are answered elsewhere, as problems."""

    ERROR_SCHEMA = ProblemSchema
    DEFAULT_ERROR_RESPONSE_NAME = None

    def _register_error_handlers(self) -> None:
        """Leave failures to :mod:`mountwright.web.problems`."""
