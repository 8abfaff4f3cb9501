"""Finds the parts that go on a skate near a colour: nearest first, judged one set of mounts after the other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, compress, groupby
from operator import itemgetter
from typing import NamedTuple

from sqlalchemy import Connection

from mountwright.bench.colour_box import box_around, least_differences
from mountwright.bench.colours import SHOWN_TO, Lab, differences_from, edges, shown
from mountwright.catalogue.candidates import told_parts
from mountwright.catalogue.colours import (
    InColour,
    articles_in_colour,
    colours_within,
    signatures_left,
    skus_of_colour,
    without_colour,
)
from mountwright.catalogue.outcomes import tallies_of
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.signatures import Signature
from mountwright.fitting.evidence import Tally
from mountwright.fitting.fit_check import FitRequest, is_offered
from mountwright.fitting.narrowing import Chance
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.versions import SkateVersion, VersionsRequest
from mountwright.mounts.mount import Part
from mountwright.web.answering import NOTHING_TOLD, over_versions_answered, parts_answered
from mountwright.web.colours.asked import Match, Matches, Search
from mountwright.web.memory import Given
from mountwright.web.workshop import Workshop

#: Distinct sets of mounts that one answer judges.
MOST_JUDGED = 500

#: So many sets of mounts are read at a time.
_AT_A_TIME = 128

#: What was told of each part on a skate, skate by skate.
Told = Sequence[Mapping[str, Tally]]


class _Near(NamedTuple):
    """A part that may go on, by its place in the answer."""

    difference: float
    sku: str
    given: Given


def matches_of(connection: Connection, search: Search, workshop: Workshop) -> Matches:
    """Give the parts that are looked for, all read from one connection."""
    found = _Search(connection, search, workshop)
    near = found.nearest()
    articles = articles_of(connection, (each.sku for each in near[: search.limit]))
    return Matches(
        [
            Match(each.difference, workshop.shelf.shelved(articles[each.sku]), each.given)
            for each in near[: search.limit]
        ],
        len(near) > search.limit,
        found.judge.judged,
        not found.judge.is_tired,
        without_colour(connection, search.coloured),
    )


class _Search:
    """One search: rings of colours around the wanted one, until there are parts enough."""

    def __init__(self, connection: Connection, search: Search, workshop: Workshop) -> None:
        self._connection, self._search, self._workshop = connection, search, workshop
        told = {each.sku: told_parts(connection, each.sku) for each in search.skates if each.sku}
        self._told = sorted({*chain.from_iterable(told.values())})
        tallies = [tallies_of(connection, each.sku, told[each.sku]) if each.sku else {} for each in search.skates]
        self.judge = _Judge(connection, search, tallies, workshop)
        #: Of the colours that were compared so far: a wider ring holds those of the one within it, too.
        self._differences: dict[Lab, float] = {}

    def nearest(self) -> list[_Near]:
        """Give the nearest parts, by difference and then by SKU; one more than is asked for if there are so many."""
        told = list(self._told_of()) if self._told else []
        found: list[_Near] = []
        for within in _rings(self._search.within):
            found = sorted([*(each for each in told if each.difference <= within), *self._ring(within)])
            if len(found) > self._search.limit or self.judge.is_tired:
                break
        return found[: self._search.limit + 1]

    def _told_of(self) -> Iterator[_Near]:
        """Yield the parts that somebody told of on the skate: each may go on whatever its mounts say."""
        coloured = articles_in_colour(self._connection, self._told, self._search.coloured)
        differences = differences_from(self._search.lab, [lab for lab, _ in coloured])
        for difference, (_, article) in zip(differences, coloured, strict=True):
            given = self.judge.given(self._workshop.shelf.part(article.signature), article.sku)
            if given.verdict is not Verdict.DOES_NOT_FIT:
                yield _Near(shown(difference), article.sku, given)

    def _ring(self, within: float) -> list[_Near]:
        """Give the nearest parts of no greater difference that nobody told of: enough of them, or all."""
        groups = self._groups(within)
        self.judge.expect(each.signature for _, each in groups)
        found: list[_Near] = []
        for difference, alike in groupby(groups, key=itemgetter(0)):
            missing = self._search.limit + 1 - len(found)
            if missing <= 0 or self.judge.is_tired:
                break
            found += self._alike(difference, [each for _, each in alike], missing)
        return found

    def _groups(self, within: float) -> list[tuple[float, InColour]]:
        """Give colours that differ no more, nearest first, each with every set of mounts that it comes in."""
        wanted, reach = self._search.lab, within + SHOWN_TO
        groups = colours_within(self._connection, box_around(wanted, reach), self._search.coloured, self._told)
        colours = [lab for lab in dict.fromkeys(each.lab for each in groups) if lab not in self._differences]
        colours = list(compress(colours, least_differences(wanted, colours) <= reach))
        self._differences.update(zip(colours, map(shown, differences_from(wanted, colours)), strict=True))
        near = ((self._differences[each.lab], each) for each in groups if each.lab in self._differences)
        return sorted((each for each in near if each[0] <= within), key=itemgetter(0))

    def _alike(self, difference: float, groups: Iterable[InColour], most: int) -> list[_Near]:
        """Give the first parts of one difference that go on, in order of SKU."""
        going = [(each, given) for each in groups if (given := self.judge.going(each.signature)) is not None]
        near = (_Near(difference, sku, given) for each, given in going for sku in self._skus(each, most))
        return sorted(near)[:most]

    def _skus(self, group: InColour, most: int) -> list[str]:
        if group.there_are == 1:
            return [group.first]
        search = self._search
        return skus_of_colour(self._connection, group.lab, [group.signature], search.coloured, self._told, most)


class _Judge:
    """Says of sets of mounts whether they go on, each of them once."""

    def __init__(self, connection: Connection, search: Search, told: Told, workshop: Workshop) -> None:
        self._connection, self._search, self._told, self._workshop = connection, search, told, workshop
        self._chances = tuple(_chances([each.part for each in search.skates], workshop))
        self._expected: dict[int, None] = {}
        self._read: dict[int, Signature | None] = {}
        self._going: dict[int, Given | None] = {}
        self.judged = 0

    @property
    def is_tired(self) -> bool:
        """Tell whether it has judged as many as one answer may."""
        return self.judged >= MOST_JUDGED

    def expect(self, numbers: Iterable[int]) -> None:
        """Take note of what will be asked about, in this order, so that it is read many at a time."""
        self._expected = dict.fromkeys(number for number in numbers if number not in self._read)

    def going(self, number: int) -> Given | None:
        """Give the answer about parts with a set of mounts, None where they do not go on.

        Once it is tired, it takes none that it has not seen.
        """
        if number not in self._going:
            signature = self._signature(number)
            if signature is not None and self.is_tired:
                return None
            self._going[number] = None if signature is None else self._judged(signature)
        return self._going[number]

    def given(self, part: Part, sku: str = "") -> Given:
        """Give the answer about a part; its SKU, where somebody may have told of it."""
        skates = self._search.skates
        tallies = [told.get(sku, NOTHING_TOLD) for told in self._told]
        asked = [
            FitRequest(skate.part, (part,), tallies=(tally,)) for skate, tally in zip(skates, tallies, strict=True)
        ]
        if len(asked) == 1:
            return parts_answered(asked[0], self._workshop)[0]
        versions = [
            SkateVersion(skate.sku, skate.version, skate.mark, each) for skate, each in zip(skates, asked, strict=True)
        ]
        return over_versions_answered(VersionsRequest(tuple(versions)), self._workshop)[0]

    def _judged(self, signature: Signature) -> Given | None:
        self.judged += 1
        given = self.given(self._workshop.shelf.part(signature))
        return None if given.verdict is Verdict.DOES_NOT_FIT else given

    def _signature(self, number: int) -> Signature | None:
        """Give a set of mounts, None where the index says that it does not go on."""
        if number not in self._read:
            waiting = [number, *(each for each in self._expected if each != number)][:_AT_A_TIME]
            rules = self._workshop.registry.rules_version
            left = signatures_left(self._connection, waiting, self._chances, rules)
            for each in waiting:
                self._expected.pop(each, None)
                self._read[each] = left.get(each)
        return self._read[number]


def _rings(within: float) -> list[float]:
    """Give ever greater differences: mostly the first has parts enough."""
    return [*(edge.below for edge in edges().values() if edge.below < within), within]


def _chances(skates: Sequence[Part], workshop: Workshop) -> Iterator[tuple[str, tuple[Chance, ...]]]:
    """Yield what every skate lets a part's mount be, where nothing that is refused could be replaced along with it."""
    registry = workshop.registry
    for position in sorted(set.intersection(*({mount.position for mount in skate.mounts} for skate in skates))):
        mounts = [mount for skate in skates for mount in skate.mounts if mount.position == position]
        if all(is_offered(position, mount.side, registry) for mount in mounts):
            yield position, tuple(dict.fromkeys(workshop.chance(mount) for mount in mounts))
