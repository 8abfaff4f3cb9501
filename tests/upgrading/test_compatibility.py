"""Which articles go on a skate, and with which others, is what the basket says, and is judged once for all alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import chain, combinations
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.checkout.article import Article, SizeRun
from mountwright.checkout.basket import Basket, Counts, Fitted, Lot, Owned, Policy, Version
from mountwright.checkout.cart_check import cart_checked
from mountwright.checkout.finding import Decision
from mountwright.checkout.till import Till
from mountwright.fitting.evidence import Tally
from mountwright.upgrading.compatibility import AS_IS, Compatibility, compatibility
from mountwright.upgrading.interfaces import LINKS, interface


def owned(shop: Any, *more: tuple[Article, int], boot: Article | None = None, **rest: Any) -> Owned:
    """Give a skate with frame, wheels, bearings, axles and whatever else is said."""
    return Owned((Version(boot or shop.boot(), shop.stands(*more)),), eu_size=rest.get("eu_size", 42))


def by_kind(articles: Sequence[Article]) -> dict[str, list[Article]]:
    """Give articles by kind."""
    found: dict[str, list[Article]] = {}
    for each in articles:
        found.setdefault(each.kind, []).append(each)
    return found


def judged(skate: Owned, till: Till, *articles: Article) -> Compatibility:
    """Give what goes with what."""
    return compatibility(skate, by_kind(articles), till)


def goes(found: Compatibility, one: Article | str, other: Article | str) -> bool:
    """Tell whether two articles, or an article and the part of a kind that stays, go together."""
    kinds = tuple(each if isinstance(each, str) else each.kind for each in (one, other))
    signs = tuple(AS_IS if isinstance(each, str) else found.signatures[each] for each in (one, other))
    return signs in found.passing[kinds[0], kinds[1]]


class TestAlone:
    """A candidate ..."""

    @pytest.mark.parametrize(("standard", "goes_on"), [("two-bolt-165", True), ("two-bolt-195", False)])
    def test_that_the_boot_does_not_take_is_refused(
        self, upgrade_shop: Any, upgrade_till: Till, standard: str, goes_on: bool
    ) -> None:
        """... is refused with what speaks against it if it is not for this boot, whatever else is bought."""
        frame = upgrade_shop.frame(standard=standard)
        found = judged(owned(upgrade_shop), upgrade_till, frame)

        assert goes_on == (frame in found.signatures) == (frame not in found.refused)
        if not goes_on:
            assert ["cart.does_not_fit"] == [finding.code for finding in found.refused[frame]]

    def test_that_only_a_part_which_stays_is_against_is_not_refused(
        self, upgrade_shop: Any, upgrade_till: Till
    ) -> None:
        """... for another frame than the one that stands is not refused: that frame may go."""
        large = upgrade_shop.wheel("large", 110)
        found = judged(owned(upgrade_shop), upgrade_till, large)

        assert {} == found.refused
        assert not goes(found, "frame", large)

    def test_of_another_size_is_refused(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... that is not made in the size is refused."""
        fits, small = (upgrade_shop.pair("liner", f"l{low}", sizes=SizeRun(low, low + 3)) for low in (41, 36))
        found = judged(owned(upgrade_shop), upgrade_till, fits, small)

        assert ({fits}, {small}) == (set(found.signatures), set(found.refused))

    def test_has_to_go_on_every_version_of_a_model(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... goes on only if it goes on every skate that the model's name may mean."""
        frames = [upgrade_shop.frame(standard, standard) for standard in ("two-bolt-165", "two-bolt-195")]
        version, other = (Version(upgrade_shop.boot(each), ()) for each in ("two-bolt-165", "two-bolt-195"))

        assert {frames[0]} == set(judged(Owned((version,), 42), upgrade_till, *frames).signatures)
        assert {frames[1]} == set(judged(Owned((other,), 42), upgrade_till, *frames).signatures)
        assert set() == set(judged(Owned((version, other), 42), upgrade_till, *frames).signatures)

    def test_that_nobody_can_tell_of_is_refused(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which nobody said how it is fixed is refused: nothing is planned on a guess."""
        cuff = upgrade_shop.pair("cuff")

        assert {cuff} == set(judged(owned(upgrade_shop), upgrade_till, cuff).refused)


class TestTogether:
    """Two parts ..."""

    def test_of_which_one_has_no_room_do_not_go_together(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... go together where the frame takes the wheels: 110 in three places, 80 in four."""
        three, four = upgrade_shop.frame("three", wheels=3), upgrade_shop.frame("four")
        small, large = upgrade_shop.wheel("small", 80), upgrade_shop.wheel("large", 110)
        found = judged(owned(upgrade_shop), upgrade_till, three, four, small, large)

        assert [True, True, True, False] == [
            goes(found, frame, wheel) for frame in (three, four) for wheel in (small, large)
        ]
        assert [True, False] == [goes(found, "frame", wheel) for wheel in (small, large)]

    def test_may_need_a_third(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one needs other axles go with these axles, and these with other bearings."""
        frame = upgrade_shop.frame("six", axle_place="axle-place-6")
        axle, bearing = upgrade_shop.axle("six", "6"), upgrade_shop.bearing("six", "axle-6")
        found = judged(owned(upgrade_shop), upgrade_till, frame, axle, bearing)

        assert {} == found.refused
        assert [False, True, False] == [
            goes(found, *pair) for pair in ((frame, "axle"), (frame, axle), ("frame", axle))
        ]
        assert [False, True, False] == [
            goes(found, *pair) for pair in (("bearing", axle), (bearing, axle), (bearing, "axle"))
        ]

    def test_are_told_by_a_skate_that_names_its_mounts_only(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is known by the skate's mount alone are judged like any other."""
        boot = upgrade_shop.article("skate", "boot", ("frame", "boot", "two-bolt-165"), ("axle", "axle", "axle-6"))
        thick, thin = upgrade_shop.bearing("thick"), upgrade_shop.bearing("thin", "axle-6")
        axle, wheel = upgrade_shop.axle("new"), upgrade_shop.wheel("new", 76)
        found = judged(Owned((Version(boot),), 42), upgrade_till, thick, thin, axle, wheel)

        assert {} == found.refused
        assert [False, True] == [goes(found, thick, "axle"), goes(found, thick, axle)]
        assert [True, False] == [goes(found, thin, "axle"), goes(found, thin, axle)]
        assert [False, True] == [goes(found, "wheel", thin), goes(found, wheel, thin)]

    def test_that_are_not_there_go_with_nothing(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is not there do not go together: wheels need a frame and bearings."""
        frame, wheel, bearing = upgrade_shop.frame(), upgrade_shop.wheel(), upgrade_shop.bearing()
        found = judged(Owned((Version(upgrade_shop.boot()),), 42), upgrade_till, frame, wheel, bearing)

        assert [True, False] == [goes(found, frame, wheel), goes(found, "frame", wheel)]
        assert [True, False] == [goes(found, wheel, bearing), goes(found, wheel, "bearing")]

    def test_have_room_under_the_sole_or_not(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is a wheel that stands in the sole do not go together; under a higher frame it has room."""
        sole = {"eu_size": 42, "outline_along_mm": [150, -150], "outline_down_mm": [0, 0], "front_block_depth_mm": 0}
        low, high = (
            upgrade_shop.frame(f"down {down}", axle_places=[{"along_mm": x, "down_mm": down} for x in (112, 0, -112)])
            for down in (46, 61)
        )
        wheel = upgrade_shop.wheel("large", 100)
        frames = [replace(each, specs={**each.specs, "largest_wheel_mm": 110}) for each in (low, high)]
        found = judged(owned(upgrade_shop, boot=upgrade_shop.boot(soles=[sole])), upgrade_till, *frames, wheel)

        assert {} == found.refused
        assert [False, True] == [goes(found, frame, wheel) for frame in frames]

    def test_take_the_place_of_all_that_stands(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is a set of wheels go together as if none of the old wheels, of two sizes, stayed."""
        stands = [each for each in upgrade_shop.stands() if each.article.kind != "wheel"]
        stands += [Fitted(upgrade_shop.wheel(f"own {mark}", mark), 4, True) for mark in (80, 90)]
        wheel = upgrade_shop.wheel("new", 80)
        found = judged(Owned((Version(upgrade_shop.boot(), tuple(stands)),), 42), upgrade_till, wheel)

        assert goes(found, "frame", wheel)

    def test_may_be_a_brake_and_what_is_not_there_yet(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is a brake go together on a bare boot, too: nobody can tell before frame and wheels are."""
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        frame, wheel = upgrade_shop.frame(), upgrade_shop.wheel()
        found = judged(Owned((Version(upgrade_shop.boot()),), 42), upgrade_till, brake, frame, wheel)

        assert {} == found.refused
        assert [True, True, False] == [goes(found, each, brake) for each in (frame, wheel, "frame")]

    def test_may_be_a_brake_and_wheels_beyond_it(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is a brake go together within its wheels, and where the frame carries it."""
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        three, bare = upgrade_shop.frame("three", wheels=3), upgrade_shop.frame("bare", takes_brake=False)
        small, large = upgrade_shop.wheel("small", 80), upgrade_shop.wheel("large", 110)
        found = judged(owned(upgrade_shop), upgrade_till, brake, three, bare, small, large)

        assert [True, False] == [goes(found, frame, brake) for frame in (three, bare)]
        assert [True, False] == [goes(found, wheel, brake) for wheel in (small, large)]

    def test_may_be_a_liner_and_an_insole(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is an insole go together where the liner has room for it."""
        wide, tight = (
            upgrade_shop.pair("liner", f"l{room}", insole_room_mm=room, sizes=SizeRun(36, 46)) for room in (6, 2)
        )
        insole = upgrade_shop.pair("insole", thickness_mm=5, sizes=SizeRun(36, 46))
        skate = owned(upgrade_shop, boot=upgrade_shop.boot(insole_room_mm=3))
        found = judged(skate, upgrade_till, wide, tight, insole)

        assert [True, False, False] == [goes(found, liner, insole) for liner in (wide, tight, "liner")]

    def test_are_not_taken_on_trust_beside_a_new_one(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... of which one is as sold go together only if the basket still says so beside the other.

        Nobody told of the axle: the same bearings as sold go on, and nobody asks; with other wheels somebody would.
        """
        bearing, wheel = upgrade_shop.bearing(), upgrade_shop.wheel(diameter_mm=76)
        fitted = (Fitted(bearing, 16, True), Fitted(upgrade_shop.wheel("own", 76), 8, True))
        skate = Owned((Version(upgrade_shop.boot(), fitted),), 42)
        found = judged(skate, upgrade_till, bearing, wheel)

        assert [True, False] == [goes(found, "wheel", bearing), goes(found, wheel, bearing)]
        assert [True, False] == [cart_is_clear(skate, upgrade_till, each) for each in ([bearing], [bearing, wheel])]

    def test_that_stay_are_taken_to_go_together(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... that both stay go together: nobody asks the basket about them."""
        found = judged(owned(upgrade_shop), upgrade_till)

        assert {pair: {(AS_IS, AS_IS)} for pair in LINKS} == found.passing
        assert 0 == found.judgements


class TestJudgements:
    """What is judged ..."""

    def test_is_each_distinct_interface_and_pair(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... is every distinct interface alone and every distinct pair, however many articles there are."""
        frames = [upgrade_shop.frame(f"f{index}", wheels=3 + index % 2) for index in range(12)]
        wheels = [
            upgrade_shop.wheel(f"w{index}", (76, 80, 110)[index % 3], hardness_shore_a=78 + index, colour=f"no {index}")
            for index in range(30)
        ]
        axles = [upgrade_shop.axle(f"a{index}", ("6", "8")[index % 2]) for index in range(10)]
        found = judged(owned(upgrade_shop), upgrade_till, *frames, *wheels, *axles)

        alone, frame_wheel, frame_axle = 2 + 3 + 2, 2 * 3, 1 * 2
        assert alone + frame_wheel + frame_axle == found.judgements
        assert {"frame": 2, "wheel": 3, "axle": 2} == {
            kind: len({found.signatures[each] for each in each_kind})
            for kind, each_kind in by_kind((*frames, *wheels, *axles)).items()
        }

    def test_leaves_out_what_is_refused(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... is no pair with an article that does not go on at all."""
        frames = [upgrade_shop.frame(f"f{index}", "two-bolt-195", largest_wheel_mm=76 + index) for index in range(5)]
        found = judged(owned(upgrade_shop), upgrade_till, *frames, upgrade_shop.wheel())

        assert 5 + 1 == found.judgements

    def test_tells_apart_what_the_skate_knows_by_name(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... is a part by itself if somebody told how it went on."""
        told, alike, other = (upgrade_shop.frame(sku) for sku in ("told", "alike", "other"))
        version = Version(upgrade_shop.boot(), upgrade_shop.stands(), tallies={"told": Tally()})
        found = judged(Owned((version,), 42), upgrade_till, told, alike, other)

        assert found.signatures[alike] == found.signatures[other] != found.signatures[told]


def cart_is_clear(skate: Owned, till: Till, articles: Sequence[Article]) -> bool:
    """Tell whether the basket's own rules say that some articles may be sent, however many there are."""
    lots = tuple(Lot(each.kind, each, packs=16) for each in sorted(articles, key=lambda each: each.kind))
    basket = Basket((skate,), lots, Policy(counts=Counts.SPARES))
    return cart_checked(basket, till._replace(policy=basket.policy)).decision is Decision.CLEAR


def is_foretold(found: Compatibility, articles: Sequence[Article]) -> bool:
    """Tell whether some articles all go on, and with each other and what stays."""
    signs = {each.kind: found.signatures.get(each) for each in articles}
    return None not in signs.values() and all(
        (signs.get(one, AS_IS), signs.get(other, AS_IS)) in found.passing[one, other] for one, other in LINKS
    )


def pool(shop: Any) -> dict[str, list[Article]]:
    """Give articles that differ in all that decides, some of them alike."""
    run = SizeRun(36, 46)
    lists = {
        "frame": [
            shop.frame(f"f{standard}{wheels}{largest}{brake}{hole}", standard, wheels, **figures)
            for standard in ("two-bolt-165", "flat-167")
            for wheels in (3, 4)
            for largest in (None, 80, 110)
            for brake in (None, True, False)
            for hole in ("axle-place-8", "axle-place-6")
            for figures in ({"largest_wheel_mm": largest, "takes_brake": brake, "axle_place": hole},)
        ],
        "wheel": [shop.wheel(f"w{mark}", mark) for mark in (72, 80, 84, 110)],
        "bearing": [shop.bearing(f"b{axle}", axle) for axle in ("axle-8", "axle-6")],
        "axle": [shop.axle(f"a{size}", size) for size in ("8", "6")],
        "liner": [shop.pair("liner", f"l{room}", sizes=run, insole_room_mm=room) for room in (2, 6)],
        "insole": [shop.pair("insole", f"i{thick}", sizes=run, thickness_mm=thick) for thick in (2, 4, 9)],
        "brake": [
            shop.pair("brake", f"k{low}", units_per_pack=1, smallest_wheel_mm=low, largest_wheel_mm=84)
            for low in (70, 78)
        ],
        "lace": [shop.pair("lace", f"n{length}", length_mm=length) for length in (1500, 1800)],
    }
    return {**lists, "other kinds": [shop.pair("strap"), shop.pair("cuff")]}


def baskets(articles: Mapping[str, Sequence[Article]]) -> st.SearchStrategy[list[Article]]:
    """Give some articles, one of a kind at most."""
    each = [st.sampled_from(list(those)) for those in articles.values()]
    return st.lists(st.one_of(each), min_size=1, max_size=4, unique_by=lambda article: article.kind)


class TestBasketLaws:
    """What is foretold of any articles ..."""

    @settings(max_examples=300, deadline=None)
    @given(data=st.data())
    def test_is_what_the_basket_says(self, upgrade_shop: Any, upgrade_till: Till, data: st.DataObject) -> None:
        """... that are bought together is what the basket says of them, where no brake stands on the skate."""
        articles = pool(upgrade_shop)
        stands = data.draw(st.lists(st.sampled_from(("lace", "liner", "insole")), unique=True), label="stands")
        more = [(articles[kind][0], 2) for kind in stands]
        skate = owned(upgrade_shop, *more, boot=upgrade_shop.boot(insole_room_mm=data.draw(st.sampled_from((2, 6)))))
        bought = data.draw(baskets(articles), label="bought")
        found = compatibility(skate, by_kind(bought), upgrade_till)

        assert cart_is_clear(skate, upgrade_till, bought) == is_foretold(found, bought)

    @settings(max_examples=200, deadline=None)
    @given(data=st.data())
    def test_is_never_more_than_the_basket_says(
        self, upgrade_shop: Any, upgrade_till: Till, data: st.DataObject
    ) -> None:
        """... is never that they go on where the basket would ask, though a brake stands there or little is known."""
        articles = pool(upgrade_shop)
        mounts = [(), (("axle", "axle", "axle-8"),), (("axle", "axle", "axle-6"), ("hub", "wheel", "hub-608"))]
        more = data.draw(st.sampled_from(mounts), label="mounts of the skate")
        boot = upgrade_shop.article("skate", "boot", ("frame", "boot", "two-bolt-165"), *more)
        standing = data.draw(baskets(articles), label="stands")
        fitted = tuple(Fitted(each, None, as_sold=data.draw(st.booleans())) for each in standing)
        skate = Owned((Version(boot, fitted),), 42)
        bought = data.draw(baskets(articles), label="bought")
        found = compatibility(skate, by_kind(bought), upgrade_till)

        assert cart_is_clear(skate, upgrade_till, bought) or not is_foretold(found, bought)

    @pytest.mark.parametrize("change", [{"mass_g": 9}, {"colour": "rust"}, {"name": "Another"}, {"price": None}])
    def test_is_the_same_of_articles_that_are_alike(
        self, upgrade_shop: Any, upgrade_till: Till, change: dict[str, Any]
    ) -> None:
        """... is alike for those that differ only in what no rule reads."""
        registry = upgrade_till.bench.registry
        for article in chain.from_iterable(pool(upgrade_shop).values()):
            specs = {"specs": {**article.specs, **change}} if "mass_g" in change else change
            assert interface(article, frozenset(), registry) == interface(
                replace(article, sku="another", **specs), frozenset(), registry
            )

    def test_tells_apart_what_the_basket_does(self, upgrade_shop: Any, upgrade_till: Till) -> None:
        """... is judged apart for any two that differ in what a rule reads."""
        registry = upgrade_till.bench.registry
        for those in pool(upgrade_shop).values():
            for one, other in combinations(those, 2):
                assert interface(one, frozenset(), registry) != interface(other, frozenset(), registry)
