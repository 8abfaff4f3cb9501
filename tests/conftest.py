"""What many tests share: a real service on loopback, an app in this process, and short ways to write mounts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
import requests
from flask import Flask
from flask.testing import FlaskClient

from mountwright.bootstrap import create_app
from mountwright.serving import served
from mountwright.settings import Settings

Json = dict[str, Any]


@pytest.fixture(scope="session")
def service() -> Iterator[str]:
    """Give the address of a real service with the standards in the box."""
    with served() as (address, _):
        yield address


@pytest.fixture(scope="session")
def check_fit(service: str) -> Callable[..., Json]:
    """Give a way to ask for a fit check over HTTP; gives the whole answer."""

    def ask(skate: Json | list[Json], *parts: Json, **more: Any) -> Json:
        mounts = skate if isinstance(skate, list) else [skate]
        body = {"skate": {"mounts": mounts}, "parts": list(parts), **more}
        response = requests.post(f"{service}/v1/fit-checks", json=body, timeout=10)
        assert response.status_code == 200, response.text
        answer: Json = response.json()
        return answer

    return ask


@pytest.fixture(scope="session")
def identify(service: str) -> Callable[[Json], Json]:
    """Give a way to ask for an identification over HTTP; gives the first ranking."""

    def ask(mount: Json) -> Json:
        response = requests.post(f"{service}/v1/mount-identifications", json={"mount": mount}, timeout=10)
        assert response.status_code == 200, response.text
        found: Json = response.json()["identifications"][0]
        return found

    return ask


@pytest.fixture(scope="session")
def app() -> Flask:
    """Give the application with its default settings."""
    return create_app(Settings())


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Give a client of the application in this process."""
    return app.test_client()
