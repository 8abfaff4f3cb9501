"""JSON as the catalogue takes it: finite numbers, each name once, and no more levels than any record needs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

import orjson

from mountwright.messages import Fault, shown

#: Levels of objects and lists, the most.
MOST_LEVELS = 32


class _TwiceError(Exception):
    """Ends the search for a name that is given twice."""


def parsed(text: str) -> Any | Fault:
    """Give the value of a JSON text, or what is wrong with the text."""
    try:
        value = orjson.loads(text)
    except orjson.JSONDecodeError as error:
        return Fault("import.bad_json", {"detail": error.msg, "place": error.pos + 1})
    if text.count("{") + text.count("[") > MOST_LEVELS and _is_deeper(value, MOST_LEVELS):
        return Fault("import.too_deep", {"limit": MOST_LEVELS})
    return _twice(text, value) or value


def _is_deeper(value: Any, levels: int) -> bool:
    below = value.values() if isinstance(value, dict) else value if isinstance(value, list) else None
    return below is not None and (levels == 0 or any(_is_deeper(each, levels - 1) for each in below))


def _twice(text: str, value: Any) -> Fault | None:
    """Look for a name that an object has twice: orjson takes the last and says nothing."""
    if orjson.dumps(value) == text.strip().encode():
        return None  # the same again, letter by letter: nothing was dropped
    try:
        json.loads(text, object_pairs_hook=_told_apart)
    except _TwiceError as error:
        return Fault("import.name_twice", {"found": shown(error.args[0])})
    return None


def _told_apart(pairs: Sequence[tuple[str, Any]]) -> None:
    seen: set[str] = set()
    for name, _ in pairs:
        if name in seen:
            raise _TwiceError(name)
        seen.add(name)
