"""orjson as Flask's JSON: fast, UTF-8, and it refuses NaN."""

from __future__ import annotations

from typing import Any

import orjson
from flask import Response
from flask.json.provider import JSONProvider


class OrjsonProvider(JSONProvider):
    """Encodes answers with orjson."""

    def dumps(self, obj: Any, **_kwargs: Any) -> str:
        """Give JSON as text."""
        return orjson.dumps(obj).decode()

    def loads(self, s: str | bytes, **_kwargs: Any) -> Any:
        """Read JSON."""
        return orjson.loads(s)

    def response(self, *args: Any, **kwargs: Any) -> Response:
        """Give a response whose body is the JSON of the arguments."""
        body = orjson.dumps(self._prepare_response_obj(args, kwargs))
        return Response(body, mimetype="application/json")
