"""A record in canonical form, and the columns that stand beside it."""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections.abc import Mapping
from typing import Any, Final

import orjson

from mountwright.bench.colours import lab_of
from mountwright.mounts.kinds import searched

Json = dict[str, Any]

#: Kinds of records that are no parts.
SKATE, FAMILY = "skate", "family"

#: Up to here a float tells every whole number from the next.
_WHOLE = 2.0**53

_WORD = re.compile(r"\w+")
_LAB = ("lab_l", "lab_a", "lab_b")
_SPAN = ("eu_size_from", "eu_size_to", "made_from", "made_to")


def canonical(record: Mapping[str, Any]) -> bytes:
    """Give a record as it is kept: nothing that is null or empty, mounts by place, keys sorted, no white space."""
    given = {name: value for name, below in record.items() if (value := _given(below)) not in _EMPTY}
    if "mounts" in given:
        given["mounts"] = sorted(given["mounts"], key=_place)
    return orjson.dumps(given, option=orjson.OPT_SORT_KEYS)


_EMPTY: Final[tuple[Any, ...]] = (None, [], {})


def _place(mount: Json) -> tuple[str, str]:
    return mount.get("position", ""), mount.get("side", "")


def _given(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {name: _given(below) for name, below in value.items() if below is not None}
    if isinstance(value, list | tuple):
        return [_given(below) for below in value]
    # 80.0 and 80 are one figure and have one form, as far as a float counts one by one.
    return int(value) if isinstance(value, float) and abs(value) < _WHOLE and value.is_integer() else value


def digest_of(document: bytes) -> bytes:
    """Give 16 bytes that tell documents apart."""
    return hashlib.sha256(document).digest()[:16]


def folded(text: str) -> str:
    """Give a text as a search compares it: without case and accents."""
    if text.isascii():
        return text.lower()
    apart = unicodedata.normalize("NFKD", text)
    # Last of all, for what stood for letters in one sign may be capitals.
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).casefold()


def words_of(text: str) -> list[str]:
    """Give the words of a text, folded, each once, in order."""
    return list(dict.fromkeys(_WORD.findall(folded(text))))


def article_columns(record: Mapping[str, Any]) -> Json:
    """Give the columns of an article's row, all but its signature."""
    document = canonical(record)
    sku = record["sku"]
    return {
        "sku": sku,
        "sku_reversed": sku[::-1],
        "kind": record["kind"],
        "name": record.get("name", ""),
        "name_folded": folded(record.get("name", "")),
        "maker_folded": folded(record.get("maker", "")),
        "family": record.get("family", ""),
        "gtin": record.get("gtin", ""),
        "colour_folded": folded(record.get("colour", "")),
        **article_lab(record),
        "side": record.get("side"),
        "checked_on": record.get("checked_on", ""),
        **{name: record.get(name) for name in (*_SPAN, "price_minor", "currency", "stock")},
        "digest": digest_of(document),
        "document": document.decode(),
    }


def article_words(record: Mapping[str, Any]) -> list[str]:
    """Give the words that an article is found by."""
    return words_of(" ".join(record.get(name, "") for name in ("name", "maker", "version")))


def article_figures(record: Mapping[str, Any]) -> dict[str, float]:
    """Give the figures that an article is looked for by, in the unit of their names."""
    specs = record.get("specs", {})
    return {name: float(specs[name]) for name in sorted(searched() & specs.keys())}


def article_lab(record: Mapping[str, Any]) -> dict[str, float | None]:
    """Give the columns of the colour that an article is looked for by, null where it has none."""
    given = record.get("colour_srgb")
    lab = None if given is None else lab_of(given)
    figures = (None,) * 3 if lab is None else (lab.lightness, lab.a, lab.b)
    return dict(zip(_LAB, figures, strict=True))


def span_key(record: Mapping[str, Any]) -> str:
    """Give what a family's span is known by: the family, its sizes and years."""
    ends = ("" if record.get(name) is None else f"{record[name]:g}" for name in _SPAN)
    return "|".join((record["family"], *ends))


def family_columns(record: Mapping[str, Any]) -> Json:
    """Give the row of a family's span."""
    document = canonical(record)
    return {
        "span": span_key(record),
        "family": record["family"],
        "parent": record.get("parent", ""),
        "digest": digest_of(document),
        "document": document.decode(),
    }
