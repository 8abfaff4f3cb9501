"""Published values as parameters: a test names a table and a quantity and runs once for each row of it."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path
from typing import TypeAlias

import pytest

import mountwright_frame_spacing
import mountwright_hub_and_axle
from mountwright.mounts.registry import Registry, assembled

#: A number, several of them (``low..high`` or ``first / second / …``), or a word.
Value: TypeAlias = float | tuple[float, ...] | str

Row: TypeAlias = Mapping[str, str]

TABLES = Path(__file__).parent

#: Results of floating-point sums are compared no closer than this share of a value.
_CLOSEST = 1e-12


def pytest_configure(config: pytest.Config) -> None:
    """Make the marker known."""
    config.addinivalue_line("markers", "published(table, quantity): run once for each such row of a table")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Hand over ``given``, ``value`` and ``last_digit`` of every row that the marker asks for."""
    for marker in metafunc.definition.iter_markers("published"):
        table, quantity = marker.args
        rows = [row for row in _rows(table) if row["quantity"] == quantity]
        if not rows:
            raise LookupError(f"table {table} has no quantity {quantity!r}")
        wanted = [name for name in ("given", "value", "last_digit") if name in metafunc.fixturenames]
        params = [[_column(row, name) for name in wanted] for row in rows]
        metafunc.parametrize(wanted, params, ids=[row["id"] for row in rows])


@pytest.fixture(scope="session")
def tables() -> dict[str, list[Row]]:
    """Give every row of every table."""
    return {path.stem: _rows(path.stem) for path in sorted(TABLES.glob("*.csv"))}


@pytest.fixture(scope="session")
def installed() -> Registry:
    """Give the frames under the sole, the hubs, the axles and their places."""
    return assembled(
        [mountwright_frame_spacing.mountwright_standards(), *mountwright_hub_and_axle.mountwright_standards()]
    )


def _rows(table: str) -> list[Row]:
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _column(row: Row, name: str) -> Value | dict[str, Value]:
    if name == "given":
        pairs = (entry.partition("=") for entry in row["inputs"].split(";") if entry.strip())
        return {key.strip(): _parsed(text.strip()) for key, _, text in pairs}
    return _parsed(row["value"]) if name == "value" else _half_of_last_digit(row["value"])


def _parsed(text: str) -> Value:
    for between in ("..", " / "):
        if between in text:
            return tuple(float(each) for each in text.split(between))
    try:
        return float(text)
    except ValueError:
        return text


def _half_of_last_digit(text: str) -> float:
    """Give half a unit of the last printed digit, or what floats can hold if the print is finer."""
    first = text.replace("..", " ").split()[0]
    return max(0.5 * 10.0 ** -len(first.partition(".")[2]), abs(float(first)) * _CLOSEST)
