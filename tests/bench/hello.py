"""The least that the stack can do: one JSON object by GET, and as much JSON in and out as a basket has by POST."""

from __future__ import annotations

import orjson
from flask import Flask, Response, request

#: Size of the answer about a basket of six lines, bytes.
ANSWER = 8700


def create_app() -> Flask:
    """Build the app that every other figure is a share of."""
    app = Flask("hello")
    answer = orjson.dumps({"hello": "w" * ANSWER})

    @app.get("/")
    def hello() -> dict[str, str]:
        return {"hello": "world"}

    @app.post("/")
    def parrot() -> Response:
        orjson.loads(request.get_data())
        return Response(answer, mimetype="application/json")

    return app
