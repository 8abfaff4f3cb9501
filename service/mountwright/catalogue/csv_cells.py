"""What a cell holds: a text, a number, some words, a list … read and written."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from enum import StrEnum
from typing import Any, NamedTuple

import orjson

from mountwright.catalogue.strict_json import parsed
from mountwright.messages import Fault, shown


class Shape(StrEnum):
    """What a column's cells hold."""

    TEXT = "text"
    NUMBER = "number"
    FLAG = "flag"
    WORDS = "words"
    NUMBERS = "numbers"
    CONTENTS = "contents"
    JSON = "json"


class Form(NamedTuple):
    """How a cell is read and written.

    Parameters
    ----------
    read : callable
        From a cell with something in it to its value, None where it is blank, or what is wrong with it.
    written : callable
        From a value to a cell that reads back as it.
    """

    read: Callable[[str], Any]
    written: Callable[[Any], str]


def forms(*, decimal_comma: bool) -> Mapping[Shape, Form]:
    """Give how each shape is read and written, with a decimal point or a decimal comma."""
    number = Form(_with_comma, _comma_number) if decimal_comma else Form(_with_point, _number)
    return {
        Shape.TEXT: Form(_text, _text),
        Shape.NUMBER: number,
        Shape.FLAG: Form(_flag, _flag_cell),
        Shape.WORDS: Form(_words, " ".join),
        Shape.NUMBERS: Form(lambda cell: _each(number.read, cell), lambda found: " ".join(map(number.written, found))),
        Shape.CONTENTS: Form(_contents, _contents_cell),
        Shape.JSON: Form(_json, _json_cell),
    }


def _text(cell: str) -> str:
    return cell


_POINT = re.compile(r"-?\d{1,400}(?:\.\d{1,400})?(?:[eE][+-]?\d{1,3})?", re.ASCII)
_COMMA = re.compile(r"-?\d{1,400}(?:,\d{1,400})?(?:[eE][+-]?\d{1,3})?", re.ASCII)

#: Whole numbers of so many digits are not read by way of a float.
_WHOLE_DIGITS = 18


def _with_point(cell: str) -> float | Fault | None:
    text = cell.strip()
    if _POINT.fullmatch(text):
        return _value(text)
    if not text:
        return None
    return Fault("import.decimal_comma" if _COMMA.fullmatch(text) else "request.not_number", {"found": shown(cell)})


def _with_comma(cell: str) -> float | Fault | None:
    text = cell.strip()
    if _COMMA.fullmatch(text):
        return _value(text.replace(",", "."))
    if not text:
        return None
    return Fault("import.decimal_point" if _POINT.fullmatch(text) else "request.not_number", {"found": shown(cell)})


def _value(text: str) -> float | Fault:
    if len(text) <= _WHOLE_DIGITS and text.lstrip("-").isdecimal():
        return int(text)
    value = float(text)
    if not math.isfinite(value):
        return Fault("request.not_number", {"found": shown(text)})
    return _plain(value)


def _plain(value: float) -> float:
    """Give a whole number as an integer: 80.0 and 80 are one figure."""
    return int(value) if abs(value) < 2**53 and value == int(value) else value


def _number(value: float) -> str:
    return repr(_plain(value))


def _comma_number(value: float) -> str:
    return _number(value).replace(".", ",")


def _flag(cell: str) -> bool | Fault | None:
    text = cell.strip().lower()
    if text in ("true", "false"):
        return text == "true"
    return Fault("request.not_flag") if text else None


def _flag_cell(value: bool) -> str:
    return "true" if value else "false"


def _words(cell: str) -> list[str] | None:
    return cell.split() or None


def _each(read: Callable[[str], Any], cell: str) -> Any:
    """Give each word of a cell as it reads, None where there is none, or what is wrong with the first bad one."""
    found = [read(word) for word in cell.split()]
    return next((each for each in found if isinstance(each, Fault)), found or None)


_CONTENT = re.compile(r"([^*\s]+)\*(\d{1,9})", re.ASCII)


def _contents(cell: str) -> Any:
    return _each(_content, cell)


def _content(word: str) -> dict[str, Any] | Fault:
    match = _CONTENT.fullmatch(word)
    if match is None:
        return Fault("import.contents", {"found": shown(word)})
    return {"sku": match[1], "count": int(match[2])}


def _contents_cell(contents: list[dict[str, Any]]) -> str:
    return " ".join(f"{content['sku']}*{content['count']}" for content in contents)


def _json(cell: str) -> Any:
    return parsed(cell) if cell.strip() else None


def _json_cell(value: Any) -> str:
    return orjson.dumps(value, option=orjson.OPT_SORT_KEYS).decode()
