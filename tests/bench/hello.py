"""The least that the stack can do: one JSON object by GET."""

from __future__ import annotations

from flask import Flask


def create_app() -> Flask:
    """Build the app that every other figure is a share of."""
    app = Flask("hello")

    @app.get("/")
    def hello() -> dict[str, str]:
        return {"hello": "world"}

    return app
