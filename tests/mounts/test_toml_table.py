"""A table read field by field: what is wrong is noted with its place, and reading goes on."""

from __future__ import annotations

import math
from typing import Any

import pytest

from mountwright.mounts.toml_table import Table


def table(path: str = "rules[0]", **values: Any) -> tuple[Table, list[str]]:
    """Give a table and the list that its faults go to."""
    faults: list[str] = []
    return Table(values, path, faults), faults


class TestReaders:
    """A reader ..."""

    @pytest.mark.parametrize(
        ("reader", "found", "expected"),
        [
            ("text", "geometry", "geometry"),
            ("number", 6, 6.0),
            ("number", 6.6, 6.6),
            ("optional_number", 6, 6.0),
            ("flag", True, True),
            ("pair", [120, 220.5], (120.0, 220.5)),
            ("texts", ["boot", "frame"], ("boot", "frame")),
            ("texts_by_name", {"hand": "left"}, {"hand": "left"}),
        ],
    )
    def test_gives_what_is_there(self, reader: str, found: Any, expected: Any) -> None:
        """... gives a field of its kind and notes nothing."""
        read, faults = table(field=found)

        assert expected == getattr(read, reader)("field")
        assert [] == faults

    @pytest.mark.parametrize(
        ("reader", "found", "instead", "expected"),
        [
            ("text", 6, "", "a text"),
            ("number", "6", 0.0, "a number"),
            ("number", True, 0.0, "a number"),
            ("optional_number", "6", 0.0, "a number"),
            ("flag", 1, False, "true or false"),
            ("flag", "true", False, "true or false"),
            ("pair", 6, (0.0, 0.0), "two numbers"),
            ("pair", [6], (0.0, 0.0), "two numbers"),
            ("pair", [6, "7"], (0.0, 0.0), "two numbers"),
            ("pair", [False, True], (0.0, 0.0), "two numbers"),
            ("texts", "boot", (), "a list of texts"),
            ("texts", ["boot", 1], (), "a list of texts"),
            ("texts", ["boot", ""], (), "a list of texts"),
            ("pair", [0, math.inf], (0.0, 0.0), "two numbers"),
            ("pair", [-1e10, 0], (0.0, 0.0), "two numbers"),
            ("number", math.inf, 0.0, "a number from -1e+09 to 1e+09"),
            ("number", math.nan, 0.0, "a number from -1e+09 to 1e+09"),
            ("number", 10**30, 0.0, "a number from -1e+09 to 1e+09"),
            ("tables", {"code": "a"}, [], "a list of tables"),
            ("tables_by_name", ["a"], {}, "a table of tables"),
            ("texts_by_name", ["a"], {}, "a table of texts"),
        ],
    )
    def test_names_a_field_of_another_kind_once(self, reader: str, found: Any, instead: Any, expected: str) -> None:
        """... notes a field of another kind once, with its place, and gives something harmless instead."""
        read, faults = table(field=found)
        given = getattr(read, reader)("field")

        assert [f"rules[0]: field: found {found!r}, expected {expected}"] == faults
        assert instead == given

    @pytest.mark.parametrize(("found", "expected"), [(0, 0.0), (180, 180.0), (-0.001, None), (180.001, None)])
    def test_takes_a_number_on_its_bounds_and_not_beyond(self, found: float, expected: float | None) -> None:
        """... takes a number on either of its bounds, and notes one beyond."""
        read, faults = table(turn=found)

        assert (expected or 0.0) == read.number("turn", least=0, most=180)
        assert (expected is None) == bool(faults)

    def test_names_a_text_with_nothing_in_it(self) -> None:
        """... notes a text that says nothing: a figure has a source, not an empty one."""
        read, faults = table(source="")
        read.text("source")

        assert ["rules[0]: source"] == [fault.rpartition(": ")[0] for fault in faults]

    @pytest.mark.parametrize(
        ("reader", "instead"), [("text", ""), ("number", 0.0), ("pair", (0.0, 0.0)), ("texts", ()), ("value", None)]
    )
    def test_names_a_field_that_is_missing_once(self, reader: str, instead: Any) -> None:
        """... notes a field that has to be there once, and gives something harmless instead."""
        read, faults = table()

        assert instead == getattr(read, reader)("field")
        assert ["rules[0]: field: missing"] == faults

    @pytest.mark.parametrize(
        ("reader", "instead"),
        [("optional_number", None), ("flag", False), ("tables", []), ("tables_by_name", {}), ("texts_by_name", {})],
    )
    def test_does_without_a_field_that_need_not_be_there(self, reader: str, instead: Any) -> None:
        """... gives nothing, and notes nothing, for a field that may be left out."""
        read, faults = table()

        assert instead == getattr(read, reader)("field")
        assert [] == faults

    def test_gives_the_default(self) -> None:
        """... gives the default of a field that is left out."""
        read, faults = table()

        assert ("", 2.0, ("boot",)) == (
            read.text("spacing", ""),
            read.number("turn", 2.0),
            read.texts("sides", ("boot",)),
        )
        assert [] == faults


