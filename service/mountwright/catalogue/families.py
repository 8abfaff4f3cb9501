"""Families: mounts declared once for a run of sizes and years, inherited by the skates that name them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from graphlib import CycleError, TopologicalSorter
from typing import Any

import orjson
from sqlalchemy import Connection, bindparam, select

from mountwright.catalogue.documents import Json
from mountwright.catalogue.tables import FAMILIES
from mountwright.errors import FamilyCycleError

#: Spans of a family, by the family's key.
Spans = Mapping[str, Sequence[Json]]

_OF = select(FAMILIES.c.family, FAMILIES.c.document).where(FAMILIES.c.family.in_(bindparam("keys", expanding=True)))
_CHILDREN = select(FAMILIES.c.family).where(FAMILIES.c.parent.in_(bindparam("keys", expanding=True))).distinct()


def spans_of(connection: Connection, families: Iterable[str]) -> Spans:
    """Give the spans of families and of all that they inherit from."""
    found: dict[str, list[Json]] = {}
    wanted = {key for key in families if key}
    while wanted:
        for key in wanted:
            found[key] = []
        for family, document in connection.execute(_OF.order_by(FAMILIES.c.span), {"keys": sorted(wanted)}):
            found[family].append(orjson.loads(document))
        wanted = {span["parent"] for key in wanted for span in found[key] if "parent" in span} - found.keys()
    return found


def heirs_of(connection: Connection, families: Iterable[str]) -> set[str]:
    """Give families and all that inherit from them."""
    heirs: set[str] = set()
    wanted = set(families)
    while wanted:
        heirs |= wanted
        wanted = set(connection.scalars(_CHILDREN, {"keys": sorted(wanted)})) - heirs
    return heirs


def require_no_ring(spans: Spans) -> None:
    """Raise when a family inherits from itself.

    Raises
    ------
    FamilyCycleError
        With a ring, from the first of its families by key.
    """
    try:
        TopologicalSorter({family: parents_of(family, spans) for family in sorted(spans)}).prepare()
    except CycleError as error:
        # It names each before what inherits from it, and the first again at the end.
        ring = error.args[1][:0:-1]
        first = ring.index(min(ring))
        raise FamilyCycleError((*ring[first:], *ring[:first], ring[first])) from None


def parents_of(family: str, spans: Spans) -> list[str]:
    """Give what a family inherits from, each once, by key."""
    return sorted({span["parent"] for span in spans.get(family, ()) if "parent" in span})


def inherited(skate: Mapping[str, Any], spans: Spans) -> list[Json]:
    """Give the mounts that a skate inherits, those of its own family first.

    Parameters
    ----------
    skate : Mapping
        Its record; ``family`` names where it belongs.
    spans : Spans
        Of that family and of all that it inherits from.
    """
    mounts: list[Json] = []
    wanted = [skate["family"]] if skate.get("family") else []
    while wanted:
        for family in wanted:
            mounts += [
                mount for span in spans.get(family, ()) if _covers(span, skate) for mount in span.get("mounts", ())
            ]
        wanted = sorted({parent for family in wanted for parent in parents_of(family, spans)})
    return mounts


def is_split(skate: Mapping[str, Any], spans: Spans) -> bool:
    """Tell whether some span that a skate may inherit from holds for a part of its sizes or years only.

    Of its own family any; of those farther up one with a mount that no nearer family has for all of the skate.

    Parameters
    ----------
    skate : Mapping
        Its record; ``family`` names where it belongs.
    spans : Spans
        Of that family and of all that it inherits from.
    """
    given: set[tuple[str, str]] = set()
    wanted = [skate["family"]]
    while wanted:
        level = [span for family in wanted for span in spans.get(family, ()) if _overlaps(span, skate)]
        torn = [span for span in level if not _covers(span, skate)]
        if any(wanted == [skate["family"]] or _places(span) - given for span in torn):
            return True
        given.update(place for span in level for place in _places(span))
        wanted = sorted({parent for family in wanted for parent in parents_of(family, spans)})
    return False


def _places(span: Mapping[str, Any]) -> set[tuple[str, str]]:
    return {(mount["position"], mount.get("side", "")) for mount in span.get("mounts", ())}


_RUNS = (("eu_size_from", "eu_size_to"), ("made_from", "made_to"))


def _covers(span: Mapping[str, Any], skate: Mapping[str, Any]) -> bool:
    return all(
        _least(span, low) <= _least(skate, low) and _most(skate, high) <= _most(span, high) for low, high in _RUNS
    )


def _overlaps(span: Mapping[str, Any], skate: Mapping[str, Any]) -> bool:
    return all(
        _least(span, low) <= _most(skate, high) and _least(skate, low) <= _most(span, high) for low, high in _RUNS
    )


def _least(record: Mapping[str, Any], name: str) -> float:
    found: float | None = record.get(name)
    return float("-inf") if found is None else found


def _most(record: Mapping[str, Any], name: str) -> float:
    found: float | None = record.get(name)
    return float("inf") if found is None else found
