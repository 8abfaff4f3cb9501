"""Writes of one transaction: kept in one form, seen by search and judgement, and one version for all of them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from sqlalchemy import func, select

from mountwright.catalogue import signing as signing_module
from mountwright.catalogue import writing as writing_module
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Checks
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.signing import Unresolved
from mountwright.catalogue.tables import (
    ARTICLE_FIGURES,
    ARTICLES,
    CONTENTS,
    SIGNATURE_FIGURES,
    SIGNATURE_MOUNTS,
    SIGNATURES,
    WORDS,
)
from mountwright.catalogue.versions import Version, version_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import FamilyCycleError

Json = dict[str, Any]

BOLTS: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
HUB: Json = {"position": "hub", "standard": "hub-608", "claimed_by": "maker"}
WHEEL: Json = {"sku": "wheel-1", "kind": "wheel", "name": "Towpath Grosse", "mounts": [HUB]}
SKATE: Json = {"sku": "lantern", "kind": "skate", "name": "Lantern", "comes_with": [{"sku": "wheel-1", "count": 8}]}
FAMILY: Json = {"kind": "family", "family": "grow", "mounts": [BOLTS]}
HEIR: Json = {"sku": "grow-1", "kind": "skate", "family": "grow", "eu_size_from": 30, "eu_size_to": 34}


class Shop(NamedTuple):
    """A catalogue, and short ways to write into it and to look at what is there."""

    engines: Engines
    checks: Checks

    def write(self, *deeds: Callable[[Writing], object]) -> Version | None:
        """Do some writes in one transaction; give the version that they raised, if they did."""
        with self.engines.writing() as connection:
            writing = Writing(connection, self.checks.read_mounts, self.checks.rules)
            for deed in deeds:
                deed(writing)
            return writing.finish()

    def keep(self, *records: Json) -> Version | None:
        """Write families and then articles, each in its turn."""
        families = [record for record in records if record["kind"] == "family"]
        articles = [record for record in records if record["kind"] != "family"]
        return self.write(
            lambda writing: writing.add_families(families),
            *(lambda writing, record=record: writing.add_articles([record]) for record in articles),
        )

    def tried(self, record: Json) -> Version:
        """Write an article and take it back; give the version that it would have raised."""
        with self.engines.writes.connect() as connection:
            writing = Writing(connection, self.checks.read_mounts, self.checks.rules)
            writing.add_articles([record])
            version = writing.finish()
            connection.rollback()
        assert version is not None
        return version

    def version(self) -> Version:
        """Give the version that stands."""
        with self.engines.reading() as connection:
            return version_of(connection)

    def judged(self, sku: str) -> list[str]:
        """Give the standards of the mounts by which an article is judged."""
        with self.engines.reading() as connection:
            return [mount["standard"] for _, mount in articles_of(connection, [sku])[sku].signature.owned]

    def rows(self, *tables: Any) -> list[int]:
        """Count the rows of tables."""
        with self.engines.reading() as connection:
            return [connection.execute(select(func.count()).select_from(table)).scalar_one() for table in tables]

    def figures(self) -> list[tuple[Any, ...]]:
        """Give the figures that articles are looked for by."""
        columns = ARTICLE_FIGURES.c
        with self.engines.reading() as connection:
            found = connection.execute(select(columns.sku, columns.kind, columns.name, columns.value))
            return sorted(map(tuple, found))

    def words(self, sku: str) -> list[str]:
        """Give the words that an article is found by."""
        with self.engines.reading() as connection:
            return sorted(connection.scalars(select(WORDS.c.word).where(WORDS.c.sku == sku)))


@pytest.fixture
def shop(engines: Engines, checks: Checks) -> Shop:
    """Give an empty catalogue, on each of the two engines in turn."""
    return Shop(engines, checks)


def unresolved(shop: Shop, *records: Json) -> list[Unresolved]:
    """Give the names in records that lead nowhere."""
    found: list[Unresolved] = []
    shop.write(lambda writing: found.extend(writing.add_articles(records)))
    return found


def test_all_writes_of_a_transaction_raise_the_version_once(shop: Shop) -> None:
    """Three records, one step; the version that is given is the one that stands."""
    version = shop.keep(FAMILY, WHEEL, HEIR)
    assert version is not None

    assert 1 == version.number
    assert version == shop.version()


def test_what_is_there_already_is_not_written_again(shop: Shop) -> None:
    """Neither by the same record nor by the same in another form: the version stays."""
    first = shop.keep(FAMILY, WHEEL, SKATE)
    other_form = {**dict(reversed(WHEEL.items())), "mounts": [dict(reversed(HUB.items()))]}

    assert None is shop.keep(FAMILY, other_form, {**SKATE, "comes_with": [{"count": 8.0, "sku": "wheel-1"}]})
    assert first == shop.version()


def test_a_rewritten_record_is_counted_alone(shop: Shop) -> None:
    """Of two records one is new in its form."""
    shop.keep(WHEEL, SKATE)
    writings: list[Writing] = []
    shop.write(writings.append, lambda writing: writing.add_articles([WHEEL, {**SKATE, "stock": 2}]))

    assert [1] == [writing.changed for writing in writings]


def test_the_same_writes_give_the_same_version(shop: Shop) -> None:
    """The digest is made of what was written, not of when; each is tried on the same catalogue and taken back."""
    once, again, otherwise = (shop.tried(WHEEL), shop.tried(WHEEL), shop.tried({**WHEEL, "stock": 1}))

    assert once == again
    assert once.digest != otherwise.digest
    assert 0 == shop.version().number


def test_figures_stand_beside_a_part_as_long_as_it_has_them(shop: Shop) -> None:
    """Of those that parts are looked for by; rewritten with the part and gone with it."""
    specs = {"diameter_mm": 80, "hardness_shore_a": 85.5, "width_mm": 24}
    shop.keep({**WHEEL, "specs": specs}, {**WHEEL, "sku": "wheel-2"})
    first = shop.figures()
    shop.keep({**WHEEL, "specs": {**specs, "diameter_mm": 76}})
    second = shop.figures()
    shop.keep({"sku": "wheel-1", "kind": "lace", "specs": {"length_mm": 1800}})
    third = shop.figures()
    shop.write(lambda writing: writing.remove_article("wheel-1"))

    shore = ("wheel-1", "wheel", "hardness_shore_a", 85.5)
    assert [("wheel-1", "wheel", "diameter_mm", 80.0), shore] == first
    assert [("wheel-1", "wheel", "diameter_mm", 76.0), shore] == second
    assert [("wheel-1", "lace", "length_mm", 1800.0)] == third
    assert [] == shop.figures()


def test_an_article_is_replaced_whole(shop: Shop) -> None:
    """Words, contents and mounts of the former record are gone with it."""
    shop.keep(WHEEL, SKATE)
    shop.keep({"sku": "lantern", "kind": "skate", "name": "Ember", "mounts": [BOLTS]})

    assert ["ember"] == shop.words("lantern")
    assert [0] == shop.rows(CONTENTS)
    assert ["two-bolt-165"] == shop.judged("lantern")


def test_an_article_is_found_by_name_maker_and_version(shop: Shop) -> None:
    """Folded, each word once; a mark and a colour are no words."""
    shop.keep({**WHEEL, "name": "Größe Towpath", "maker": "Ålbrook Towpath", "version": "2021 on", "colour": "red"})

    assert ["2021", "albrook", "grosse", "on", "towpath"] == shop.words("wheel-1")


def test_a_deleted_article_leaves_nothing(shop: Shop) -> None:
    """Neither its words and contents nor mounts that nobody else has."""
    shop.keep(WHEEL, SKATE)
    shop.write(lambda writing: writing.remove_article("lantern"), lambda writing: writing.remove_article("wheel-1"))

    assert [0] * 6 == shop.rows(ARTICLES, WORDS, CONTENTS, SIGNATURES, SIGNATURE_MOUNTS, SIGNATURE_FIGURES)
    assert 2 == shop.version().number


def test_to_delete_what_is_not_there_changes_nothing(shop: Shop) -> None:
    """It is said so, and the version stays."""
    told: list[bool] = []

    assert None is shop.write(lambda writing: told.append(writing.remove_article("wheel-1")))
    assert [False] == told


def test_a_part_knows_the_skates_that_come_with_it(shop: Shop) -> None:
    """By SKU, each once."""
    twice = {**SKATE, "sku": "bell", "comes_with": [{"sku": "wheel-1", "count": 6}, {"sku": "wheel-1", "count": 2}]}
    shop.keep(WHEEL, SKATE, twice)
    holders: list[list[str]] = []
    shop.write(lambda writing: holders.append(writing.holders_of("wheel-1")))

    assert [["bell", "lantern"]] == holders


@pytest.mark.parametrize("one_by_one", [0, 500])
def test_mounts_that_the_last_article_loses_are_dropped(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, one_by_one: int
) -> None:
    """Looked at one by one or all together; those that another article still has stay."""
    monkeypatch.setattr(signing_module, "_ONE_BY_ONE", one_by_one)
    shop.keep(WHEEL, {**WHEEL, "sku": "wheel-2"})
    shop.keep({**WHEEL, "mounts": [{**HUB, "standard": "hub-688"}]})
    both = shop.rows(SIGNATURES, SIGNATURE_MOUNTS)
    shop.keep({**WHEEL, "sku": "wheel-2", "mounts": [{**HUB, "standard": "hub-688"}]})

    assert [2, 2] == both
    assert [1, 1] == shop.rows(SIGNATURES, SIGNATURE_MOUNTS)


@pytest.mark.parametrize("one_by_one", [0, 500])
def test_mounts_that_a_changed_family_takes_away_are_dropped(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, one_by_one: int
) -> None:
    """Also those of a skate that was only signed anew."""
    monkeypatch.setattr(signing_module, "_ONE_BY_ONE", one_by_one)
    shop.keep(FAMILY, HEIR)
    shop.keep({**FAMILY, "mounts": [{**BOLTS, "standard": "two-bolt-195"}]})

    assert ["two-bolt-195"] == shop.judged("grow-1")
    assert [1, 1] == shop.rows(SIGNATURES, SIGNATURE_MOUNTS)


def test_a_change_of_a_grandparent_reaches_the_skate(shop: Shop) -> None:
    """What is inherited from afar is signed anew as well."""
    shop.keep({**FAMILY, "family": "old"}, {"kind": "family", "family": "grow", "parent": "old"}, HEIR)
    shop.keep({**FAMILY, "family": "old", "mounts": [{**BOLTS, "standard": "riveted"}]})

    assert ["riveted"] == shop.judged("grow-1")


def test_a_part_and_its_skate_may_change_in_one_transaction(shop: Shop) -> None:
    """The skate has the mounts that the part has at the end."""
    shop.keep(WHEEL, SKATE)
    shop.keep({**SKATE, "stock": 1}, {**WHEEL, "mounts": [{**HUB, "standard": "hub-688"}]})

    assert ["hub-688"] == shop.judged("lantern")


def test_names_that_lead_nowhere_are_told_by_record_and_place(shop: Shop) -> None:
    """The number is the record's among those that were given, also where one before it is not new."""
    shop.keep(WHEEL)
    lost = {**SKATE, "family": "none", "comes_with": [{"sku": "wheel-1", "count": 4}, {"sku": "wheel-2", "count": 4}]}
    found = unresolved(shop, WHEEL, lost)

    assert [
        (1, "/comes_with/1/sku", "request.unknown_part"),
        (1, "/family", "request.unknown_family"),
    ] == [each[:3] for each in found]


