"""What goes on a skate at a position, best first: each distinct set of mounts judged once, a page of articles given."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import orjson
from sqlalchemy import Connection

from mountwright.catalogue.candidates import articles_signed, signatures_with_a_chance, told_parts
from mountwright.catalogue.outcomes import tallies_of
from mountwright.catalogue.reading import Kept, articles_of
from mountwright.catalogue.search import Wanted
from mountwright.catalogue.signatures import Signature
from mountwright.fitting.evidence import Tally
from mountwright.fitting.fit_check import FitRequest
from mountwright.fitting.narrowing import Chance
from mountwright.fitting.ruling_out import wanted
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.mount import Part
from mountwright.web.answering import NOTHING_TOLD, parts_answered
from mountwright.web.memory import Given
from mountwright.web.shelved import Shelved
from mountwright.web.sorts import is_sku
from mountwright.web.workshop import Workshop

#: Distinct sets of mounts that one answer judges; a skate that much is known of has far fewer.
MOST_JUDGED = 500


class Place(NamedTuple):
    """Where a listing stands: by verdict, by the work it takes, by probability, by set of mounts, by SKU.

    ``told`` is the SKU of an article that somebody told of on this skate, and so stands by itself; empty for
    all others of its set of mounts.
    """

    rank: int
    needs: tuple[str, ...]
    improbability: float
    digest: str
    told: str
    sku: str

    @property
    def token(self) -> str:
        """Give the place as a page's address carries it."""
        return base64.urlsafe_b64encode(orjson.dumps(list(self))).decode().rstrip("=")


class Asked(NamedTuple):
    """Which candidates are asked for.

    Parameters
    ----------
    position : str
    wanted : Wanted
        What else is asked of a part.
    near : bool
        Also what nearly goes on.
    after : Place or None
    size : int
        Most parts of a page.
    """

    position: str
    wanted: Wanted
    near: bool
    after: Place | None
    size: int


class Candidate(NamedTuple):
    """A part that may go on, where it stands in the listing, and the answer about it."""

    place: Place
    shelved: Shelved
    given: Given


class Candidates(NamedTuple):
    """A page of candidates, how many sets of mounts were judged for it, and whether those are all there are."""

    page: Sequence[Candidate]
    next_after: Place | None
    judged: int
    complete: bool


class _Group(NamedTuple):
    """Articles with one set of mounts, that no report tells apart."""

    place: Place
    signature: Signature
    given: Given


def place_of(token: str) -> Place | None:
    """Give the place that a token stands for, None where it stands for none."""
    try:
        rank, needs, improbability, digest, told, sku = orjson.loads(base64.urlsafe_b64decode(token + "=" * 3))
        place = Place(int(rank), tuple(map(str, needs)), float(improbability), str(digest), str(told), str(sku))
        # A number that JSON reads but does not write is none of ours, either: writing it raises.
        is_ours = place.token == token and is_sku(place.sku)
    except (binascii.Error, OverflowError, TypeError, ValueError):
        return None
    return place if is_ours else None


def candidates_of(connection: Connection, skate: Shelved, asked: Asked, workshop: Workshop) -> Candidates:
    """Give a page of what goes on a skate, all read from one connection."""
    chances, rules = _chances(skate.part, asked.position, workshop), workshop.registry.rules_version
    found = signatures_with_a_chance(connection, asked.position, chances, rules, MOST_JUDGED)
    told = told_parts(connection, skate.sku)
    groups = _judged(connection, skate, asked.position, found.signatures, told, workshop)
    if not asked.near:
        groups = [group for group in groups if group.given.verdict is not Verdict.DOES_NOT_FIT]
    page = _page(connection, sorted(groups, key=lambda group: group.place), told, asked, workshop)
    more = len(page) > asked.size
    return Candidates(
        page[: asked.size], page[asked.size - 1].place if more else None, len(found.signatures), not found.more
    )


def _chances(skate: Part, position: str, workshop: Workshop) -> tuple[Chance, ...]:
    """Give what has a chance beside each of the skate's mounts; what was worked out before is remembered."""
    known = workshop.memory.chances(skate, position)
    if known is None:
        mounts = [mount for mount in skate.mounts if mount.position == position]
        known = tuple(wanted(mount, workshop.registry, workshop.estimates) for mount in mounts)
        workshop.memory.keep_chances(skate, position, known)
    return known


def _judged(
    connection: Connection,
    skate: Shelved,
    position: str,
    signatures: Sequence[Signature],
    told: Sequence[str],
    workshop: Workshop,
) -> list[_Group]:
    """Judge each set of mounts, and each article that somebody told of: it may go on whatever its mounts say."""
    apart = {sku: kept.signature for sku, kept in articles_of(connection, told).items()}
    tallies = tallies_of(connection, skate.sku, told)
    entries = [(signature, "") for signature in signatures]
    entries += [(each, sku) for sku, each in sorted(apart.items()) if _is_at(position, each, workshop)]
    answers = _answers(skate, entries, tallies, workshop)
    return [_group(signature, sku, given) for (signature, sku), given in zip(entries, answers, strict=True)]


def _is_at(position: str, signature: Signature, workshop: Workshop) -> bool:
    return any(mount.position == position for mount in workshop.shelf.part(signature).mounts)


def _answers(
    skate: Shelved, entries: Sequence[tuple[Signature, str]], tallies: Mapping[str, Tally], workshop: Workshop
) -> list[Given]:
    if not entries:
        return []
    parts = tuple(workshop.shelf.part(signature) for signature, _ in entries)
    told = tuple(tallies.get(sku, NOTHING_TOLD) for _, sku in entries)
    return parts_answered(FitRequest(skate.part, parts, tallies=told), workshop)


def _group(signature: Signature, sku: str, given: Given) -> _Group:
    place = Place(given.verdict.rank, given.needs, -given.probability, signature.digest, sku, "")
    return _Group(place, signature, given)


def _page(
    connection: Connection, groups: Sequence[_Group], told: Sequence[str], asked: Asked, workshop: Workshop
) -> list[Candidate]:
    """Give one candidate more than a page has, if there are so many."""
    page: list[Candidate] = []
    for group, after in _from(groups, asked.after):
        missing = asked.size + 1 - len(page)
        if not missing:
            break
        kept = _articles(connection, group, told, asked, after, missing)
        page += [
            Candidate(group.place._replace(sku=each.sku), workshop.shelf.shelved(each), group.given) for each in kept
        ]
    return page


def _articles(
    connection: Connection, group: _Group, told: Sequence[str], asked: Asked, after: str, most: int
) -> list[Kept]:
    """Give a group's articles; one that somebody told of is a group by itself, and left out of all others."""
    digest, alone = group.signature.digest, group.place.told
    if alone:
        return articles_signed(connection, digest, replace(asked.wanted, sku=alone), (), after, most)
    return articles_signed(connection, digest, asked.wanted, told, after, most)


def _from(groups: Sequence[_Group], after: Place | None) -> Iterator[tuple[_Group, str]]:
    """Give the groups that a page may have articles of, and the SKU that each begins after."""
    for group in groups:
        if after is None or group.place[:-1] > after[:-1]:
            yield group, ""
        elif group.place[:-1] == after[:-1]:
            yield group, after.sku