class TestBelow:
    """A table within a table ..."""

    def test_of_a_list_is_placed_by_its_number(self) -> None:
        """... of a list is named by its number."""
        read, faults = table(terms=[{"of": "boot.a_mm"}, {}])
        [below.text("of") for below in read.tables("terms")]

        assert ["rules[0].terms[1]: of: missing"] == faults

    def test_by_name_is_placed_by_its_name(self) -> None:
        """... with a name is placed by it."""
        read, faults = table(assumed={"boot": {}})
        read.tables_by_name("assumed")["boot"].number("play_mm")

        assert ["rules[0].assumed.boot: play_mm: missing"] == faults

    def test_of_the_whole_file_has_a_plain_place(self) -> None:
        """... of the file itself is placed by its own name alone."""
        read, faults = table("", looks={"heel": {}})
        read.tables_by_name("looks")["heel"].text("answers")

        assert ["looks.heel: answers: missing"] == faults

    def test_that_is_none_is_named(self) -> None:
        """... that is no table is noted and read as an empty one."""
        read, faults = table(terms=["boot.a_mm"])

        assert [set()] == [below.names() for below in read.tables("terms")]
        assert ["rules[0]: terms[0]: found 'boot.a_mm', expected a table"] == faults

    def test_that_is_none_lacks_nothing_else(self) -> None:
        """... that is no table is not said to lack its fields as well."""
        read, faults = table(assumed={"boot": 1})
        read.tables_by_name("assumed")["boot"].number("play_mm")

        assert ["rules[0]: assumed.boot: found 1, expected a table"] == faults

    def test_that_is_read_twice_is_found_faulty_once(self) -> None:
        """... is the same each time, so that its faults are noted once."""
        read, faults = table(terms=[{"times": "two"}])
        for _ in range(2):
            read.tables("terms")[0].number("times")

        assert ["rules[0].terms[0]: times: found 'two', expected a number"] == faults

    def test_of_texts_names_the_one_that_is_none(self) -> None:
        """... of texts notes each entry that is none."""
        read, faults = table(features={"hand": 1, "plane": "sole"})
        read.texts_by_name("features")

        assert ["rules[0]: features.hand: found 1, expected a text"] == faults


class TestNothingElse:
    """A field that nobody read ..."""

    def test_is_named_with_those_that_could_be_meant(self) -> None:
        """... is noted, in order, with the names that are known."""
        read, faults = table(sorce="geometry", code="a", kidn="alike")
        read.text("code")
        read.flag("interchange")
        read.nothing_else()

        assert [
            f"rules[0]: {name}: unknown field, expected one of code, interchange" for name in ("kidn", "sorce")
        ] == (faults)

    def test_of_the_file_itself_is_placed_in_the_file(self) -> None:
        """... of the file itself is placed in the file."""
        read, faults = table("", standard=[])
        read.tables("standards")
        read.nothing_else()

        assert ["file: standard: unknown field, expected one of standards"] == faults