def test_a_skate_across_two_spans_is_told(shop: Shop) -> None:
    """Its family has other mounts for a part of its sizes, so it is two versions."""
    shop.keep({**FAMILY, "eu_size_to": 32}, {**FAMILY, "eu_size_from": 33})
    (found,) = unresolved(shop, HEIR)

    assert ("/family", "request.family_split", {"found": "grow"}) == found[1:]


def test_skates_that_a_new_span_would_tear_are_named(shop: Shop) -> None:
    """The family now holds for a part of their sizes only."""
    shop.keep(FAMILY, HEIR)
    writings: list[Writing] = []
    span = {**FAMILY, "eu_size_from": 33, "eu_size_to": 40}
    shop.write(writings.append, lambda writing: writing.add_families([span]))

    assert [["grow-1"]] == [writing.torn for writing in writings]


def test_families_in_a_ring_are_refused_and_nothing_is_kept(shop: Shop) -> None:
    """Also where the ring is closed by the last of three."""
    shop.keep({**FAMILY, "parent": "mid"}, {**FAMILY, "family": "mid", "parent": "old"})
    before = shop.version()
    with pytest.raises(FamilyCycleError, match="grow from mid from old from grow"):
        shop.keep({**FAMILY, "family": "old", "parent": "grow"})

    assert before == shop.version()


