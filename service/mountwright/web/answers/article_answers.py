"""Skates and parts of the catalogue as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

import orjson

from mountwright.catalogue.documents import SKATE
from mountwright.catalogue.outcomes import Returns
from mountwright.catalogue.reading import Kept
from mountwright.catalogue.versions import Version
from mountwright.fitting.evidence import Correction
from mountwright.messages import Messages
from mountwright.mounts.installed import not_installed
from mountwright.mounts.mount import Part
from mountwright.mounts.registry import Registry
from mountwright.web.paging import Links
from mountwright.web.sorts import Sort

Json = dict[str, Any]

#: What no rule reads in a mount, and what is therefore not in an article's mounts as they are judged.
_UNREAD = "source"


class Told(NamedTuple):
    """All that there is to tell of one article, read from one version.

    Parameters
    ----------
    kept : Kept
    contents : Mapping[str, Kept]
        The parts that it comes with, by SKU.
    returns : Returns
    """

    kept: Kept
    contents: Mapping[str, Kept]
    returns: Returns


def page_json(sort: Sort, articles: Iterable[Kept], links: Links, version: Version) -> Json:
    """Give a page of records, as they are kept."""
    records = [orjson.Fragment(article.document) for article in articles]
    return {sort.value: records, "next": links.next, "catalogue": version.label}


def article_json(told: Told, part: Part, registry: Registry, messages: Messages) -> Json:
    """Give an article: its record, what it is judged by, what it comes with, and what came back of it.

    Parameters
    ----------
    told : Told
    part : Part
        That its signature stands for.
    registry : Registry
    messages : Messages
    """
    record = orjson.loads(told.kept.document)
    absent = not_installed(part.mounts, registry)
    return {
        "record": orjson.Fragment(told.kept.document),
        "mounts": list(_mounts(record, told)),
        **({"comes_with": _contents(record, told.contents)} if record["kind"] == SKATE else {}),
        "not_installed": [{"position": each.position, "standard": each.standard} for each in absent],
        "paused": told.returns.is_paused,
        "returns": [{"cause": each.cause, "count": each.count, "used": each.used} for each in told.returns.by_cause],
        "to_correct": [_correction(each, messages) for each in told.returns.corrections],
    }


def _mounts(record: Json, told: Told) -> Iterator[Json]:
    """Give the mounts by which an article is judged, each with where it comes from."""
    own = {_place(mount): _read_of(mount) for mount in record.get("mounts", ())}
    bringing = _bringing(record, told.contents)
    for kind, mount in told.kept.signature.owned:
        if kind and record["kind"] == SKATE:
            yield {"origin": "part", "sku": next(bringing, None), "mount": mount}
        else:
            yield {"origin": _origin(mount, own), "sku": None, "mount": mount}


def _origin(mount: Json, own: Mapping[tuple[str, str], Json]) -> str:
    """Tell whether a mount is the article's own, its family's, or its own with figures of its family's."""
    declared = own.get(_place(mount))
    if declared is None:
        return "family"
    return "own" if declared == mount else "own_and_family"


def _place(mount: Json) -> tuple[str, str]:
    return mount["position"], mount.get("side", "")


def _read_of(mount: Json) -> Json:
    return {name: value for name, value in mount.items() if name != _UNREAD}


def _bringing(record: Json, contents: Mapping[str, Kept]) -> Iterator[str]:
    """Give the SKU of the part behind each mount that a skate has from its parts, in order."""
    for content in record.get("comes_with", ()):
        brought = contents.get(content["sku"])
        for _ in [] if brought is None else orjson.loads(brought.document).get("mounts", ()):
            yield content["sku"]


def _contents(record: Json, contents: Mapping[str, Kept]) -> list[Json]:
    found = []
    for content in record.get("comes_with", ()):
        kept = contents.get(content["sku"])
        part = {} if kept is None else orjson.loads(kept.document)
        found.append({**content, "kind": part.get("kind"), "name": part.get("name")})
    return found


def _correction(correction: Correction, messages: Messages) -> Json:
    params = {
        "cause": correction.cause,
        "fields": ", ".join(correction.fields),
        "returns": correction.returns,
        "used": correction.used,
    }
    code = "returns.to_correct"
    return {
        **params,
        "fields": list(correction.fields),
        "pauses": correction.pauses,
        "code": code,
        "params": params,
        "message": messages.text(code, params),
    }
