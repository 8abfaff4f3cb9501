"""The blueprint of this project: it writes the contract from the schemas and stays out of a request's way.

The base class wraps a view once for every documented answer and dumps what it gives through a
schema; here a view gives finished JSON, and tests hold real answers to the documented schemas.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Mapping
from typing import Any, Final, TypeVar, cast

from flask import Flask
from flask_smorest import Api, Blueprint
from marshmallow import Schema, ValidationError

from mountwright.catalogue.keys import Scope
from mountwright.web.faults import fault
from mountwright.web.parsing import Reader, loaded
from mountwright.web.problems import MEDIA_TYPE
from mountwright.web.querying import queried
from mountwright.web.schemas.problems import ProblemSchema

View = TypeVar("View", bound=Callable[..., Any])

#: Name of a view's attribute: the scope that a key needs to open it.
_NEEDED: Final = "needed_scope"

#: Name in the contract of how a key is shown.
_SCHEME: Final = "key"

#: Media type of a picture.
SVG: Final = "image/svg+xml"

#: Media type of what is printed.
PDF: Final = "application/pdf"

#: Media type of a page that is read.
HTML: Final = "text/html"

#: Descriptions of headers by name.
Headers = Mapping[str, str]


class _AsGiven(Schema):
    """Takes an object as it is."""

    def load(self, data: Any, **_options: Any) -> Any:
        """Give the body.

        Raises
        ------
        ValidationError
            When it is no object.
        """
        if type(data) is not dict:
            raise ValidationError({"_schema": fault("request.not_object")})
        return data


_AS_GIVEN: Final = _AsGiven()


class Resource(Blueprint):
    """A resource of the contract."""

    def at(self, rule: str, *methods: str) -> Callable[[View], View]:
        """Route a path of the resource to a view; GET where no method is named."""
        found: Callable[[View], View] = self.route(rule, methods=list(methods) or ["GET"])
        return found

    def takes(
        self,
        schema: Schema,
        example: Mapping[str, Any] | None = None,
        *,
        as_given: bool = False,
        reader: Reader | None = None,
    ) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Hand the loaded body to a view as its first argument.

        Parameters
        ----------
        schema : Schema
            An instance: a class would be built anew for every request.
        example : Mapping or None
            For the contract.
        as_given : bool
            Whether the schema is for the contract only, and the body is judged by what the view calls.
        reader : Reader or None
            Loads the body in a way of its own.
        """
        body: dict[str, Any] = {"in": "json", "required": True, "schema": schema}
        if example is not None:
            body["example"] = dict(example)

        def handed(view: Callable[..., Any]) -> Callable[..., Any]:
            @functools.wraps(view)
            def with_body(*args: Any, **kwargs: Any) -> Any:
                return view(loaded(_AS_GIVEN if as_given else schema, reader), *args, **kwargs)

            _parameters(with_body).append(body)
            return with_body

        return handed

    def asks(self, schema: Schema) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
        """Hand what the query says, loaded, to a view as its first argument.

        Parameters
        ----------
        schema : Schema
            An instance; each of its fields is a parameter of the query.
        """

        def handed(view: Callable[..., Any]) -> Callable[..., Any]:
            @functools.wraps(view)
            def with_query(*args: Any, **kwargs: Any) -> Any:
                return view(queried(schema), *args, **kwargs)

            _parameters(with_query).append({"in": "query", "schema": schema})
            return with_query

        return handed

    def heeds(self, headers: Headers) -> Callable[[View], View]:
        """Document headers of the request that a view heeds."""

        def documented(view: View) -> View:
            _parameters(view).extend(
                {"in": "header", "name": name, "schema": {"type": "string"}, "description": description}
                for name, description in headers.items()
            )
            return view

        return documented

    def answers(
        self, schema: Schema | None, description: str, status: int = 200, headers: Headers | None = None
    ) -> Callable[[View], View]:
        """Document an answer of a view that gives finished JSON, or no body where there is no schema."""
        return self._documented(schema, description, status, headers, None)

    def draws(self, description: str, headers: Headers | None = None) -> Callable[[View], View]:
        """Document that a view also gives a picture, as SVG."""
        return self._documented({"type": "string"}, description, 200, headers, SVG)

    def shows(self, description: str, headers: Headers | None = None) -> Callable[[View], View]:
        """Document that a view also gives a page, as HTML."""
        return self._documented({"type": "string"}, description, 200, headers, HTML)

    def prints(self, description: str, headers: Headers | None = None) -> Callable[[View], View]:
        """Document that a view also gives something to print, as PDF."""
        return self._documented({"type": "string", "format": "binary"}, description, 200, headers, PDF)

    def _documented(
        self, schema: Any, description: str, status: int, headers: Headers | None, media_type: str | None
    ) -> Callable[[View], View]:
        answer: dict[str, Any] = {"description": description, "content_type": media_type}
        if schema is not None:
            answer["schema"] = schema
        if headers:
            answer["headers"] = {
                name: {"schema": {"type": "string"}, "description": text} for name, text in headers.items()
            }
        return _answering(status, answer)

    def refuses(self, *statuses: int) -> Callable[[View], View]:
        """Document refusals."""

        def documented(view: View) -> View:
            for status in statuses:
                refusal = {"schema": ProblemSchema(), "description": "A problem.", "content_type": MEDIA_TYPE}
                view = _answering(status, refusal)(view)
            return view

        return documented

    def keyed(self, scope: str) -> Callable[[View], View]:
        """Open a view only to keys with a scope, and document that; stands below :meth:`at`.

        Parameters
        ----------
        scope : str
            Of :class:`mountwright.catalogue.keys.Scope`.
        """
        needed = Scope(scope)

        def guarded(view: View) -> View:
            setattr(view, _NEEDED, needed)
            _documents(view, "manual_doc")["security"] = [{_SCHEME: [needed.value]}]
            return self.refuses(401, 403)(view)

        return guarded


def needed_scope(view: Callable[..., Any] | None) -> Scope | None:
    """Give the scope that a key needs to open a view, None where it is open."""
    return cast(Scope | None, getattr(view, _NEEDED, None))


def _answering(status: int, answer: dict[str, Any]) -> Callable[[View], View]:
    def documented(view: View) -> View:
        _documents(view, "response").setdefault("responses", {}).setdefault(status, []).append(answer)
        return view

    return documented


def _parameters(view: Callable[..., Any]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = _documents(view, "arguments").setdefault("parameters", [])
    return found


def _documents(view: Callable[..., Any], part: str) -> dict[str, Any]:
    """Give the part of a view's documentation that the base class builds the contract from."""
    documentation: dict[str, Any] = view.__dict__.setdefault("_apidoc", {})
    found: dict[str, Any] = documentation.setdefault(part, {})
    return found


class Contract(Api):
    """The API whose document is the contract; failures are answered elsewhere, as problems."""

    ERROR_SCHEMA = ProblemSchema
    DEFAULT_ERROR_RESPONSE_NAME = None

    def init_app(self, app: Flask, *, spec_kwargs: dict[str, Any] | None = None) -> None:
        """Begin the document, with how a key is shown."""
        super().init_app(app, spec_kwargs=spec_kwargs)
        shown = "A key of this service; where a shop keeps its reads keyed, every call under /v1 needs one."
        self.spec.components.security_scheme(_SCHEME, {"type": "http", "scheme": "bearer", "description": shown})

    def _register_error_handlers(self) -> None:
        """Leave failures to :mod:`mountwright.web.problems`."""
