"""The tables of published values themselves: nothing from memory, nothing unused, enough of them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

Tables = dict[str, list[Mapping[str, str]]]


def test_no_value_rests_on_memory(tables: Tables) -> None:
    """Every value was read in a text or computed with a library, and says where."""
    rows = [row for table in tables.values() for row in table]
    assert {"text", "library"} == {row["verified"] for row in rows}
    assert [] == [row["id"] for row in rows if not row["source"]]


def test_no_value_stands_twice(tables: Tables) -> None:
    """An id names one row."""
    ids = [row["id"] for table in tables.values() for row in table]
    assert sorted(set(ids)) == sorted(ids)


def test_every_value_is_asked_for(tables: Tables) -> None:
    """Each row of each table is named by a test beside it, by its quantity or by its id."""
    tests = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    rows = [
        (row["id"], f'published("{name}", "{row["quantity"]}")', f'"{row["id"]}"')
        for name, table in tables.items()
        for row in table
    ]
    assert [] == [row for row, marker, quoted in rows if marker not in tests and quoted not in tests]


def test_there_are_at_least_sixty_published_values(tables: Tables) -> None:
    """Values that others published, the models' own tables not counted, are no fewer than sixty."""
    assert sum(len(table) for name, table in tables.items() if name != "models") >= 60