def test_a_family_that_is_new_in_the_middle_reaches_the_skate(shop: Shop) -> None:
    """A parent that was named before it was there counts from when it is."""
    shop.keep({"kind": "family", "family": "grow", "parent": "old"}, HEIR)
    before = shop.judged("grow-1")
    shop.keep({**FAMILY, "family": "old"})

    assert [] == before
    assert ["two-bolt-165"] == shop.judged("grow-1")


def test_what_a_skate_says_itself_goes_before_its_family_also_when_that_changes(shop: Shop) -> None:
    """And once it says nothing any more, its family's counts again."""
    own = {**HEIR, "mounts": [{**BOLTS, "standard": "riveted"}]}
    shop.keep(FAMILY, own)
    shop.keep({**FAMILY, "mounts": [{**BOLTS, "standard": "two-bolt-195"}]})
    before = shop.judged("grow-1")
    shop.keep(HEIR)

    assert ["riveted"] == before
    assert ["two-bolt-195"] == shop.judged("grow-1")


def test_more_skates_than_are_signed_at_a_time_are_all_signed_anew(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two at a time, and five of them."""
    monkeypatch.setattr(writing_module, "_AT_A_TIME", 2)
    heirs = [{**HEIR, "sku": f"grow-{number}"} for number in range(5)]
    shop.keep(FAMILY, *heirs)
    shop.keep({**FAMILY, "mounts": [{**BOLTS, "standard": "two-bolt-195"}]})

    assert [["two-bolt-195"]] * 5 == [shop.judged(heir["sku"]) for heir in heirs]
    assert [1] == shop.rows(SIGNATURES)
