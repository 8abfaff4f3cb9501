"""A path: what it comes to, what each step is for and takes the place of, and what stands against it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest

from mountwright.checkout.article import Article, Price, SizeRun
from mountwright.checkout.finding import Decision
from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.complaints import complaint
from mountwright.upgrading.customer import Customer, Instalment, Money, Wishes
from mountwright.upgrading.options import Terms
from mountwright.upgrading.path import Outcome, Path
from mountwright.upgrading.unchosen import WhyNot

Written = Callable[..., Customer]
Walked = Callable[..., Path]

ANY_FOOT = SizeRun(36, 46)


def cents(*amounts: int) -> Money:
    """Give money, by instalments a month apart where there are several."""
    if len(amounts) == 1:
        return Money("EUR", (Instalment(None, amounts[0]),))
    return Money("EUR", tuple(Instalment(date(2025, 3 + number, 1), each) for number, each in enumerate(amounts)))


def done(path: Path) -> list[list[str]]:
    """Give the keys of what is done at each stage, in order."""
    return [[each.step.option.key for each in stage] for stage in path.stages]


def liner(shop: Any, sku: str = "liner", minor: int = 9000, **more: Any) -> Article:
    """Give a liner for any foot."""
    found: Article = shop.pair("liner", sku, sizes=ANY_FOOT, price=Price(minor, "EUR"), **more)
    return found


def insole(shop: Any, sku: str = "insole", minor: int = 3000) -> Article:
    """Give an insole for any foot."""
    found: Article = shop.pair("insole", sku, sizes=ANY_FOOT, price=Price(minor, "EUR"))
    return found


class TestOutcome:
    """What a path comes to."""

    def test_parts_for_money_are_a_path(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """There is something to buy that helps."""
        found = walk(customer_of("bearing_noisy"), upgrade_shop.bearing())

        assert Outcome.PATH is found.outcome
        assert [["bearing"]] == done(found)

    def test_work_that_costs_nothing_is_told_as_such(self, customer_of: Written, walk: Walked) -> None:
        """A frame is shifted and wheels are turned for nothing where nobody takes a wage."""
        found = walk(customer_of("pulls_to_one_side", money=cents(0)))

        assert Outcome.FREE_WORK_ONLY is found.outcome
        assert [{"job:shift_frame", "job:rotate_wheels"}] == [set(stage) for stage in done(found)]
        assert 0 == found.plan.cost_minor

    def test_nothing_helps_where_nothing_is_to_be_had(self, customer_of: Written, walk: Walked) -> None:
        """No complaint, no wish and nothing for sale: the skate stays as it is."""
        found = walk(customer_of())

        assert Outcome.NOTHING_HELPS is found.outcome
        assert ((), (), ((),)) == (found.complaints, found.hazards, found.stages)

    def test_a_mount_that_cannot_be_told_is_measured_first(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """Every frame is refused for want of one look at the boot: that look is the first step."""
        boot = upgrade_shop.article("skate", "boot", ("frame", "boot", ""))
        found = walk(customer_of("frame_not_under_foot", boot=boot, stays=frozenset({"wheel"})), upgrade_shop.frame())

        assert Outcome.MEASURE_FIRST is found.outcome
        assert found.next_step is not None
        assert "boot" == found.next_step.side

    def test_nothing_is_measured_where_a_frame_goes_on(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """One that is refused for what is known asks for no look."""
        frames = upgrade_shop.frame(), upgrade_shop.frame("wrong", "two-bolt-195")

        assert walk(customer_of("frame_cracked"), *frames).next_step is None
        assert walk(customer_of("frame_cracked"), frames[1]).next_step is None

    def test_nothing_is_measured_on_the_boot_for_what_is_doubtful_elsewhere(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """A frame of which nobody knows the mount, and a liner that is nearly of the size, tell nothing of the boot."""
        vague, close = upgrade_shop.frame("vague", ""), upgrade_shop.pair("liner", sizes=SizeRun(43, 46))
        found = walk(customer_of("frame_cracked", "liner_worn"), vague, close)

        assert {"vague", "liner"} == {each.article.sku for each in found.choice.left_out}
        assert found.next_step is None

    def test_nothing_is_measured_for_more_of_a_kind_that_is_sold(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """The frame that came with a boot goes on it again, though nobody can tell what others would."""
        boot = upgrade_shop.article("skate", "boot", ("frame", "boot", ""))
        customer = customer_of("frame_not_under_foot", boot=boot, stays=frozenset({"wheel"}))

        assert walk(customer, upgrade_shop.frame(), upgrade_shop.frame("own-frame")).next_step is None

    def test_nothing_is_sold_for_a_skate_that_is_done_with(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """A cracked shell stops everything, though bearings would be to be had."""
        found = walk(customer_of("bearing_noisy", "shell_cracked"), upgrade_shop.bearing())

        assert Outcome.STOP_USING is found.outcome
        assert ((), ((),), ()) == (found.plan.steps, found.stages, found.others)
        assert (0, 0) == (found.plan.cost_minor, found.plan.value.complaints[0])
        assert () == found.front
        assert [("shell_cracked", 0.0, None)] == [(each[0].code, *each[1:]) for each in found.hazards]

    @pytest.mark.parametrize(("money", "outcome"), [(1000, Outcome.PATH), (999, Outcome.STOP_USING)])
    def test_a_skate_that_can_be_put_right_is_not_done_with(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked, money: int, outcome: Outcome
    ) -> None:
        """A cracked frame is replaced, if there is money for it."""
        customer = customer_of("frame_cracked", money=cents(money + 50))

        assert outcome is walk(customer, upgrade_shop.frame()).outcome

    @pytest.mark.parametrize(("money", "outcome"), [(9000, Outcome.ANOTHER_SKATE), (8999, Outcome.PATH)])
    def test_another_skate_may_be_the_answer(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked, money: int, outcome: Outcome
    ) -> None:
        """It does more for a boot that is too large than an insole, where there is money for it."""
        new = upgrade_shop.article("skate", "new", price=Price(10_000, "EUR"))
        customer = customer_of("boot_too_large", money=cents(money))
        found = walk(customer, insole(upgrade_shop), skates=[new], trade_in_minor=1000)

        assert outcome is found.outcome
        assert found.other_skate is not None
        assert (new, 9000) == (found.other_skate.article, found.other_skate.wins_from_minor)

    def test_what_nobody_knows_is_asked_back(self, customer_of: Written, walk: Walked) -> None:
        """An unknown complaint is refused with the nearest one."""
        with pytest.raises(InvalidQuantityError, match="heel_lift"):
            walk(customer_of("heel_lifts"))


class TestSteps:
    """The steps of a path."""

    def test_a_step_names_what_it_takes_the_place_of(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """Bearings take the place of bearings, a gift among them; where nothing stood there is nothing old."""
        parts = upgrade_shop.bearing(price=Price(0, "EUR")), liner(upgrade_shop)
        [steps] = walk(customer_of("bearing_noisy", "liner_worn"), *parts).stages
        old = {each.step.position: each.old for each in steps}

        assert {"bearing": "own-bearing", "liner": None} == {name: each and each.sku for name, each in old.items()}

    def test_a_step_tells_which_checks_let_it_pass_and_what_it_changes(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """A bearing is compared with the axle and the hub; a wheel that is 4 mm larger lifts the sole by 2."""
        wishes = Wishes(wheel_diameter_mm=80)
        found = walk(customer_of("bearing_noisy", wishes=wishes), upgrade_shop.bearing(), upgrade_shop.wheel())
        steps = {each.step.position: each for stage in found.stages for each in stage}
        checks = {each.check.code for each in steps["bearing"].findings if each.check is not None}

        assert {"bearing_on_axle", "bearing_in_hub"} == checks
        assert {Decision.CLEAR} == {each.decision for step in steps.values() for each in step.findings}
        assert (2.0, None) == (steps["wheel"].effect.height_mm, steps["bearing"].effect.height_mm)

    def test_a_job_takes_the_place_of_nothing(self, customer_of: Written, walk: Walked) -> None:
        """Bearings that are cleaned are still the same."""
        [[step]] = walk(customer_of("bearing_noisy")).stages

        assert ("job:service_bearings", None) == (step.step.option.key, step.old)
        assert step.offer.article is None

    def test_each_stands_at_the_stage_where_its_money_comes(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """There is one list for each instalment, an empty one where nothing is due."""
        customer = customer_of("bearing_noisy", "liner_worn", money=cents(2500, 0, 9000))

        assert [["bearing"], [], ["liner"]] == done(walk(customer, upgrade_shop.bearing(), liner(upgrade_shop)))

    def test_what_takes_a_hazard_away_comes_first(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """A dear brake goes before cheap bearings that do more for their price."""
        brake = upgrade_shop.pair("brake", units_per_pack=1, smallest_wheel_mm=70, largest_wheel_mm=84)
        found = walk(customer_of("bearing_noisy", "brake_worn"), upgrade_shop.bearing(price=Price(1, "EUR")), brake)

        assert [["brake", "bearing"]] == done(found)
        assert 1.0 == found.stages[0][0].keeps_place

    @pytest.mark.parametrize(
        ("hazard", "sold"),
        [
            ("frame_cracked", [[], ["frame", "insole"]]),
            ("bearing_seized", [["insole"], []]),
        ],
    )
    def test_nothing_is_sold_before_a_grave_hazard_is_gone(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked, hazard: str, sold: list[list[str]]
    ) -> None:
        """Money waits for the frame while nobody may ride; what cannot be had keeps nothing waiting."""
        parts = upgrade_shop.frame(price=Price(9000, "EUR")), insole(upgrade_shop)
        found = walk(customer_of("heel_lift", hazard, money=cents(4000, 16000)), *parts)

        assert sold == [
            sorted(each.step.option.key for each in stage if each.step.option.parts_minor) for stage in found.stages
        ]

    def test_what_does_most_for_its_price_comes_first(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """Of two remedies of one complaint the cheaper goes first if it helps nearly as well."""
        orders = [
            done(walk(customer_of("boot_too_large"), insole(upgrade_shop, minor=one), liner(upgrade_shop, minor=other)))
            for one, other in ((1000, 20_000), (20_000, 1000))
        ]

        assert [[["insole", "liner"]], [["liner", "insole"]]] == orders

    def test_how_sure_its_place_is_lies_between_never_and_always(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """Far from each other in price the order is certain, close by it is not."""
        sure, unsure = (
            [
                each.keeps_place
                for stage in walk(
                    customer_of("boot_too_large"), insole(upgrade_shop, minor=minor), liner(upgrade_shop, minor=10_000)
                ).stages
                for each in stage
            ]
            for minor in (10, 7000)
        )

        assert [1.0, 1.0] == sure
        assert all(0 < each < 1 for each in unsure)

    def test_the_bench_has_all_work_of_the_path(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """Every job of every step is done, and what has to come before and after it."""
        parts = upgrade_shop.bearing(), liner(upgrade_shop)
        found = walk(customer_of("bearing_noisy", "liner_worn", money=cents(2500, 9000)), *parts)
        jobs = {key for stage in found.stages for each in stage for key in each.offer.work.jobs}

        assert {"swap_bearings", "fit_liner"} == jobs
        assert jobs < {each.key for each in found.bench.jobs}


class TestServed:
    """What a path does for each complaint."""

    def test_remedies_that_are_independent_leave_the_product(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """What one leaves the other takes its share of."""
        found = walk(customer_of("boot_too_large", money=cents(4000, 9000)), insole(upgrade_shop), liner(upgrade_shop))
        shares = [complaint("boot_too_large").relief(kind).likely for kind in ("insole", "liner")]
        [served] = found.complaints

        assert [["insole"], ["liner"]] == done(found)
        assert pytest.approx(1 - (1 - shares[0]) * (1 - shares[1])) == served.relief
        assert 1 == served.stage

    def test_a_complaint_that_nothing_helps_is_told_with_nothing(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """It is not left out, in the rider's order."""
        found = walk(customer_of("liner_worn", "bearing_noisy"), upgrade_shop.bearing())

        assert ["liner_worn", "bearing_noisy"] == [each.complaint.code for each in found.complaints]
        assert (0.0, None) == found.complaints[0][1:]
        assert found.complaints[1].relief > 0

    def test_what_is_known_of_the_wheels_is_used(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """Wheels that hardly bounce are why it rolls slowly, and nothing else has to be looked at."""
        stands = upgrade_shop.stands()
        dead = upgrade_shop.wheel("own-wheel", 76, rebound_percent=30)
        fitted = [each._replace(article=dead) if each.article.kind == "wheel" else each for each in stands]
        found = walk(customer_of("rolls_slowly", fitted=fitted), upgrade_shop.wheel("new", 80, rebound_percent=80))

        assert {"rolls_slowly": {"wheels_hard_dead": True}} == found.choice.aims.looked
        assert 0.6 < found.complaints[0].relief

    def test_a_look_adds_to_what_is_known_and_goes_before_it(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """What was ruled out at the counter does not make the rest forgotten, and is believed before a figure."""
        dead = upgrade_shop.wheel("own-wheel", 76, rebound_percent=30)
        fitted = [
            each._replace(article=dead) if each.article.kind == "wheel" else each for each in upgrade_shop.stands()
        ]
        customer = customer_of("rolls_slowly", fitted=fitted)
        known = [
            walk(customer, terms=Terms(looked={"rolls_slowly": {cause: False}})).choice.aims.looked["rolls_slowly"]
            for cause in ("bearings_dirty", "wheels_hard_dead")
        ]

        assert [{"wheels_hard_dead": True, "bearings_dirty": False}, {"wheels_hard_dead": False}] == known

    def test_a_look_at_what_nobody_complains_of_is_passed_over(self, customer_of: Written, walk: Walked) -> None:
        """It changes nothing."""
        terms = Terms(looked={"heel_lift": {"strap_wrong": True}})

        assert {} == walk(customer_of("bearing_noisy"), terms=terms).choice.aims.looked


class TestAgainst:
    """What stands against a path."""

    def test_an_alternative_is_another_kind_of_remedy(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """The same liner in another colour is none: instead of a liner there is an insole."""
        twins = [liner(upgrade_shop, f"liner-{colour}", colour=colour) for colour in ("rust", "teal")]
        customer = customer_of("boot_too_large", money=cents(10_000))
        [other] = walk(customer, *twins, insole(upgrade_shop, minor=3000)).others

        assert ("liner", "liner-rust") == (other.rival.instead_of.position, other.rival.instead_of.option.key)
        assert other.rival.remedy is not None
        assert "insole" == other.rival.remedy.position
        assert {"insole"} == {step.position for step in other.rival.plan.steps}

    def test_an_alternative_tells_the_price_at_which_it_wins(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """The insole comes in as well as soon as there is money left for it."""
        customer = customer_of("boot_too_large", money=cents(10_000))
        [other] = walk(customer, liner(upgrade_shop), insole(upgrade_shop, minor=3000)).others

        assert other.wins_at_minor is not None
        assert 900 < other.wins_at_minor <= 1000

    def test_an_alternative_may_go_without(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """Nothing else helps a worn liner: that is said, and has no price."""
        [other] = walk(customer_of("liner_worn"), liner(upgrade_shop)).others

        assert (None, None) == (other.rival.remedy, other.wins_at_minor)

    @pytest.mark.parametrize("most", [0, 1, 2, 3])
    def test_alternatives_are_no_more_than_asked_for(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked, most: int
    ) -> None:
        """The best of them, none where none is wanted."""
        customer = customer_of("boot_too_large", "bearing_noisy", "liner_worn")
        parts = liner(upgrade_shop), insole(upgrade_shop), upgrade_shop.bearing()
        found = walk(customer, *parts, most_others=most)
        values = [each.rival.plan.value for each in found.others]

        assert min(most, 2) == len(found.others)
        assert sorted(values, reverse=True) == values

    def test_nothing_else_is_looked_for_once_time_ran_out(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """Each further plan would run out of time as well: the answer is the path alone, and not proved."""
        parts = liner(upgrade_shop), insole(upgrade_shop), upgrade_shop.bearing()
        hurried, calm = (walk(customer_of("heel_lift"), *parts, time_limit_s=limit) for limit in (1e-9, 2.0))

        assert (False, (), ()) == (hurried.plan.is_proved, hurried.others, hurried.front)
        assert calm.plan.is_proved
        assert calm.front
        assert calm.others

    def test_the_front_is_of_the_first_complaint(self, upgrade_shop: Any, customer_of: Written, walk: Walked) -> None:
        """It begins with nothing; without a complaint there is none."""
        parts = liner(upgrade_shop), insole(upgrade_shop), upgrade_shop.bearing()
        found = walk(customer_of("boot_too_large", "bearing_noisy"), *parts)

        assert [0, 3000, 9000, 12_000] == [each.cost_minor for each in found.front]
        assert () == walk(customer_of(wishes=Wishes(colour="teal")), *parts).front

    def test_what_is_not_bought_is_told_with_its_reason(
        self, upgrade_shop: Any, customer_of: Written, walk: Walked
    ) -> None:
        """By the path that was chosen in the end."""
        found = walk(customer_of("bearing_noisy"), upgrade_shop.bearing(), upgrade_shop.frame())
        reasons = {each.kind: each.why for each in found.not_chosen}

        assert (WhyNot.NOT_NEEDED, WhyNot.NO_CANDIDATES) == (reasons["frame"], reasons["liner"])
        assert "bearing" not in reasons
