"""One figure of an article by name, and what is wrong with a value that is given for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, NamedTuple

from mountwright.errors import InvalidSpecError
from mountwright.messages import shown

#: A text is at most so long, a list has at most so many entries.
MOST_LETTERS, MOST_ENTRIES = 120, 500

Place = tuple[str | int, ...]


class SpecType(StrEnum):
    """What a value is."""

    NUMBER = "number"
    COUNT = "count"
    TEXT = "text"
    CHOICE = "choice"
    FLAG = "flag"
    WORDS = "words"
    NUMBERS = "numbers"
    TABLE = "table"


class SpecFault(NamedTuple):
    """One thing that is wrong with the specs of an article.

    Parameters
    ----------
    place : tuple
        Steps into the specs, from the name on; of two faults, neither lies within the other's place.
    code : str
        Of its sentence.
    params : Mapping[str, str or float]
    """

    place: Place
    code: str
    params: Mapping[str, str | float]


_BOUNDED = {SpecType.NUMBER, SpecType.COUNT, SpecType.NUMBERS}
_CHOSEN = {SpecType.CHOICE, SpecType.WORDS}
_SEARCHED = {SpecType.NUMBER, SpecType.COUNT}


@dataclass(frozen=True)
class Spec:
    """One figure of an article.

    Parameters
    ----------
    name : str
        With its unit at the end, where it has one.
    type : SpecType
    measure : str
        What it is, or how it is taken.
    standing : str
        Of its bounds or choices: ``estimate`` or ``common practice``.
    low, high : float
        Plausible values in the unit of the name, both inclusive; of numbers and counts only.
    choices : tuple of str
        Of a choice, and of each of some words.
    columns : Mapping[str, Column]
        Of a table.
    same_length : tuple of str
        Columns of a table whose lists belong together, entry by entry.
    searched : bool
        Whether parts are looked for by it; of numbers and counts only.

    Raises
    ------
    InvalidSpecError
        When bounds, choices or columns are missing, in disorder, or there without need; for what cannot be searched.
    """

    name: str
    type: SpecType
    measure: str
    standing: str = "estimate"
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    columns: Mapping[str, Column] = field(default_factory=dict)
    same_length: tuple[str, ...] = ()
    searched: bool = False

    def __post_init__(self) -> None:
        for holds, found, expected in (
            (self.standing in ("estimate", "common practice"), self.standing, "estimate or common practice"),
            (self.low <= self.high, f"{self.low:g} to {self.high:g}", "bounds with the lower one first"),
            ((self.low < self.high) == (self.type in _BOUNDED), f"{self.low:g} to {self.high:g}", "bounds of a number"),
            (bool(self.choices) == (self.type in _CHOSEN), str(self.choices), "choices of a choice"),
            (bool(self.columns) == (self.type is SpecType.TABLE), str(list(self.columns)), "columns of a table"),
            (set(self.same_length) <= set(self.columns), str(self.same_length), "columns that it has"),
            (not self.searched or self.type in _SEARCHED, f"searched {self.type}", "a number or a count to search by"),
        ):
            if not holds:
                raise InvalidSpecError(self.name, found, expected)


@dataclass(frozen=True)
class Column(Spec):
    """One column of a table: a number, a count or a list of numbers in each row.

    Parameters
    ----------
    required : bool
        Whether every row has it.

    Raises
    ------
    InvalidSpecError
        For a column of another type, too.
    """

    required: bool = False

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.type not in _BOUNDED:
            raise InvalidSpecError(self.name, self.type, "a column of numbers")


def value_faults(spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    """Give what is wrong with a value, nothing where it may stand.

    Parameters
    ----------
    spec : Spec
    value
        As JSON has it.
    place : tuple
        Where it stands in the specs.
    """
    return _JUDGES[spec.type](spec, value, place)


def number_faults(value: Any, low: float, high: float, place: Place) -> Iterator[SpecFault]:
    """Give what is wrong with a number that should lie between two bounds, both inclusive."""
    if type(value) is not int and type(value) is not float:
        yield SpecFault(place, "request.not_number", {"found": shown(value)})
    elif not low <= value <= high:
        yield SpecFault(place, "request.bounds", {"found": shown(value), "low": low, "high": high})


def _number(spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    return number_faults(value, spec.low, spec.high, place)


def _count(spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    if type(value) is float and not value.is_integer():
        yield SpecFault(place, "request.not_whole", {"found": shown(value)})
    else:
        yield from number_faults(value, spec.low, spec.high, place)


def _text(_spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    if not isinstance(value, str):
        yield SpecFault(place, "request.not_text", {})
    else:
        yield from _size(value, 1, MOST_LETTERS, place)


def _choice(spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    if value not in spec.choices:
        yield SpecFault(place, "request.choice", {"found": shown(value), "known": ", ".join(spec.choices)})


def _flag(_spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    if type(value) is not bool:
        yield SpecFault(place, "request.not_flag", {})


def _list(spec: Spec, value: Any, place: Place) -> Iterator[SpecFault]:
    """Judge a list, then each of its entries."""
    if not isinstance(value, list):
        yield SpecFault(place, "request.not_list", {})
    elif not 1 <= len(value) <= MOST_ENTRIES:
        yield from _size(value, 1, MOST_ENTRIES, place)
    else:
        for index, entry in enumerate(value):
            yield from _ENTRIES[spec.type](spec, entry, (*place, index))


def _row(spec: Spec, row: Any, place: Place) -> Iterator[SpecFault]:
    if not isinstance(row, dict):
        yield SpecFault(place, "request.not_object", {})
        return
    found = [fault for name, value in row.items() for fault in _cell(spec, name, value, (*place, name))]
    for name, column in spec.columns.items():
        if column.required and name not in row:
            found.append(SpecFault((*place, name), "request.required", {}))
    yield from found
    if not found:
        yield from _lengths(spec, row, place)


def _cell(table: Spec, name: str, value: Any, place: Place) -> Iterator[SpecFault]:
    column = table.columns.get(name)
    if column is None:
        yield SpecFault(place, "request.unknown_field", {})
    else:
        yield from value_faults(column, value, place)


def _lengths(table: Spec, row: Mapping[str, Any], place: Place) -> Iterator[SpecFault]:
    if not table.same_length:
        return
    first = table.same_length[0]
    expected = len(row.get(first, ()))
    for name in table.same_length[1:]:
        if len(row.get(name, ())) != expected:
            found = len(row.get(name, ()))
            yield SpecFault(
                (*place, name), "request.same_length", {"found": found, "expected": expected, "other": first}
            )


def _size(value: Any, least: int, most: int, place: Place) -> Iterator[SpecFault]:
    if not least <= len(value) <= most:
        yield SpecFault(place, "request.size", {"found": len(value), "least": least, "most": most})


_Judge = Callable[[Spec, Any, Place], Iterator[SpecFault]]

_ENTRIES: Mapping[SpecType, _Judge] = {
    SpecType.WORDS: _choice,
    SpecType.NUMBERS: _number,
    SpecType.TABLE: _row,
}

_JUDGES: Mapping[SpecType, _Judge] = {
    SpecType.NUMBER: _number,
    SpecType.COUNT: _count,
    SpecType.TEXT: _text,
    SpecType.CHOICE: _choice,
    SpecType.FLAG: _flag,
    SpecType.WORDS: _list,
    SpecType.NUMBERS: _list,
    SpecType.TABLE: _list,
}
