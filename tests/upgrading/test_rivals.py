"""What stands against a plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.plan import Step, planned
from mountwright.upgrading.problem import Option, Position, Problem, Rate, Stage
from mountwright.upgrading.rivals import front, priced, rivals, winning_price_minor, without

LINER = (
    Option("plain", parts_minor=9000, complaints=(7, 0), gain=1),
    Option("thick", parts_minor=12000, labour_minor=2000, complaints=(9, 0)),
)
PROBLEM = Problem(
    (
        Position("liner", options=LINER),
        Position("wheels", options=(Option("soft", parts_minor=6000, complaints=(0, 6), gain=30),)),
        Position("insole", options=(Option("thin", parts_minor=2500, complaints=(3, 0)),)),
    ),
    (Stage(10000, 3), Stage(15000, 9)),
    complaints=("heel_lifts", "rolls_slowly"),
    rate=Rate(10, 1),
)


class TestFront:
    """The front of cost against relief ..."""

    def test_gives_each_step_up_at_its_least_price(self) -> None:
        """... begins with nothing, ends with the most that money buys, and leaves out what is dear for its relief."""
        found = front(PROBLEM)

        assert [(0, 0), (2500, 3), (9000, 7), (11500, 10)] == [(each.cost_minor, each.points) for each in found]
        assert [("liner", "plain"), ("insole", "thin")] == [(step[0], step.option.key) for step in found[-1].steps]

    def test_takes_all_money_at_once(self) -> None:
        """... has twelve points for a richer budget, whatever the instalments are."""
        richer = replace(PROBLEM, stages=(Stage(0, 3), Stage(16500, 9)))

        assert (16500, 12) == front(richer)[-1][:2]

    def test_needs_a_complaint(self) -> None:
        """... is refused where nobody complains."""
        with pytest.raises(InvalidQuantityError, match="a complaint"):
            front(Problem((), (Stage(0, 1),)))


class TestRivals:
    """The rivals of a plan ..."""

    def test_serve_a_complaint_by_something_else(self) -> None:
        """... are the best plans without the strongest remedy of each complaint it serves and its like."""
        plan = planned(PROBLEM)
        found = rivals(PROBLEM, plan)

        assert [("liner", "plain", 1), ("insole", "thin", 2)] == [(s[0], s.option.key, s.stage) for s in plan.steps]
        assert ["heel_lifts"] == [rival.complaint for rival in found]
        assert "plain" == found[0].instead_of.option.key
        assert planned(without(without(PROBLEM, "liner", "plain"), "liner", "thick")) == found[0].plan

    def test_name_what_serves_instead(self) -> None:
        """... name the strongest new remedy, which is never the same kind of part from the same shelf."""
        poor = replace(PROBLEM, stages=(Stage(9000, 3),))
        [found] = rivals(poor, planned(poor))

        assert ("liner", "plain") == (found.instead_of.position, found.instead_of.option.key)
        assert found.remedy is not None
        assert ("insole", "thin") == (found.remedy.position, found.remedy.option.key)

    def test_may_go_without(self) -> None:
        """... name no remedy where nothing new serves the complaint, and stand in the order of what they come to."""
        rich = replace(PROBLEM, stages=(Stage(22500, 3),))
        found = rivals(rich, planned(rich))

        assert {"heel_lifts": None, "rolls_slowly": None} == {rival.complaint: rival.remedy for rival in found}
        assert sorted((rival.plan.value for rival in found), reverse=True) == [rival.plan.value for rival in found]

    def test_keep_what_is_bought_there_for_something_else(self) -> None:
        """... may still hold another part of the same place that does nothing for the complaint."""
        slick = Option("slick", parts_minor=100, complaints=(0, 1))
        problem = replace(PROBLEM, positions=(Position("liner", options=(*LINER, slick)),), stages=(Stage(9000, 3),))
        [found] = rivals(problem, planned(problem))

        assert [("liner", "slick")] == [(step.position, step.option.key) for step in found.plan.steps]

    @pytest.mark.parametrize(
        ("money", "taken", "instead"),
        [(5000, "new", "job:clean"), (1000, "job:clean", "job:oil"), (6000, "job:mould", "new")],
    )
    def test_keep_the_work_on_what_stands_there(self, money: int, taken: str, instead: str) -> None:
        """... clean what a new part would take the place of, oil what they do not clean: each is its own kind."""
        rows = (
            *(("new", 4000, 0, 8), ("newer", 4500, 0, 8)),
            *(("job:clean", 0, 400, 4), ("job:oil", 0, 100, 2), ("job:mould", 0, 5500, 9)),
        )
        options = tuple(
            Option(key, parts_minor=parts, consumables_minor=used, complaints=(points,))
            for key, parts, used, points in rows
        )
        problem = Problem((Position("bearing", options=options),), (Stage(money, 1),), complaints=("noisy",))
        [found] = rivals(problem, planned(problem))

        assert taken == found.instead_of.option.key
        assert found.remedy is not None
        assert instead == found.remedy.option.key

    def test_are_no_more_than_asked_for(self) -> None:
        """... are cut off after so many."""
        rich = replace(PROBLEM, stages=(Stage(22500, 3),))

        assert 1 == len(rivals(rich, planned(rich), most=1))


class TestWinningPrice:
    """The price at which something would win ..."""

    def test_is_the_highest_at_which_the_plan_holds_it(self) -> None:
        """... of the thicker liner is 100, to the cent: then it can be had at once, and the insole after it."""
        thick = Step("liner", LINER[1], 2)
        price = winning_price_minor(PROBLEM, thick, within_minor=1)

        assert 12500 == price
        assert [True, False] == [
            thick.option.key in {step.option.key for step in planned(priced(PROBLEM, "liner", "thick", each)).steps}
            for each in (12500, 12501)
        ]

    def test_may_be_none(self) -> None:
        """... is none for what does nothing that is asked for: nobody takes it for a gift if it costs a place."""
        worse = Option("worse", parts_minor=100, complaints=(0, 0))
        problem = replace(
            PROBLEM, positions=(replace(PROBLEM.positions[0], options=(*LINER, worse)), *PROBLEM.positions[1:])
        )

        assert winning_price_minor(problem, Step("liner", worse, 1)) is None

    def test_is_told_closely_enough(self) -> None:
        """... is not told closer than to 1."""
        with pytest.raises(InvalidQuantityError, match="1 or more"):
            winning_price_minor(PROBLEM, Step("liner", LINER[1], 2), within_minor=0)
