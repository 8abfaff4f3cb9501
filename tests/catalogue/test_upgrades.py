"""What may be bought for a skate: kind by kind, the cheapest first, with one statement."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.catalogue import pools, upgrades
from mountwright.catalogue.alternatives import Chances
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Checks, Report
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.pools import MOST, MOST_SKATES, Sought, Terms
from mountwright.catalogue.reading import articles_of
from mountwright.catalogue.upgrades import KEPT_FREE, Offers, offers_of, other_currencies
from mountwright.catalogue.versions import version_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import InvalidSpecError
from mountwright.fitting.narrowing import Chance

Json = dict[str, Any]
Offer = Callable[..., Offers]

EURO = Terms("EUR")

#: A wheel that any hub may be in.
WHEEL = Sought("wheel", stands=(("hub", (Chance(),)),))

LACE = Sought("lace", without_mounts=True)


def only(standard: str, position: str, *others: str) -> Chances:
    """Give what lets just one standard go on at a position, of it and some others, whoever claims it."""
    unwanted = frozenset(others) - {standard}
    return ((position, (Chance(False, unwanted, frozenset({"maker"})),)),)


FRAMES = ("two-bolt-165", "two-bolt-195")
PLACES = ("axle-place-6", "axle-place-8")
HUBS = ("hub-608", "hub-688")

#: A boot that takes the first frames, with axles of 8 mm.
FRAME = Sought("frame", only(FRAMES[0], "frame", *FRAMES), only(PLACES[1], "axle_place", *PLACES))


def article(sku: str, kind: str, minor: int | None = 100, **more: Any) -> Json:
    """Give an article at a price in euro."""
    price = {} if minor is None else {"price_minor": minor, "currency": "EUR"}
    return {"sku": sku, "kind": kind, "name": kind.title(), **price, **more}


def claims(**standards: str) -> list[Json]:
    """Give mounts by position that a maker claims."""
    return [
        {"position": position, "standard": standard, "claimed_by": "maker"} for position, standard in standards.items()
    ]


def wheel(sku: str, minor: int | None = 100, diameter_mm: float = 80, hub: str = HUBS[0], **more: Any) -> Json:
    """Give a wheel."""
    return article(sku, "wheel", minor, specs={"diameter_mm": diameter_mm}, mounts=claims(hub=hub), **more)


def frame(sku: str, spacing: str = FRAMES[0], place: str = PLACES[1], minor: int = 100) -> Json:
    """Give a frame."""
    return article(sku, "frame", minor, mounts=claims(frame=spacing, axle_place=place))


@pytest.fixture
def offer(engines: Engines, checks: Checks, bring_in: Callable[..., Report], file: Callable[..., Path]) -> Offer:
    """Give a way to bring articles in, and to ask what may be bought of them."""

    def offered(records: Sequence[Json], *sought: Sought, terms: Terms = EURO) -> Offers:
        assert not records or bring_in(file(*records)).is_good
        with engines.reading() as connection:
            return offers_of(connection, sought, terms, checks.rules)

    return offered


def skus(offers: Offers, kind: int = 0) -> list[str]:
    """Give what is offered of a kind, by SKU."""
    return [kept.sku for kept in offers.kinds[kind].articles]


class TestTerms:
    """What may be bought ..."""

    def test_has_a_price_in_the_currency(self, offer: Offer) -> None:
        """... has a price, and that is in the currency; a rate nobody knows."""
        abroad = {**article("c", "lace"), "currency": "SEK"}
        unpriced = {**article("d", "lace", None), "currency": "EUR"}

        assert ["a"] == skus(offer([article("a", "lace"), article("b", "lace", None), abroad, unpriced], LACE))

    def test_may_cost_nothing(self, offer: Offer) -> None:
        """... may be given away."""
        assert ["a"] == skus(offer([article("a", "lace", 0)], LACE))

    def test_is_of_its_kind(self, offer: Offer) -> None:
        """... stands under its own kind, in the order that was asked for."""
        offers = offer([article("i", "insole"), article("l", "lace")], LACE, Sought("insole", without_mounts=True))

        assert [["l"], ["i"]] == [skus(offers, 0), skus(offers, 1)]

    @pytest.mark.parametrize(("only_stock", "expected"), [(True, ["some"]), (False, ["none", "some", "uncounted"])])
    def test_is_in_stock_where_that_is_wanted(self, offer: Offer, only_stock: bool, expected: list[str]) -> None:
        """... is known to be in stock, where that is wanted; else it may be sold out."""
        laces = [article("none", "lace", stock=0), article("some", "lace", stock=1), article("uncounted", "lace")]

        assert expected == skus(offer(laces, LACE, terms=Terms("EUR", only_stock)))

    @pytest.mark.parametrize(
        ("size", "expected"), [(None, ["any", "from", "run"]), (41, ["any", "from", "run"]), (43, ["any", "from"])]
    )
    def test_is_made_for_the_size(self, offer: Offer, size: float | None, expected: list[str]) -> None:
        """... has the size in its run, both ends inclusive; an open end takes any."""
        liners = [
            article("any", "liner"),
            article("from", "liner", eu_size_from=41),
            article("run", "liner", eu_size_from=38, eu_size_to=41),
        ]

        assert expected == skus(offer(liners, Sought("liner", without_mounts=True), terms=Terms("EUR", eu_size=size)))


class TestMounts:
    """What may be bought ..."""

    def test_has_a_chance_on_what_holds(self, offer: Offer) -> None:
        """... has a chance on the boot, also where it takes other axles than those that are there."""
        frames = [frame(f"{spacing}-{place}", spacing, place) for spacing in FRAMES for place in PLACES]

        assert [f"{FRAMES[0]}-{place}" for place in PLACES] == skus(offer(frames, FRAME))

    def test_has_a_mount_where_something_stands(self, offer: Offer) -> None:
        """... where nothing holds it, has a mount at what stands there, whatever that is."""
        wheels = [wheel("608"), wheel("688", hub=HUBS[1]), article("bare", "wheel")]

        assert ["608", "688"] == skus(offer(wheels, Sought("wheel", stands=only(HUBS[0], "hub", *HUBS))))

    def test_needs_no_mount_where_the_kind_has_none(self, offer: Offer) -> None:
        """... of a kind that is bought without mounts may have none; with one it has to have a chance."""
        straps = [article("bare", "strap"), article("good", "strap", mounts=claims(strap_cuff="strap-pitch-15"))]
        straps.append(article("elsewhere", "strap", mounts=claims(frame=FRAMES[0])))
        at_cuff: Chances = (("strap_cuff", (Chance(),)),)

        assert ["bare", "good"] == skus(offer(straps, Sought("strap", at_cuff, without_mounts=True)))
        assert ["bare"] == skus(offer(straps, Sought("strap", without_mounts=True)))

    def test_is_refused_nowhere_where_it_has_a_mount(self, offer: Offer) -> None:
        """... goes on at one of several places, and is refused at none where it has a mount as well."""
        twice = (*only(FRAMES[0], "frame", *FRAMES), *only(PLACES[1], "axle_place", *PLACES))
        frames = [
            frame("both"),
            frame("refused", place=PLACES[0]),
            article("half", "frame", mounts=claims(frame=FRAMES[0])),
        ]

        assert ["both", "half"] == skus(offer(frames, Sought("frame", twice)))

    def test_is_not_left_out_by_what_other_rules_have_read(self, offer: Offer, engines: Engines) -> None:
        """... may go on by the rules at hand, whatever others have read into the index."""
        frames = [frame(spacing, spacing) for spacing in FRAMES]
        assert [FRAMES[0]] == skus(offer(frames, FRAME))
        with engines.reading() as connection:
            assert sorted(FRAMES) == skus(offers_of(connection, [FRAME], EURO, "other rules"))


class TestOrder:
    """What is given first ..."""

    def test_is_the_cheapest(self, offer: Offer) -> None:
        """... is the cheapest, of equally cheap ones the first by SKU."""
        laces = [article("b", "lace", 500), article("a", "lace", 500), article("z", "lace", 499)]

        assert ["z", "a", "b"] == skus(offer(laces, LACE))

    def test_is_given_up_to_so_many_and_all_are_counted(self, offer: Offer) -> None:
        """... is given together with the next ones, up to so many; how many there are is said."""
        laces = [article(f"{999 - minor}", "lace", minor) for minor in range(MOST + 10)]
        found = offer(laces, LACE).kinds[0]

        assert ([f"{999 - minor}" for minor in range(MOST)], MOST + 10) == (
            [kept.sku for kept in found.articles],
            found.there_are,
        )


class TestKeptPlaces:
    """Among very many a place is kept ..."""

    def test_for_what_goes_on_as_it_is(self, offer: Offer) -> None:
        """... for what goes on with nothing else changed, though all else is cheaper."""
        frames = [frame(f"{number:04d}", place=PLACES[0], minor=number) for number in range(MOST)]
        found = skus(offer([*frames, frame("as-it-is", minor=9000)], FRAME))

        assert (MOST, "as-it-is") == (len(found), found[-1])

    def test_for_what_takes_other_parts(self, offer: Offer) -> None:
        """... for what takes other parts beside it, though all that goes on as it is is cheaper."""
        frames = [frame(f"{number:04d}", minor=number) for number in range(MOST)]
        found = skus(offer([*frames, frame("other-axles", place=PLACES[0], minor=9000)], FRAME))

        assert (MOST, "other-axles") == (len(found), found[-1])

    def test_for_what_is_wished_for(self, offer: Offer) -> None:
        """... for what has the wished figures, both bounds inclusive."""
        wheels = [wheel(f"{number:04d}", number) for number in range(MOST)]
        wheels += [wheel(f"of-{size}", 9000, size) for size in (98, 99, 101, 102)]
        wished = Sought("wheel", stands=WHEEL.stands, figures={"diameter_mm": (99, 101)})

        assert ["of-101", "of-99"] == skus(offer(wheels, wished))[-2:]
        assert "of-99" not in skus(offer([], WHEEL))

    def test_for_the_colour_among_it(self, offer: Offer) -> None:
        """... for what has the wished colour as well, though much that is wished for is cheaper."""
        wheels = [wheel(f"{number:04d}", number, 100) for number in range(MOST)]
        wheels += [wheel("teal", 9000, 100, colour="Teal"), wheel("small", 8000, 80, colour="Teal")]
        wished = Sought("wheel", stands=WHEEL.stands, figures={"diameter_mm": (100, None)}, colour_folded="teal")

        assert "teal" == skus(offer(wheels, wished))[-1]
        assert {"teal", "small"} <= {*skus(offer([], Sought("wheel", stands=WHEEL.stands, colour_folded="teal")))}

    def test_for_no_more_than_so_many(self, offer: Offer) -> None:
        """... for the cheapest of them only; all places that nobody needs go to the cheapest of all."""
        cheap = [frame(f"{number:04d}", minor=number) for number in range(MOST)]
        dear = [frame(f"other-{number:04d}", place=PLACES[0], minor=9000 + number) for number in range(MOST)]
        found = skus(offer([*cheap, *dear], FRAME))

        assert [f"other-{number:04d}" for number in range(KEPT_FREE)] == found[MOST - KEPT_FREE :]
        assert [f"{number:04d}" for number in range(MOST - KEPT_FREE)] == found[: MOST - KEPT_FREE]


class TestCompleteSkates:
    """Complete skates ..."""

    def test_are_given_but_the_one_that_it_is_for(self, offer: Offer) -> None:
        """... are given by price, in the size and the currency, but for the skate that the parts are for."""
        skates = [article(sku, "skate", minor) for sku, minor in (("dear", 900), ("cheap", 300), ("mine", 100))]
        skates += [article("small", "skate", eu_size_to=40), article("unpriced", "skate", None)]
        found = offer(skates, terms=Terms("EUR", eu_size=42, skates=("mine",))).skates

        assert (["cheap", "dear"], 2) == ([kept.sku for kept in found.articles], found.there_are)

    def test_are_not_more_than_so_many(self, offer: Offer) -> None:
        """... are the cheapest of many, and all are counted."""
        found = offer([article(f"{minor:03d}", "skate", minor) for minor in range(MOST_SKATES + 5)]).skates

        assert (MOST_SKATES, MOST_SKATES + 5) == (len(found.articles), found.there_are)
        assert "000" == found.articles[0].sku


@pytest.fixture
def told(engines: Engines, offer: Offer) -> Engines:
    """Give a catalogue of which something was told: one lace fitted, two came back, one of them was checked."""
    offer([article("mine", "skate"), article("other", "skate"), article("good", "lace"), article("bad", "lace")])
    offer([article("checked", "lace", checked_on="2026-03-07")])
    back = {"skate": "mine", "part": "bad", "outcome": "came_back", "cause": "did_not_go_on"}
    fitted = {"skate": "mine", "part": "good", "outcome": "fitted"}
    outcomes = [fitted, *[back] * 4, *[{**back, "part": "checked"}] * 4, {**fitted, "skate": "other"}]
    with engines.writing() as connection:
        noting = Noting(connection, "tidewheel")
        noting.note(
            [
                {**each, "told_by": "shop", "on": "2026-03-07", "outcome_id": f"n{number}"}
                for number, each in enumerate(outcomes)
            ]
        )
        noting.finish()
    return engines


class TestEvidence:
    """What was told ..."""

    def test_of_the_skate_and_what_is_offered_is_given(self, told: Engines, checks: Checks) -> None:
        """... of the skate and of an article that is offered is given, and of no other skate."""
        with told.reading() as connection:
            offers = offers_of(connection, [LACE], Terms("EUR", skates=("mine",)), checks.rules)

        assert {("mine", each) for each in ("good", "bad", "checked")} == offers.tallies.keys()
        assert (1, 4) == tuple(sum(row.count for row in offers.tallies["mine", part].rows) for part in ("good", "bad"))

    def test_names_what_is_not_to_be_sold(self, told: Engines, checks: Checks) -> None:
        """... pauses what came back too often until its row is checked, whichever skate it is for."""
        with told.reading() as connection:
            offers = offers_of(connection, [LACE], EURO, checks.rules)

        assert (frozenset({"bad"}), {}) == (offers.paused, offers.tallies)


def test_everything_is_read_with_one_statement(offer: Offer, engines: Engines, checks: Checks) -> None:
    """With the version that it was read from, and each article as it is kept; what finds nothing is empty."""
    offer([wheel("w"), frame("f"), article("s", "skate")])
    asked: list[str] = []
    with engines.reading() as connection:
        event.listen(connection, "before_cursor_execute", lambda *about: asked.append(about[2]))
        offers = offers_of(connection, [FRAME, LACE, WHEEL, FRAME], EURO, checks.rules)
        assert 1 == len(asked)
        assert (version_of(connection), articles_of(connection, ["f"])["f"]) == (
            offers.version,
            offers.kinds[0].articles[0],
        )

    assert [["f"], [], ["w"], ["f"]] == [skus(offers, kind) for kind in range(4)]


def test_nothing_still_has_a_version(engines: Engines, checks: Checks) -> None:
    """Of an empty catalogue nothing can be bought, and that is known of some version."""
    with engines.reading() as connection:
        offers = offers_of(connection, [LACE], EURO, checks.rules)
        assert (version_of(connection), ((), 0), ((), 0)) == (offers.version, offers.kinds[0], offers.skates)


def test_other_currencies_are_named(offer: Offer, engines: Engines) -> None:
    """In order, each once, and none that only articles without a price have."""
    abroad = [{**article(f"{code}-{number}", "lace"), "currency": code} for code in ("SEK", "JPY") for number in (1, 2)]
    offer([article("a", "lace"), {**article("b", "lace", None), "currency": "USD"}, *abroad])
    with engines.reading() as connection:
        assert ("JPY", "SEK") == other_currencies(connection, "EUR")
        assert ("EUR", "JPY", "SEK") == other_currencies(connection, "CHF")


@pytest.mark.parametrize("given", [{"figures": {"mass_g": (1, 2)}}, {"without_mounts": False}], ids=str)
def test_what_cannot_be_looked_for_is_refused(given: Json) -> None:
    """A figure that stands in the documents only, and what nothing at all would do for."""
    with pytest.raises(InvalidSpecError):
        Sought(**{"kind": "wheel", "without_mounts": True, **given})


ROWS = st.tuples(st.integers(0, 3), st.sampled_from(FRAMES), st.sampled_from(PLACES), st.sampled_from([None, 0, 2]))


def meant(rows: list[Json], most: int, kept_free: int) -> list[str]:
    """Give what has to be given of frames, by going through everything."""
    held = sorted(
        (row for row in rows if row["mounts"][0]["standard"] == FRAMES[0]),
        key=lambda row: (row["price_minor"], row["sku"]),
    )
    alone, others = (
        [row for row in held if (row["mounts"][1]["standard"] == PLACES[1]) is goes_alone]
        for goes_alone in (True, False)
    )
    first = [row["sku"] for row in (*alone[:kept_free], *others[:kept_free])]
    chosen = {*[*first, *(row["sku"] for row in held if row["sku"] not in first)][:most]}
    return [row["sku"] for row in held if row["sku"] in chosen]


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(drawn=st.lists(ROWS, max_size=12), only_stock=st.booleans())
def test_the_same_is_given_as_by_going_through_everything(
    engines: Engines, checks: Checks, drawn: list[Any], only_stock: bool
) -> None:
    """Whatever there is, in stock or not, and however few places there are."""
    rows = []
    for number, (minor, spacing, place, stock) in enumerate(drawn):
        row = frame(f"frame-{number:02d}", spacing, place, minor)
        rows.append({**row, **({} if stock is None else {"stock": stock})})
    with engines.writes.connect() as connection, pytest.MonkeyPatch.context() as patched:
        for module, name, value in ((pools, "MOST", 4), (upgrades, "MOST", 4), (upgrades, "KEPT_FREE", 1)):
            patched.setattr(module, name, value)
        assert [] == Writing(connection, checks.read_mounts, checks.rules).add_articles(rows)
        offers = offers_of(connection, [FRAME], Terms("EUR", only_stock), checks.rules)
        connection.rollback()
    able = [row for row in rows if not only_stock or row.get("stock")]

    assert meant(able, 4, 1) == skus(offers)
    assert len(meant(able, 99, 0)) == offers.kinds[0].there_are
