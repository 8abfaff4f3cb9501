"""What a customer may choose from is counted, priced and linked as the trade does, and what is left out is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from mountwright.bench.jobs import bench_jobs
from mountwright.checkout.article import Article, Hand, Price, SizeRun
from mountwright.checkout.basket import Fitted
from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.aims import Aims
from mountwright.upgrading.amounts import amount, enough_for, goes_by_wheel, pieces_for_pair
from mountwright.upgrading.bench_work import fitting_job
from mountwright.upgrading.compatibility import AS_IS
from mountwright.upgrading.complaints import complaint, complaints
from mountwright.upgrading.customer import KINDS, Customer, Instalment, Money, Wishes
from mountwright.upgrading.levels import relief_points
from mountwright.upgrading.offers import Offer, Reason
from mountwright.upgrading.options import Choice, Terms, stages_of
from mountwright.upgrading.plan import planned
from mountwright.upgrading.problem import Option, Position, Stage

Asked = Callable[..., Choice]
Written = Callable[..., Customer]


def position(choice: Choice, name: str) -> Position:
    """Give a position of the question."""
    return next(each for each in choice.problem.positions if each.name == name)


def keys(choice: Choice, name: str) -> list[str]:
    """Give the keys of the options at a position, none where there is no such position."""
    return [each.key for position in choice.problem.positions if position.name == name for each in position.options]


def option(choice: Choice, name: str, key: str) -> Option:
    """Give one option."""
    return next(each for each in position(choice, name).options if each.key == key)


def offer(choice: Choice, name: str, key: str) -> Offer:
    """Give what an option stands for."""
    return choice.offers[name, key]


def reasons(choice: Choice) -> dict[str, Reason]:
    """Give why each article was left out, by SKU."""
    return {each.article.sku: each.reason for each in choice.left_out}


def passes(choice: Choice, one: tuple[str, str], other: tuple[str, str]) -> bool:
    """Tell whether two options go together, each a position and a key, an empty key for the part as it is."""
    signs = tuple(option(choice, *each).signature if each[1] else AS_IS for each in (one, other))
    [link] = [each for each in choice.problem.links if (each.one, each.other) == (one[0], other[0])]
    return signs in link.passing


class TestTrade:
    """A customer ..."""

    def test_is_never_offered_a_frame_of_another_spacing(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked
    ) -> None:
        """... whose boot has holes 165 mm apart is never offered a frame for 195 mm, and hears of it."""
        choice = choose(customer_of(), upgrade_shop.frame("good"), upgrade_shop.frame("wrong", "two-bolt-195"))

        assert ["good"] == keys(choice, "frame")
        assert {"wrong": Reason.DOES_NOT_GO_ON} == reasons(choice)
        assert {Reason.DOES_NOT_GO_ON: 1} == choice.left_out_counts

    def test_gets_a_frame_for_large_wheels_only_with_these(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked
    ) -> None:
        """... who wants 3 x 110 gets frame and wheels together, and not one without the other."""
        frame, wheel = upgrade_shop.frame("three", wheels=3, price=Price(5000, "EUR")), upgrade_shop.wheel("large", 110)
        poor, rich = (
            customer_of(wishes=Wishes(wheel_diameter_mm=110), money=Money("EUR", (Instalment(None, cents),)))
            for cents in (10_500, 12_000)
        )
        choice = choose(rich, frame, wheel)

        assert [("frame", "three"), ("wheel", "large for 3")] == [
            (step.position, step.option.key) for step in planned(choice.problem, 5.0).steps
        ]
        assert () == planned(choose(poor, frame, wheel).problem, 5.0).steps
        assert not passes(choice, ("frame", ""), ("wheel", "large for 3"))
        assert passes(choice, ("frame", "three"), ("wheel", "large for 3"))

    def test_gets_the_axles_that_a_frame_needs(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... who takes a frame for axles of 6 mm has to take these, and the bearings that go on them."""
        parts = (
            upgrade_shop.frame("six", axle_place="axle-place-6", colour="teal"),
            upgrade_shop.axle("axle-6", "6"),
            upgrade_shop.bearing("bearing-6", "axle-6"),
        )
        customer = customer_of(wishes=Wishes(colour="teal"))

        assert {"frame", "axle", "bearing"} == {
            step.position for step in planned(choose(customer, *parts).problem, 5.0).steps
        }
        assert () == planned(choose(customer, *parts[:2]).problem, 5.0).steps

    def test_keeps_what_has_to_stay(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... whose frame has to stay is offered none, nor wheels that only another frame would take."""
        customer = customer_of(stays=frozenset({"frame"}), wishes=Wishes(wheel_diameter_mm=110))
        choice = choose(customer, upgrade_shop.frame("three", wheels=3), upgrade_shop.wheel("large", 110))

        assert position(choice, "frame").is_locked
        assert [] == keys(choice, "frame")
        assert {"three": Reason.STAYS} == reasons(choice)
        assert () == planned(choice.problem, 5.0).steps

    def test_hears_what_was_left_out(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... hears what was left out for its currency, its price, its pack, its hand, or that it is not there."""
        away = upgrade_shop.wheel("away")
        choice = choose(
            customer_of(),
            upgrade_shop.wheel("dollars", price=Price(100, "USD")),
            upgrade_shop.wheel("no price", price=None),
            upgrade_shop.wheel("some", units_per_pack=None),
            upgrade_shop.frame("left", hand=Hand.LEFT),
            upgrade_shop.frame("no count", wheel_count=None, axle_places=()),
            upgrade_shop.wheel("good"),
            away=[away],
            terms=Terms(in_stock_only=True),
        )

        assert {
            "dollars": Reason.OTHER_CURRENCY,
            "no price": Reason.NO_PRICE,
            "some": Reason.PACK_SIZE_UNKNOWN,
            "left": Reason.ONE_HAND,
            "no count": Reason.WHEEL_COUNT_UNKNOWN,
            "away": Reason.NOT_IN_STOCK,
        } == reasons(choice)
        assert ["good"] == keys(choice, "wheel")

    def test_may_wait_for_what_is_not_in_stock(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... who may wait is offered what is not in stock, too."""
        choice = choose(customer_of(), away=[upgrade_shop.wheel("away")])

        assert ["away"] == keys(choice, "wheel")

    def test_sees_two_of_one_key_once(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... sees an article once, however often it is listed."""
        choice = choose(customer_of(), upgrade_shop.wheel("same"), upgrade_shop.wheel("same", 84))

        assert ["same"] == keys(choice, "wheel")
        assert 80 == offer(choice, "wheel", "same").article.specs["diameter_mm"]  # type: ignore[union-attr]

    def test_gets_nothing_for_unknown_wheels(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... of whose skate nobody knows how many wheels it has is offered none."""
        choice = choose(customer_of(fitted=()), upgrade_shop.wheel(), upgrade_shop.bearing())

        assert {"wheel": Reason.WHEEL_COUNT_UNKNOWN, "bearing": Reason.WHEEL_COUNT_UNKNOWN} == reasons(choice)

    def test_may_start_from_a_bare_boot(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... with a bare boot gets a whole set that goes together, or nothing."""
        parts = (upgrade_shop.frame(colour="teal"), upgrade_shop.wheel(), upgrade_shop.bearing(), upgrade_shop.axle())
        customer = customer_of(fitted=(), wishes=Wishes(colour="teal"))

        assert (
            {each.kind for each in parts}
            >= {step.position for step in planned(choose(customer, *parts).problem, 5.0).steps}
            > {"frame", "wheel"}
        )
        assert () == planned(choose(customer, parts[0]).problem, 5.0).steps

    def test_has_to_have_known_complaints(self, customer_of: Written, choose: Asked) -> None:
        """... who complains of what nobody knows is asked what is meant."""
        with pytest.raises(InvalidQuantityError, match="heel_lift"):
            choose(customer_of("heel_lifts"))


class TestAmounts:
    """How much is bought ..."""

    @pytest.mark.parametrize(
        ("kind", "pack", "wheels", "packs", "spare"),
        [
            ("wheel", 4, 4, 2, 0),
            ("wheel", 4, 3, 2, 2),
            ("wheel", 1, 3, 6, 0),
            ("bearing", 8, 4, 2, 0),
            ("bearing", 8, 3, 2, 4),
            ("bearing", 16, 4, 1, 0),
            ("axle", 1, 3, 6, 0),
            ("frame", 2, 4, 1, 0),
            ("frame", 1, 3, 2, 0),
            ("insole", 2, 4, 1, 0),
            ("buckle", 1, 4, 2, 0),
            ("brake", 1, 4, 1, 0),
            ("bolt", 1, 4, 4, 0),
            ("spacer", 8, 3, 1, 2),
        ],
    )
    def test_is_the_fewest_packs_for_a_pair(
        self, upgrade_shop: Any, kind: str, pack: int, wheels: int, packs: int, spare: int
    ) -> None:
        """... is the fewest packs that hold what both skates take; eight wheels in packs of four are two packs."""
        bought = amount(upgrade_shop.article(kind, kind, units_per_pack=pack), wheels)

        assert (packs, packs * pack, spare) == bought

    def test_follows_the_basket(self) -> None:
        """... goes by the wheel for what stands at each: two bearings a wheel, an axle each."""
        assert {"wheel", "bearing", "axle", "spacer"} == {kind for kind in KINDS if goes_by_wheel(kind)}
        assert [2, 6, 12, 6] == [
            pieces_for_pair("frame", 3),
            *(pieces_for_pair(k, 3) for k in ("wheel", "bearing", "axle")),
        ]

    def test_is_nothing_where_enough_stands(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... is nothing where sixteen bearings stand and twelve are needed; eight are too few for six wheels."""
        many = customer_of()
        few = customer_of(
            fitted=[
                each._replace(pieces=8) if each.article.kind == "bearing" else each for each in upgrade_shop.stands()
            ]
        )
        parts = upgrade_shop.frame("three", wheels=3), upgrade_shop.wheel("large", 110)

        assert [True, False] == [
            passes(choose(customer, *parts), ("wheel", "large for 3"), ("bearing", "")) for customer in (many, few)
        ]
        assert [4, 2] == [enough_for(customer.owned, "bearing") for customer in (many, few)]

    def test_is_an_option_for_each_number_of_wheels(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked
    ) -> None:
        """... is an option for each number of wheels that a frame may ask for, and a frame takes no fewer."""
        parts = upgrade_shop.frame("three", wheels=3, largest_wheel_mm=80), upgrade_shop.wheel(units_per_pack=4)
        choice = choose(customer_of(), *parts)

        assert ["wheel for 3", "wheel for 4"] == keys(choice, "wheel")
        assert [(2000, 500), (2000, 0)] == [
            (each.parts_minor, each.waste_minor) for each in position(choice, "wheel").options
        ]
        assert [True, True, False, True] == [
            passes(choice, ("frame", frame), ("wheel", wheel))
            for frame in ("three", "")
            for wheel in ("wheel for 3", "wheel for 4")
        ]

    def test_is_not_known_to_be_enough_where_nobody_told(self, upgrade_shop: Any, customer_of: Written) -> None:
        """... has to be known of what stands, or is taken to be right for the wheels that are there."""
        bare = customer_of(fitted=())
        uncounted = customer_of(fitted=[each._replace(pieces=None) for each in upgrade_shop.stands()])

        assert [None, None] == [enough_for(bare.owned, kind) for kind in ("wheel", "axle")]
        assert [4, 4] == [enough_for(uncounted.owned, kind) for kind in ("wheel", "axle")]

    def test_of_spacers_is_one_in_each_wheel(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... of spacers has to be enough for the wheels where somebody told of them."""
        own = upgrade_shop.article("spacer", "own-spacer", length_mm=10)
        told, untold = customer_of(fitted=upgrade_shop.stands((own, 6))), customer_of()

        assert [False, True] == [
            passes(choose(customer, upgrade_shop.wheel()), ("wheel", "wheel"), ("spacer", ""))
            for customer in (told, untold)
        ]

    def test_of_axles_comes_with_the_frame(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... is nothing of axles that nobody told of, which come with the frame; told ones have to be enough."""
        untold = [each for each in upgrade_shop.stands() if each.article.kind != "axle"]
        few = [each._replace(pieces=6) if each.article.kind == "axle" else each for each in upgrade_shop.stands()]
        four = upgrade_shop.frame("four")

        assert [True, False] == [
            passes(choose(customer_of(fitted=stands), four), ("frame", "four"), ("axle", ""))
            for stands in (untold, few)
        ]


class TestPrices:
    """What an option costs ..."""

    def test_is_split(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... is its packs, the workshop's labour with what comes before and after, and what is used up."""
        customer = customer_of(labour_minor_per_hour=6000)
        choice = choose(customer, upgrade_shop.frame(price=Price(4000, "EUR")))
        jobs = ["take_wheels_off", "take_frame_off", "swap_frame", "put_wheels_on"]
        minutes = sum(bench_jobs()[key].minutes.usual for key in jobs)
        found = option(choice, "frame", "frame")

        assert (4000, minutes * 100, 50) == (found.parts_minor, found.labour_minor, found.consumables_minor)
        assert minutes == found.minutes
        assert ("swap_frame",) == offer(choice, "frame", "frame").work.jobs
        assert found.cost_minor == offer(choice, "frame", "frame").cost_minor

    def test_rounds_labour_up(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... is never below what it is: a part of a cent is a cent."""
        choice = choose(
            customer_of(labour_minor_per_hour=1), upgrade_shop.pair("lace", length_mm=1800), upgrade_shop.wheel()
        )

        assert 1 == option(choice, "wheel", "wheel").labour_minor

    def test_has_no_labour_at_home(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... has no labour for what is done at home, unless it is for a workshop only."""
        customer = customer_of(labour_minor_per_hour=6000, at_home=frozenset({"swap_wheels", "fit_brake"}))
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        choice = choose(customer, upgrade_shop.wheel(), brake)

        assert 0 == option(choice, "wheel", "wheel").labour_minor
        assert 0 < option(choice, "wheel", "wheel").minutes
        assert 0 < option(choice, "brake", "brake").labour_minor

    def test_has_no_invented_rate(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... has nothing for what is used up in another currency than that in which it is priced."""
        customer = customer_of(money=Money("CHF", (Instalment(None, 10_000),)))
        choice = choose(customer, upgrade_shop.frame(price=Price(4000, "CHF")))

        assert 0 == option(choice, "frame", "frame").consumables_minor

    @pytest.mark.parametrize(("stands", "job"), [(True, "swap_brake_pad"), (False, "fit_brake")])
    def test_is_that_of_the_job_which_it_takes(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked, stands: bool, job: str
    ) -> None:
        """... is that of changing what stands there, or of fitting what was not there before."""
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        more = (
            [(upgrade_shop.pair("brake", "own-brake", smallest_wheel_mm=70, largest_wheel_mm=84), 1)] if stands else []
        )
        choice = choose(customer_of(fitted=upgrade_shop.stands(*more)), brake)

        assert (job,) == offer(choice, "brake", "brake").work.jobs

    @pytest.mark.parametrize(
        ("code", "job"), [("frame_loosens", "swap_frame_bolts"), ("cuff_bolt_loose", "swap_cuff_bolt")]
    )
    def test_is_that_of_the_job_which_the_complaint_names(self, code: str, job: str) -> None:
        """... is that of the job which the complaint names, for a bolt may be of the frame or of the cuff."""
        named = [remedy.job for cause in complaint(code).causes if (remedy := cause.remedy("bolt"))]
        found = fitting_job("bolt", False, bench_jobs(), named)

        assert found is not None
        assert job == found.key
        assert None is fitting_job("other", True, bench_jobs())

    @pytest.mark.parametrize(("kind", "is_there"), [("frame", True), ("brake", False)])
    def test_is_that_of_the_job_which_stands_for_it(self, kind: str, is_there: bool) -> None:
        """... is that of an added job which fits the kind and stands for the one in the box, and of no other."""
        usual = fitting_job(kind, is_there, bench_jobs())
        assert usual is not None
        ours = replace(usual, key="ours", stands_for=(usual.key,))
        others = (replace(ours, key="beside", stands_for=()), replace(ours, key="elsewhere", fits=("lace",)))
        known = {**bench_jobs(), **{each.key: each for each in (*others, ours)}}

        assert ours == fitting_job(kind, is_there, known)


class TestAims:
    """An option ..."""

    def test_serves_a_complaint_as_often_as_its_kind_does(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked
    ) -> None:
        """... serves each complaint by the points of how often its kind does away with it."""
        choice = choose(customer_of("bearing_noisy", "heel_lift"), upgrade_shop.bearing())
        usual = complaint("bearing_noisy").relief("bearing")

        assert ("bearing_noisy", "heel_lift") == choice.problem.complaints
        assert (relief_points(usual.likely), 0) == option(choice, "bearing", "bearing").complaints
        assert {"bearing_noisy": usual} == offer(choice, "bearing", "bearing").serves

    def test_is_worth_trying_from_one_time_in_ten(self) -> None:
        """... that helps one time in ten or more has a point, though by itself it would have none; less has none."""
        points: dict[str, set[int]] = {"less": set(), "one in ten": set(), "more": set()}
        for each in complaints().values():
            for by in each.helped_by:
                band = Aims((), (each,)).relief(by).serves.get(each.code)
                if band is None:
                    continue
                share = band.likely
                size = "less" if share < 0.1 else "one in ten" if relief_points(share) == 0 else "more"
                points[size] |= {Aims((), (each,)).relief(by).complaints[0] - relief_points(share)}

        assert {"less": {0}, "one in ten": {1}, "more": {0}} == points

    def test_serves_by_what_was_looked_at(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... serves better where the cause was found at the counter."""
        customer, bearing = customer_of("bearing_noisy"), upgrade_shop.bearing()
        cause = next(each for each in complaint("bearing_noisy").causes if each.remedy("bearing"))
        blind, looked = (
            option(choose(customer, bearing, terms=Terms(looked=seen)), "bearing", "bearing").complaints[0]
            for seen in ({}, {"bearing_noisy": {cause.key: True}})
        )

        assert blind < looked

    def test_takes_hazards_first(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... takes a hazard away before any complaint, the gravest of them first."""
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        choice = choose(customer_of("heel_lift", "brake_worn", "frame_cracked"), brake, upgrade_shop.frame())

        assert ("frame_cracked", "brake_worn") == choice.problem.hazards
        assert ("heel_lift",) == choice.problem.complaints
        assert [True, False] == [each > 0 for each in option(choice, "frame", "frame").hazards]
        assert [False, True] == [each > 0 for each in option(choice, "brake", "brake").hazards]

    def test_may_be_missing(self, customer_of: Written, choose: Asked) -> None:
        """... may be missing: for a cracked shell nothing is to be had, and that is said; laces hold a heel."""
        assert ("shell_cracked",) == choose(customer_of("shell_cracked", "heel_lift")).unserved

    def test_meets_wishes_that_are_not_met(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... has a point for each wish that it meets and the part as it is does not."""
        wishes = Wishes(wheel_diameter_mm=80, wheelbase_mm=246, colour="Teal")
        wheels = [upgrade_shop.wheel("a", 80, colour="teal"), upgrade_shop.wheel("b", 76, colour="rust")]
        parts = (*wheels, upgrade_shop.frame(), upgrade_shop.bearing(colour="teal"))
        new = choose(customer_of(wishes=wishes), *parts)
        met = choose(customer_of(wishes=wishes, fitted=upgrade_shop.stands(wheel_mm=80)), *parts)

        assert [2, 0] == [option(new, "wheel", key).wishes for key in "ab"]
        assert ("wheel_diameter", "colour") == offer(new, "wheel", "a").wishes
        assert [1, 0] == [option(met, "wheel", key).wishes for key in "ab"]
        assert [0, 0] == [option(new, kind, kind).wishes for kind in ("frame", "bearing")]

    def test_is_a_wheelbase_from_the_axles(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... of a frame has the wheelbase that its axles have, where nobody wrote it down."""
        customer = customer_of(wishes=Wishes(wheelbase_mm=224))
        choice = choose(customer, upgrade_shop.frame("three", wheels=3), upgrade_shop.frame("told", wheelbase_mm=224))

        assert [1, 1] == [option(choice, "frame", key).wishes for key in ("three", "told")]


class TestBenchJobs:
    """A job of the bench ..."""

    def test_stands_beside_the_part_that_it_is_done_on(
        self, upgrade_shop: Any, customer_of: Written, choose: Asked
    ) -> None:
        """... on a part stands where that part may be changed: bearings are serviced or replaced, never both."""
        choice = choose(customer_of("rolls_slowly"), upgrade_shop.bearing())
        job = option(choice, "bearing", "job:service_bearings")

        assert ["bearing", "job:service_bearings"] == keys(choice, "bearing")
        assert AS_IS == job.signature == position(choice, "bearing").as_is
        assert (0, 400) == (job.parts_minor, job.consumables_minor)
        assert offer(choice, "bearing", "job:service_bearings").article is None

    def test_on_nothing_stands_alone(self, customer_of: Written, choose: Asked) -> None:
        """... that rules no part out has a position of its own."""
        choice = choose(customer_of("pressure_ankle"))

        assert ["job:shift_frame"] == keys(choice, "job:shift_frame")

    def test_on_a_part_that_stays_stands_alone(self, upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
        """... on a part that has to stay can still be done."""
        choice = choose(customer_of("rolls_slowly", stays=frozenset({"bearing"})), upgrade_shop.bearing())

        assert [] == keys(choice, "bearing")
        assert ["job:service_bearings"] == keys(choice, "job:service_bearings")

    @pytest.mark.parametrize(
        ("code", "job", "boot", "more", "is_offered"),
        [
            ("pressure_ankle", "heat_mould_liner", {}, {}, False),
            ("pressure_ankle", "heat_mould_liner", {"mouldable": True}, {}, True),
            ("pressure_ankle", "heat_mould_liner", {"mouldable": False}, {}, False),
            ("cannot_turn", "turn_eccentric_axles", {}, {}, False),
            ("cannot_turn", "turn_eccentric_axles", {}, {"down_settings_mm": [-1, 1]}, True),
            ("cannot_turn", "set_rocker_by_spacers", {}, {}, True),
            ("cannot_turn", "set_rocker_by_spacers", {}, {"down_settings_mm": [-1, 1]}, False),
            ("laces_loosen", "lock_lace_without_ankle_strap", {}, {}, True),
            ("laces_loosen", "lock_lace_without_ankle_strap", {"fastening": ["dial"]}, {}, False),
        ],
    )
    def test_is_offered_where_it_can_be_done(
        self,
        upgrade_shop: Any,
        customer_of: Written,
        choose: Asked,
        code: str,
        job: str,
        boot: dict[str, Any],
        more: dict[str, Any],
        is_offered: bool,
    ) -> None:
        """... is offered where the skate has what it takes; a liner is moulded only if its maker says so."""
        stands = [_with_axles(each, upgrade_shop, more) for each in upgrade_shop.stands()]
        choice = choose(customer_of(code, fitted=stands, boot=upgrade_shop.boot(**boot)))

        assert is_offered == (f"job:{job}" in {key for _, key in choice.offers})

    def test_does_not_take_off_what_has_to_stay(self, customer_of: Written, choose: Asked) -> None:
        """... that leaves the ankle strap out is not offered where the strap has to stay."""
        choice = choose(customer_of("laces_loosen", stays=frozenset({"strap"})))

        assert "job:lock_lace_without_ankle_strap" not in {key for _, key in choice.offers}

    def test_that_helps_nobody_is_not_offered(self, customer_of: Written, choose: Asked) -> None:
        """... is not offered for its own sake."""
        assert {} == choose(customer_of()).offers


def _with_axles(fitted: Fitted, shop: Any, more: dict[str, Any]) -> Fitted:
    article: Article = fitted.article
    if article.kind != "frame" or not more:
        return fitted
    places = [{**row, **more} for row in article.specs["axle_places"]]
    return fitted._replace(article=shop.frame("own-frame", axle_places=places))


class TestStages:
    """Money ..."""

    @pytest.mark.parametrize(
        ("money", "stages"),
        [
            (Money("EUR", (Instalment(None, 500),)), [(500, 365)]),
            (Money("EUR", (Instalment(date(2025, 3, 1), 500),), date(2025, 9, 1)), [(500, 184)]),
            (Money("EUR", (Instalment(date(2025, 3, 1), 0), Instalment(date(2025, 4, 1), 70))), [(0, 31), (70, 365)]),
            (
                Money("EUR", (Instalment(date(2025, 3, 1), 50), Instalment(date(2025, 4, 1), 70)), date(2025, 4, 1)),
                [(50, 31), (120, 1)],
            ),
        ],
        ids=["at once", "until a day", "two instalments", "no time left"],
    )
    def test_makes_stages(self, money: Money, stages: list[tuple[int, int]]) -> None:
        """... makes a stage of each instalment, with all that has come by then, in days to the next."""
        assert tuple(Stage(*each) for each in stages) == stages_of(money)

    def test_is_in_the_question(self, customer_of: Written, choose: Asked) -> None:
        """... is in the question as it is."""
        money = Money("EUR", (Instalment(date(2025, 3, 1), 40), Instalment(date(2025, 6, 1), 50)))

        assert stages_of(money) == choose(customer_of(money=money)).problem.stages


def test_the_positions_are_the_kinds_in_order(upgrade_shop: Any, customer_of: Written, choose: Asked) -> None:
    """Ties are settled in this order, whatever is on the list and in whatever order it stands there."""
    parts = [upgrade_shop.wheel("b"), upgrade_shop.wheel("a"), upgrade_shop.pair("liner", sizes=SizeRun(36, 46))]
    one, other = (choose(customer_of("rolls_slowly"), *those) for those in (parts, parts[::-1]))

    assert list(KINDS) == [each.name for each in one.problem.positions][: len(KINDS)]
    assert ["a", "b"] == keys(one, "wheel")
    assert one.problem == other.problem
