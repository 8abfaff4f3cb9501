"""Puts skates and parts into the catalogue and takes them out, one at a time, each in one transaction."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from http import HTTPStatus
from typing import Final

from flask import Response, request
from sqlalchemy import Connection

from mountwright.catalogue.documents import Json
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.rows import Misplaced
from mountwright.catalogue.signing import Unresolved
from mountwright.catalogue.spelling import near
from mountwright.catalogue.versions import Version, version_of
from mountwright.catalogue.writing import Writing
from mountwright.web.caching import VERSION_HEADER, VERSION_SAID, tag_of
from mountwright.web.faults import fault
from mountwright.web.parsing import Question
from mountwright.web.problems import Problem, refused
from mountwright.web.records import faults_of, mount_reader
from mountwright.web.showing import Shown, missing, require_sku, require_sort, shown, shown_in
from mountwright.web.sorts import Sort
from mountwright.web.workshop import Workshop

AS_SEEN: Final[Mapping[str, str]] = {
    "If-Match": "ETag that GET gave, or *; 412 where what is there is another.",
    "If-None-Match": "* to keep only what is new; 412 where something is there.",
}

PLACE_SAID: Final[Mapping[str, str]] = {**VERSION_SAID, "Location": "Path of the article."}

#: Of the skates that come with a part, so many are named.
_MOST_NAMED = 5


def article_stocked(question: Question, sku: str, sort: Sort, workshop: Workshop) -> Response:
    """Keep an article under its SKU, and give the answer that shows it: 201 where it is new.

    Raises
    ------
    Problem
        422 with every fault, 409 where the SKU is one of the other sort's, 412 where what was there is not what
        the caller has seen.
    CatalogueAwayError
        When the database cannot be written to.
    """
    record = _judged(question.asked, sku, sort, workshop)
    with workshop.engines.writing() as connection:
        writing = _writing(connection, workshop)
        before = shown_in(connection, sku, workshop)
        _require_free(before, sku, sort)
        _require_as_seen(before)
        _require_resolved(writing.add_articles([record]), workshop)
        version = writing.finish() or version_of(connection)
        after = shown(articles_of(connection, [sku])[sku], connection, workshop)
    workshop.shelf.noted(version)
    return _stocked(after, before is None, version)


def article_removed(sku: str, sort: Sort, workshop: Workshop) -> Response:
    """Take an article out of the catalogue, and give the answer to that.

    Raises
    ------
    Problem
        404 for none and for one of the other sort, 409 for a part that skates come with, 412 where what is there
        is not what the caller has seen.
    CatalogueAwayError
        When the database cannot be written to.
    """
    require_sku(sku)
    with workshop.engines.writing() as connection:
        writing = _writing(connection, workshop)
        before = shown_in(connection, sku, workshop)
        if before is None:
            raise missing(sku, near(connection, sku))
        require_sort(before, sku, sort)
        _require_as_seen(before)
        _require_unheld(writing.holders_of(sku), sku)
        writing.remove_article(sku)
        version = writing.finish() or version_of(connection)
    workshop.shelf.noted(version)
    return Response(status=HTTPStatus.NO_CONTENT, headers={VERSION_HEADER: version.label})


def _writing(connection: Connection, workshop: Workshop) -> Writing:
    return Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)


def _judged(given: Json, sku: str, sort: Sort, workshop: Workshop) -> Json:
    """Give the record to keep.

    Raises
    ------
    Problem
        422 with everything that is wrong with it.
    """
    record = {"sku": sku, **given}
    faults = [*_misplaced(record, sku, sort), *_ill_formed(record, sort, workshop)]
    if faults:
        raise refused(faults, workshop.messages)
    return record


def _misplaced(record: Json, sku: str, sort: Sort) -> Iterator[Misplaced]:
    """Give what does not go with the path."""
    if isinstance(record["sku"], str) and record["sku"] != sku:
        yield Misplaced("/sku", *fault("request.other_sku", record["sku"], expected=sku)[0])
    if not _is_of(record, sort):
        yield Misplaced("/kind", *fault("request.choice", record["kind"], known=", ".join(sort.kinds))[0])


def _ill_formed(record: Json, sort: Sort, workshop: Workshop) -> list[Misplaced]:
    """Give what is wrong by itself; a kind that does not go with the path is left out, and all else judged."""
    if _is_of(record, sort):
        return faults_of(record, workshop)
    rest = {name: value for name, value in record.items() if name != "kind"}
    return [found for found in faults_of(rest, workshop) if found.pointer != "/kind"]


def _is_of(record: Json, sort: Sort) -> bool:
    return "kind" not in record or record["kind"] in sort.kinds


def _require_free(before: Shown | None, sku: str, sort: Sort) -> None:
    if before is not None and before.sort is not sort:
        raise Problem(HTTPStatus.CONFLICT, "sku_taken", {"sku": sku, "place": before.sort.place(sku)})


def _require_as_seen(before: Shown | None) -> None:
    """Hold what is there against what the caller says to have seen (RFC 9110, 13.1)."""
    seen, unseen = request.if_match, request.if_none_match
    tag = None if before is None else tag_of(before.body)
    changed = bool(seen) and (tag is None or not seen.contains(tag))
    if changed or (unseen and tag is not None and unseen.contains_weak(tag)):
        raise Problem(HTTPStatus.PRECONDITION_FAILED, "not_as_seen")


def _require_resolved(unresolved: Iterable[Unresolved], workshop: Workshop) -> None:
    faults = [Misplaced(each.pointer, each.code, each.params) for each in unresolved]
    if faults:
        raise refused(faults, workshop.messages)


def _require_unheld(holders: list[str], sku: str) -> None:
    if holders:
        named = ", ".join(holders[:_MOST_NAMED]) + (", …" if len(holders) > _MOST_NAMED else "")
        raise Problem(HTTPStatus.CONFLICT, "part_held", {"sku": sku, "count": len(holders), "skates": named})


def _stocked(after: Shown, is_new: bool, version: Version) -> Response:
    place = request.script_root + request.path
    # No ETag: the body is not what was sent, and RFC 9110, 9.3.4, has none then.
    headers = {VERSION_HEADER: version.label, "Content-Location": place, **({"Location": place} if is_new else {})}
    status = HTTPStatus.CREATED if is_new else HTTPStatus.OK
    return Response(after.body, status, headers, mimetype="application/json")
