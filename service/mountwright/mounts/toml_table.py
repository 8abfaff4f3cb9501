"""A TOML table read field by field; what is wrong is written to one list of faults and reading goes on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

_MISSING: Any = object()

#: No figure of a standard is larger, whatever its unit.
_MOST = 1e9


class Table:
    """One table of a file.

    Every reader gives a harmless value after it noted a fault, so that one pass finds them all.

    Parameters
    ----------
    values : dict
        As parsed.
    path : str
        Place in the file, ``standards[0].dimensions``.
    faults : list of str
        Shared by all tables of the file.
    """

    def __init__(self, values: dict[str, Any], path: str, faults: list[str]) -> None:
        self._values, self._path, self.faults = values, path, faults
        self._read: set[str] = set()
        self._faulty: set[str] = set()
        self._tables: dict[str, Table] = {}

    def fault(self, what: str) -> None:
        """Note a fault of this table."""
        self.faults.append(f"{self._path or 'file'}: {what}")

    def is_faulty(self, name: str) -> bool:
        """Tell whether a field was found missing or of the wrong kind, so that no more has to be said of it."""
        return name in self._faulty

    def names(self) -> set[str]:
        """Give the names of its fields."""
        return set(self._values)

    def value(self, name: str, default: Any = _MISSING) -> Any:
        """Give a field as it is; a fault where it is missing and has no default."""
        self._read.add(name)
        if name in self._values:
            return self._values[name]
        if default is _MISSING:
            self._field_fault(name, "missing")
            return None
        return default

    def text(self, name: str, default: Any = _MISSING) -> str:
        """Give a field that must be a text with something in it, unless nothing is what it has by default."""
        found = str(self._typed(name, self.value(name, default), str, "a text", ""))
        if name in self._values and not found and default != "" and not self.is_faulty(name):
            self._field_fault(name, "found '', expected a text with something in it")
        return found

    def number(self, name: str, default: Any = _MISSING, *, least: float = -_MOST, most: float = _MOST) -> float:
        """Give a field that must be a number of sane size, both bounds inclusive."""
        found = self._typed(name, self.value(name, default), (int, float), "a number", None)
        if found is None:
            return 0.0
        if not least <= found <= most:
            self._field_fault(name, f"found {found!r}, expected a number from {least:g} to {most:g}")
            return 0.0
        return float(found)

    def optional_number(self, name: str) -> float | None:
        """Give a number, or None where the field is absent."""
        return self.number(name) if name in self._values else None

    def flag(self, name: str) -> bool:
        """Give a yes or no; no where it is absent."""
        return bool(self._typed(name, self.value(name, False), bool, "true or false", False))

    def pair(self, name: str) -> tuple[float, float]:
        """Give a field that must be a list of two numbers of sane size."""
        found = self._typed(name, self.value(name), list, "two numbers", None)
        if found is None:
            return 0.0, 0.0
        numbers = [end for end in found if isinstance(end, int | float) and not isinstance(end, bool) and _is_sane(end)]
        if len(found) != 2 or len(numbers) != 2:
            self._field_fault(name, f"found {found!r}, expected two numbers")
            return 0.0, 0.0
        return float(found[0]), float(found[1])

    def texts(self, name: str, default: Iterable[str] | Any = _MISSING) -> tuple[str, ...]:
        """Give a field that must be a list of texts, each with something in it."""
        found = self._typed(name, self.value(name, default), (list, tuple), "a list of texts", [])
        if not all(isinstance(entry, str) and entry for entry in found):
            self._field_fault(name, f"found {found!r}, expected a list of texts")
            return ()
        return tuple(found)

    def texts_by_name(self, name: str) -> dict[str, str]:
        """Give a table whose fields are all texts with something in them; empty where it is absent."""
        found = self._typed(name, self.value(name, {}), dict, "a table of texts", {})
        for key, entry in found.items():
            if not isinstance(entry, str) or not entry:
                self._field_fault(f"{name}.{key}", f"found {entry!r}, expected a text")
        return {key: str(entry) for key, entry in found.items()}

    def table(self, name: str) -> Table | None:
        """Give a table, or None where the field is absent."""
        found = self.value(name, None)
        return self._below(name, found) if name in self._values else None

    def tables(self, name: str) -> list[Table]:
        """Give a list of tables; empty where it is absent."""
        found = self._typed(name, self.value(name, []), list, "a list of tables", [])
        return [self._below(f"{name}[{index}]", entry) for index, entry in enumerate(found)]

    def tables_by_name(self, name: str) -> dict[str, Table]:
        """Give a table of tables; empty where it is absent."""
        found = self._typed(name, self.value(name, {}), dict, "a table of tables", {})
        return {key: self._below(f"{name}.{key}", entry) for key, entry in found.items()}

    def every_text(self, but: str) -> set[str]:
        """Give every text in it and below, but those of one field; none counts as read by that."""
        return set(_texts([value for name, value in self._values.items() if name != but]))

    def unread(self) -> set[str]:
        """Give the names of the fields that nobody read so far."""
        return self.names() - self._read

    def nothing_else(self) -> None:
        """Note a fault for every field that nobody read: a misspelt name must not pass in silence."""
        for name in sorted(self.unread()):
            self.fault(f"{name}: unknown field, expected one of {', '.join(sorted(self._read))}")

    def all_read(self) -> None:
        """Take every field for read: there is no telling which were meant."""
        self._read |= self.names()

    def _field_fault(self, name: str, what: str) -> None:
        if name not in self._faulty:
            self._faulty.add(name)
            self.fault(f"{name}: {what}")

    def _below(self, name: str, entry: Any) -> Table:
        # The same table each time, so that a field that is read twice is found faulty once.
        if name not in self._tables:
            self._tables[name] = self._opened(name, entry)
        return self._tables[name]

    def _opened(self, name: str, entry: Any) -> Table:
        path = f"{self._path}.{name}" if self._path else name
        if isinstance(entry, dict):
            return Table(entry, path, self.faults)
        self._field_fault(name, f"found {entry!r}, expected a table")
        # What such a table lacks is nobody's fault: it goes to a list that is not read.
        return Table({}, path, [])

    def _typed(self, name: str, found: Any, kind: Any, expected: str, instead: Any) -> Any:
        if isinstance(found, kind) and (kind is bool or not isinstance(found, bool)):
            return found
        if name in self._values:
            self._field_fault(name, f"found {found!r}, expected {expected}")
        return instead


def as_written(number: float) -> str:
    """Give a number as a file has it: 20 and not 20.0, nor thousandths."""
    return f"{number:.15g}"


def _is_sane(number: float) -> bool:
    return -_MOST <= number <= _MOST


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for each in value.values() if isinstance(value, dict) else value:
            yield from _texts(each)
