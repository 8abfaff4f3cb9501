"""Mounts are read anew after the installed standards have changed, and nothing else is."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import select

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Checks
from mountwright.catalogue.reindexing import reindexed
from mountwright.catalogue.signatures import MountReader, Owned
from mountwright.catalogue.tables import SIGNATURE_FIGURES, SIGNATURE_MOUNTS, SIGNATURES
from mountwright.catalogue.versions import Version, version_of
from mountwright.catalogue.writing import Writing
from mountwright.mounts.mount import Mount

Json = dict[str, Any]

SPACING = {"hole_spacing_mm": {"value": 195.0, "instrument": "caliper"}}
MOUNT: Json = {"position": "frame", "standard": "two-bolt-195", "claimed_by": "maker", "dimensions": SPACING}
FRAME: Json = {"sku": "towpath", "kind": "frame", "name": "Towpath", "mounts": [MOUNT]}
SKATE: Json = {"sku": "lantern", "kind": "skate", "name": "Lantern", "mounts": [MOUNT]}


def keep(engines: Engines, read_mounts: MountReader, rules: str, *records: Json) -> None:
    """Keep articles, their mounts read by some rules."""
    with engines.writing() as connection:
        writing = Writing(connection, read_mounts, rules)
        assert [] == writing.add_articles(records)
        writing.finish()


def index(engines: Engines) -> list[Sequence[tuple[Any, ...]]]:
    """Give the index of mounts, row by row."""
    with engines.reading() as connection:
        tables = (SIGNATURES, SIGNATURE_MOUNTS, SIGNATURE_FIGURES)
        return [sorted(map(tuple, connection.execute(select(table)))) for table in tables]


def version(engines: Engines) -> Version:
    """Give the catalogue's version."""
    with engines.reading() as connection:
        return version_of(connection)


def without_figures(checks: Checks) -> MountReader:
    """Give rules that know no dimension."""

    def read(owned: Sequence[Owned]) -> Sequence[Mount]:
        return checks.read_mounts(
            [(kind, {name: value for name, value in mount.items() if name != "dimensions"}) for kind, mount in owned]
        )

    return read


def test_the_index_is_that_of_the_rules_at_hand(engines: Engines, checks: Checks) -> None:
    """Read anew, it is what it would be had the new rules read it in the first place."""
    keep(engines, checks.read_mounts, checks.rules, FRAME, SKATE)
    right = index(engines)
    assert 2 == reindexed(engines, without_figures(checks), "other")
    changed = index(engines)
    assert 2 == reindexed(engines, checks.read_mounts, checks.rules)

    assert (right, []) == (index(engines), changed[2])


def test_what_the_rules_at_hand_have_read_is_left_alone(engines: Engines, checks: Checks) -> None:
    """Only what others have read is read again."""
    keep(engines, checks.read_mounts, "earlier", FRAME)
    keep(engines, checks.read_mounts, checks.rules, SKATE)

    assert [1, 0] == [reindexed(engines, checks.read_mounts, checks.rules) for _ in range(2)]


def test_a_parts_mounts_stay_a_parts(engines: Engines, checks: Checks) -> None:
    """The same mounts on a skate and on a frame are told apart afterwards as before."""
    keep(engines, checks.read_mounts, "earlier", FRAME, SKATE)
    reindexed(engines, checks.read_mounts, checks.rules)

    assert [False, True] == sorted(row[-1] for row in index(engines)[1])


def test_a_part_whose_mounts_could_not_be_read_is_a_part_once_they_can(engines: Engines, checks: Checks) -> None:
    """Rules that read none of its mounts leave nothing in the index that could say so."""
    keep(engines, lambda _: [], "earlier", FRAME, SKATE)
    reindexed(engines, checks.read_mounts, checks.rules)

    assert [False, True] == sorted(row[-1] for row in index(engines)[1])


def test_the_catalogue_stays_of_its_version(engines: Engines, checks: Checks) -> None:
    """An index is no content."""
    keep(engines, checks.read_mounts, "earlier", FRAME)
    before = version(engines)
    reindexed(engines, checks.read_mounts, checks.rules)

    assert before == version(engines)


def test_more_than_one_transaction_reads_all(engines: Engines) -> None:
    """Also where there are more sets of mounts than are read at a time."""
    spacings = [{**MOUNT, "dimensions": {"hole_spacing_mm": 100.0 + number / 10}} for number in range(501)]
    frames = [{**FRAME, "sku": f"frame-{number}", "mounts": [mount]} for number, mount in enumerate(spacings)]
    keep(engines, lambda _: [], "earlier", *frames)

    assert 501 == reindexed(engines, lambda _: [], "later")
    assert {"later"} == {row[-1] for row in index(engines)[0]}
