"""From a SKU or a model's name to the skate or part that is meant, with what was measured on the one in hand."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from marshmallow import ValidationError

from mountwright.errors import CatalogueAwayError
from mountwright.messages import Fault
from mountwright.mounts.merging import merged_part
from mountwright.mounts.mount import Mount, Part
from mountwright.web.faults import fault
from mountwright.web.reading import part_built
from mountwright.web.shelf import MOST_VERSIONS
from mountwright.web.shelved import Shelved
from mountwright.web.workshop import Desk


class Left(NamedTuple):
    """A version of a model that may be meant, and the skate in hand if it is."""

    shelved: Shelved
    skate: Part


def skate_named(data: Mapping[str, Any], desk: Desk) -> Part:
    """Give the skate of a SKU, its measured mounts updated.

    Raises
    ------
    ValidationError
        When there is none, when it is a part, or for mounts that contradict themselves.
    """
    return _measured(_named(data["sku"], False, desk), data, desk)


def part_named(data: Mapping[str, Any], desk: Desk) -> Part:
    """Give the part of a SKU, its measured mounts updated.

    Raises
    ------
    ValidationError
        When there is none, when it is a skate or of another kind, or for mounts that contradict themselves.
    """
    shelved = _named(data["sku"], True, desk)
    if data.get("kind", shelved.record["kind"]) != shelved.record["kind"]:
        raise ValidationError({"kind": fault("request.other_kind", data["kind"], known=shelved.record["kind"])})
    return _measured(shelved, data, desk)


def article_named(sku: str, kind: str, desk: Desk) -> Shelved:
    """Give the article of a SKU that has to be of one kind.

    Raises
    ------
    ValidationError
        When there is none, or it is of another kind.
    """
    shelved = _shelved(sku, desk)
    found = _kind(shelved) or "skate"
    if found != kind:
        raise ValidationError({"sku": fault("request.sku_of_other_kind", sku, kind=kind, is_a=found)})
    return shelved


def mount_named(data: Mapping[str, Any], desk: Desk) -> Mount:
    """Give the mount of an article at the position that is asked about, with what was measured of it.

    Raises
    ------
    ValidationError
        When there is no such article.
    """
    shelved = _shelved(data["sku"], desk)
    registry = desk.workshop.registry
    (found,) = part_built(_kind(shelved), [data["mount"]], "", registry)[0].mounts
    mounts = merged_part(shelved.part, [found], registry).mounts
    return next(mount for mount in mounts if (mount.position, mount.side) == (found.position, found.side))


def versions_left(data: Mapping[str, Any], desk: Desk) -> tuple[Left, ...]:
    """Give the versions that a model's name may mean; those that speak against what was measured are out.

    Raises
    ------
    ValidationError
        When none has the name, size and year, or too many have.
    """
    found = desk.seen.versions if desk.seen is not None else ()
    if not found:
        raise ValidationError({"model": fault("request.unknown_model", data["model"]["name"])})
    if len(found) == MOST_VERSIONS:
        raise ValidationError({"model": fault("request.too_many_versions", data["model"]["name"])})
    left = [Left(shelved, _measured(shelved, data, desk)) for shelved in found]
    agreeing = [each for each in left if not _disputed(each.skate)]
    return tuple(agreeing or left)


def _shelved(sku: str, desk: Desk) -> Shelved:
    shelved = desk.seen.articles.get(sku) if desk.seen is not None else None
    if shelved is None:
        raise ValidationError({"sku": [unknown_sku(sku, desk)]})
    return shelved


def _named(sku: str, of_part: bool, desk: Desk) -> Shelved:
    shelved = _shelved(sku, desk)
    if shelved.signature.of_part != of_part:
        raise ValidationError({"sku": fault("request.not_a_part" if of_part else "request.not_a_skate", sku)})
    return shelved


def unknown_sku(sku: str, desk: Desk) -> Fault:
    """Give the fault of a SKU that is not there, with the nearest that is."""
    try:
        near = desk.workshop.shelf.near(sku)
    except CatalogueAwayError:
        near = None
    if near is None:
        return fault("request.unknown_sku", sku)[0]
    return fault("request.unknown_sku_near", sku, near=repr(near))[0]


def _measured(shelved: Shelved, data: Mapping[str, Any], desk: Desk) -> Part:
    if "mounts" not in data:
        return shelved.part
    found, faults = part_built(_kind(shelved), data["mounts"], data.get("name", ""), desk.workshop.registry)
    if faults:
        raise ValidationError({"mounts": faults})
    return merged_part(shelved.part, found.mounts, desk.workshop.registry)


def _disputed(skate: Part) -> bool:
    return any(pattern.disputes for mount in skate.mounts for pattern in mount.patterns)


def _kind(shelved: Shelved) -> str:
    return str(shelved.record["kind"]) if shelved.signature.of_part else ""
