"""Checks records before the catalogue keeps them, by the installed standards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

import orjson
from marshmallow import ValidationError
from marshmallow.experimental.context import Context

from mountwright.catalogue.documents import FAMILY
from mountwright.catalogue.importing import Checks
from mountwright.catalogue.rows import Misplaced
from mountwright.catalogue.signatures import MountReader
from mountwright.mounts.registry import Registry
from mountwright.web.problems import pointed
from mountwright.web.reading import mount_read
from mountwright.web.schemas.articles import ArticleSchema, FamilySchema
from mountwright.web.workshop import Desk, Workshop

_ARTICLE: Final = ArticleSchema()
_FAMILY: Final = FamilySchema()


def faults_of(record: Mapping[str, Any], workshop: Workshop) -> list[Misplaced]:
    """Give everything that is wrong with a record; nothing where it may be kept."""
    if _has_nul(record):
        return [Misplaced(pointer, "request.nul", {}) for pointer in _nuls(record, "")]
    is_family = record.get("kind") == FAMILY
    mounts = _mounts_in(record)
    if not is_family and len(mounts) <= 1 and all(map(workshop.memory.is_good, mounts)):
        others = {name: value for name, value in record.items() if name != "mounts"}
        if _ARTICLE.is_plainly_right(others):
            return []
    try:
        with Context(Desk(workshop)):
            (_FAMILY if is_family else _ARTICLE).load(record)
    except ValidationError as error:
        return [Misplaced(pointer, *fault) for pointer, fault in pointed(error.messages)]
    for mount in mounts:
        workshop.memory.keep_good(mount)
    return []


def _has_nul(value: Any) -> bool:
    """Tell whether a text in a record has a NUL character: PostgreSQL keeps none, and so no catalogue does."""
    if type(value) is str:
        return "\0" in value
    if type(value) is dict:
        return any(map(_has_nul, value)) or any(map(_has_nul, value.values()))
    return type(value) is list and any(map(_has_nul, value))


def _nuls(value: Any, place: str) -> Iterator[str]:
    """Give the places of the texts, and of the names, that have one."""
    if type(value) is not dict and type(value) is not list:
        yield from [place] if _has_nul(value) else []
        return
    for step, below in value.items() if type(value) is dict else enumerate(value):
        there = f"{place}/{str(step).replace('~', '~0').replace('/', '~1')}"
        yield from [there] if _has_nul(step) else _nuls(below, there)


def _mounts_in(record: Mapping[str, Any]) -> list[bytes]:
    """Give the texts of a record's mounts; one that is no list of them goes the long way."""
    given = record.get("mounts", [])
    return [orjson.dumps(mount) for mount in given] if type(given) is list else [b""]


def notes_on(record: Mapping[str, Any], registry: Registry) -> list[Misplaced]:
    """Give what is worth a word though the record may be kept: standards that are not installed."""
    return [
        Misplaced(pointer, "import.not_installed", {"standard": standard})
        for pointer, standard in _claims(record)
        if standard not in registry.standards
    ]


def mount_reader(registry: Registry) -> MountReader:
    """Give what reads the mounts of a signature by the installed standards."""
    return lambda owned: [mount_read(mount, registry, kept=True)[0] for _, mount in owned]


def checks_of(workshop: Workshop) -> Checks:
    """Give what an import judges its records with."""
    registry = workshop.registry
    return Checks(
        faults_of=lambda record: faults_of(record, workshop),
        notes_on=lambda record: notes_on(record, registry),
        read_mounts=mount_reader(registry),
        rules=registry.rules_version,
    )


def _claims(record: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    for number, mount in enumerate(record.get("mounts", ())):
        if "standard" in mount:
            yield f"/mounts/{number}/standard", mount["standard"]
        for place, pattern in enumerate(mount.get("patterns", ())):
            if "standard" in pattern:
                yield f"/mounts/{number}/patterns/{place}/standard", pattern["standard"]
