"""The planner, held against trying everything and against laws that any best plan obeys."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import pairwise, product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.plan import Plan, Step, Value, planned, valued
from mountwright.upgrading.problem import Link, Option, Position, Problem, Rate, Stage

#: Stage, or one more than there are, and key for each position.
Choice = tuple[tuple[int, str], ...]

_SEEDS = st.integers(10_000, 10_000_000)


def small_problem(seed: int) -> Problem:
    """Give a problem of few positions and options with many ties, linked at random."""
    rng = np.random.default_rng(seed)
    stage_count, hazards, complaints = int(rng.integers(1, 4)), int(rng.integers(0, 2)), int(rng.integers(0, 3))
    most = 3 if stage_count < 3 else 2
    kinds = [f"s{number}" for number in range(int(rng.integers(1, 4)))]
    positions = tuple(
        Position(
            f"p{place}",
            str(rng.choice(kinds)),
            tuple(some_option(rng, int(number), kinds, hazards, complaints) for number in rng.permutation(most)),
            is_locked=bool(rng.random() < 0.1),
        )
        for place in range(int(rng.integers(1, 5)))
    )
    links = tuple(
        Link(one.name, other.name, passing(rng, kinds, one, other))
        for number, one in enumerate(positions)
        for other in positions[number + 1 :]
        if rng.random() < 0.6
    )
    stages = tuple(Stage(int(budget), int(rng.integers(1, 5))) for budget in np.sort(rng.integers(0, 30, stage_count)))
    names = ("crack", "brake")[:hazards], ("heel", "slow")[:complaints]
    return Problem(positions, stages, links, *names, Rate(int(rng.integers(1, 4)), int(rng.integers(0, 3))))


def some_option(rng: np.random.Generator, number: int, kinds: list[str], hazards: int, complaints: int) -> Option:
    """Give an option whose figures are small."""
    return Option(
        f"k{number}",
        str(rng.choice(kinds)),
        *rng.integers(0, 6, 3).tolist(),
        hazards=tuple(rng.integers(0, 2, hazards).tolist()),
        complaints=tuple(rng.integers(0, 3, complaints).tolist()),
        wishes=int(rng.integers(0, 2)),
        gain=int(rng.integers(-2, 5)),
        waste_minor=int(rng.integers(0, 2)),
        minutes=int(rng.integers(0, 2)),
    )


def passing(rng: np.random.Generator, kinds: list[str], one: Position, other: Position) -> frozenset[tuple[str, str]]:
    """Give pairs of signatures, the parts as they are among them."""
    some = {pair for pair in product(kinds, kinds) if rng.random() < 0.5}
    return frozenset(some | {(one.as_is, other.as_is)})


def every_plan(problem: Problem) -> Iterator[tuple[Value, Choice]]:
    """Give each plan that can be had."""
    never = len(problem.stages) + 1
    ways = [
        [(never, ""), *(() if each.is_locked else product(range(1, never), (option.key for option in each.options)))]
        for each in problem.positions
    ]
    for chosen in product(*ways):
        steps = fitted(problem, chosen)
        if is_had(problem, steps):
            yield value_of(problem, steps), chosen


def fitted(problem: Problem, chosen: Choice) -> list[Step]:
    """Give the steps of a choice."""
    return [
        Step(position.name, option, stage)
        for position, (stage, key) in zip(problem.positions, chosen, strict=True)
        for option in position.options
        if option.key == key
    ]


def is_had(problem: Problem, steps: list[Step]) -> bool:
    """Tell whether steps keep every budget and go together at every stage."""
    for number, stage in enumerate(problem.stages, start=1):
        done = [step for step in steps if step.stage <= number]
        state = {position.name: position.as_is for position in problem.positions}
        state |= {step.position: step.option.signature for step in done}
        if sum(step.option.cost_minor for step in done) > stage.budget_minor:
            return False
        if any((state[link.one], state[link.other]) not in link.passing for link in problem.links):
            return False
    return True


def value_of(problem: Problem, steps: list[Step]) -> Value:
    """Give the value of steps, summed up stage by stage over what each serves."""
    served = [(stage.duration, step) for step in steps for stage in problem.stages[step.stage - 1 :]]
    prices = [each.option.parts_minor + each.option.labour_minor + each.option.consumables_minor for each in steps]
    return Value(
        tuple(sum(w * step.option.hazards[n] for w, step in served) for n in range(len(problem.hazards))),
        tuple(sum(w * step.option.complaints[n] for w, step in served) for n in range(len(problem.complaints))),
        sum(weight * step.option.wishes for weight, step in served),
        sum(problem.rate.gain_worth * weight * step.option.gain for weight, step in served)
        - problem.rate.price_worth * sum(prices),
        -sum(step.option.waste_minor for step in steps),
        -sum(prices),
        -sum(step.option.minutes for step in steps),
    )


def choice_of(problem: Problem, plan: Plan) -> Choice:
    """Give the choice that a plan is."""
    done = {step.position: (step.stage, step.option.key) for step in plan.steps}
    return tuple(done.get(position.name, (len(problem.stages) + 1, "")) for position in problem.positions)


@cache
def worked() -> Problem:
    """Give a skate whose heel lifts first and that rolls slowly second, with 100 now and 50 later."""

    def options(*rows: tuple[int, int, int, int]) -> tuple[Option, ...]:
        return tuple(
            Option(str(number), parts_minor=cost, complaints=(first, second), gain=gain)
            for number, (cost, first, second, gain) in enumerate(rows, start=1)
        )

    positions = (
        Position("liner", options=options((9000, 7, 0, 0), (14000, 9, 0, 0))),
        Position("wheels", options=options((6000, 0, 6, 30), (9500, 0, 8, 38))),
        Position("bearings", options=options((0, 0, 1, 2), (1500, 0, 2, 3))),
        Position("insole", options=options((2500, 3, 0, 0))),
    )
    stages = (Stage(10000, 3), Stage(15000, 9))
    return Problem(positions, stages, complaints=("heel_lifts", "rolls_slowly"), rate=Rate(10, 1))


class TestEverything:
    """Trying every plan ..."""

    @pytest.mark.parametrize("first", range(0, 500, 50))
    def test_gives_the_same(self, first: int) -> None:
        """... finds the same figures and, of equal plans, the same one, in each of 500 problems."""
        for problem in map(small_problem, range(first, first + 50)):
            plans = list(every_plan(problem))
            best = max(value for value, _ in plans)
            found = planned(problem, 60)

            assert (best, min(chosen for value, chosen in plans if value == best)) == (
                found.value,
                choice_of(problem, found),
            )
            assert found.is_proved
            assert best.figures == found.bound

    def test_finds_so_many_in_the_worked_case(self) -> None:
        """... finds 103 that can be had in the worked case, the second best with a free job first."""
        plans = sorted(every_plan(worked()), reverse=True)

        assert 103 == len(plans)
        assert (111, 12, 0, -11260, 0, -11500, 0) == plans[1][0].figures
        assert ((1, "1"), (3, ""), (1, "1"), (2, "1")) == plans[1][1]


class TestPlan:
    """A plan ..."""

    def test_of_the_worked_case_is_the_published_one(self) -> None:
        """... is the liner at once, the bearings and the insole when money comes in."""
        found = planned(worked())

        assert (111, 18, 0, -12730, 0, -13000, 0) == found.value.figures
        assert [("liner", "1", 1), ("bearings", "2", 2), ("insole", "1", 2)] == [
            (step.position, step.option.key, step.stage) for step in found.steps
        ]
        assert 13000 == found.cost_minor

    def test_tells_what_stands_at_a_stage(self) -> None:
        """... tells what is done at a stage and what has been fitted by its end."""
        found = planned(worked())

        assert ["bearings", "insole"] == [step.position for step in found.at(2)]
        assert [[], ["liner"], ["bearings", "insole", "liner"]] == [sorted(found.standing(each)) for each in range(3)]

    def test_without_money_is_free_work_only(self) -> None:
        """... for no money at all is what costs nothing."""
        broke = replace(worked(), stages=(Stage(0, 3), Stage(0, 9)))

        assert [("bearings", "1", 1)] == [(step[0], step.option.key, step.stage) for step in planned(broke).steps]

    def test_leaves_what_is_locked(self) -> None:
        """... leaves a position that has to stay as it is."""
        positions = tuple(replace(each, is_locked=each.name == "liner") for each in worked().positions)
        found = planned(replace(worked(), positions=positions))

        assert "liner" not in found.standing(2)
        assert (36, 96) == found.value.complaints

    def test_of_nothing_is_nothing(self) -> None:
        """... of a skate without positions, and of one without options, changes nothing and is proved."""
        for positions in ((), (Position("frame"), Position("wheels"))):
            found = planned(Problem(positions, (Stage(100, 1),)))
            assert ((), (0,) * 5, True) == (found.steps, found.value.figures, found.is_proved)

    def test_changes_linked_parts_at_once(self) -> None:
        """... takes a frame that needs other wheels and axles as one move, when there is money for all three."""
        link = frozenset({("old", "old"), ("new", "new")})
        positions = tuple(
            Position(name, "old", (Option("n", "new", parts_minor=cost, complaints=(relief,)),))
            for name, cost, relief in (("frame", 40, 3), ("wheels", 30, 0), ("axles", 20, 0))
        )
        links = (Link("frame", "wheels", link), Link("frame", "axles", link))
        stages = (Stage(80, 1), Stage(89, 1), Stage(90, 1))
        found = planned(Problem(positions, stages, links, complaints=("cannot_turn",)))

        assert {3} == {step.stage for step in found.steps}
        assert ["frame", "wheels", "axles"] == [step.position for step in found.steps]

    def test_takes_hazards_away_first(self) -> None:
        """... spends on a hazard whatever else it could relieve."""
        positions = (
            Position("brake", options=(Option("pad", parts_minor=10, hazards=(1,), complaints=(0,)),)),
            Position("liner", options=(Option("soft", parts_minor=10, hazards=(0,), complaints=(9,)),)),
        )
        found = planned(Problem(positions, (Stage(10, 5),), hazards=("brake_worn",), complaints=("pain",)))

        assert ["brake"] == [step.position for step in found.steps]

    def test_settles_ties_by_stage_and_key(self) -> None:
        """... takes, of options that are alike, the smallest key, whatever the order they are handed in."""
        options = tuple(Option(key, parts_minor=5, complaints=(1,)) for key in ("c", "a", "b"))
        found = planned(Problem((Position("lace", options=options),), (Stage(5, 1),), complaints=("loose",)))

        assert ["a"] == [step.option.key for step in found.steps]

    def test_that_time_cuts_off_says_so(self) -> None:
        """... that was not proved in time is not said to be, is one that can be had, and carries a bound."""
        rng = np.random.default_rng(1)
        positions = tuple(
            Position(
                f"p{place}",
                options=tuple(
                    Option(f"{number:03d}", parts_minor=cost, gain=cost // 20 + 40)
                    for number, cost in enumerate(rng.integers(200, 8000, 100).tolist())
                ),
            )
            for place in range(8)
        )
        problem = Problem(positions, tuple(Stage(7000 * each, 10) for each in range(1, 5)), rate=Rate(2, 1))
        found = planned(problem, 0.2)

        assert not found.is_proved
        assert is_had(problem, list(found.steps))
        assert found.value.figures[:2] <= found.bound == (0, found.bound[1])

    def test_needs_time(self) -> None:
        """... is refused without any time."""
        with pytest.raises(InvalidQuantityError, match="a time limit above 0 s"):
            planned(worked(), 0)


class TestValue:
    """What steps come to ..."""

    @given(_SEEDS)
    def test_is_what_the_stages_add_up_to(self, seed: int) -> None:
        """... is the sum over all stages that each serves."""
        problem = small_problem(seed)
        steps = list(planned(problem, 60).steps)

        assert value_of(problem, steps) == valued(problem, steps)


class TestLaws:
    """A best plan ..."""

    @given(_SEEDS, st.integers(0, 15), st.integers(0, 2))
    def test_is_no_worse_for_more_money(self, seed: int, more: int, first: int) -> None:
        """... is no worse if there is more money from some stage on."""
        problem = small_problem(seed)
        richer = tuple(
            replace(stage, budget_minor=stage.budget_minor + (more if number >= first else 0))
            for number, stage in enumerate(problem.stages)
        )

        assert planned(problem, 60).value <= planned(replace(problem, stages=richer), 60).value

    @given(_SEEDS, st.integers(0, 3))
    def test_is_no_worse_for_another_candidate(self, seed: int, place: int) -> None:
        """... is no worse if there is one more to choose from."""
        problem = small_problem(seed)
        chosen = problem.positions[place % len(problem.positions)]
        kinds = sorted({each.as_is for each in problem.positions})
        fresh = some_option(np.random.default_rng(seed + 1), 9, kinds, len(problem.hazards), len(problem.complaints))
        positions = tuple(
            replace(each, options=(*each.options, fresh)) if each is chosen else each for each in problem.positions
        )

        assert planned(problem, 60).value <= planned(replace(problem, positions=positions), 60).value

    @given(_SEEDS)
    def test_gets_no_worse_from_stage_to_stage(self, seed: int) -> None:
        """... leaves at every stage a skate no worse than before: hazards, complaints, wishes, rolling, in turn."""
        problem = small_problem(seed)
        found = planned(problem, 60)
        stood = [standing_value(problem, found, stage) for stage in range(len(problem.stages) + 1)]

        assert all(before <= after for before, after in pairwise(stood))

    @given(_SEEDS)
    def test_can_be_had(self, seed: int) -> None:
        """... keeps every budget, what is linked goes together at every stage, and its steps stand by stage."""
        problem = small_problem(seed)
        steps = list(planned(problem, 60).steps)
        names = [position.name for position in problem.positions]

        assert is_had(problem, steps)
        assert sorted(steps, key=lambda step: (step.stage, names.index(step.position))) == steps


def standing_value(problem: Problem, plan: Plan, stage: int) -> tuple[int, ...]:
    """Give what the skate is at a stage against the skate as it is."""
    options = list(plan.standing(stage).values())
    return (
        *(sum(option.hazards[each] for option in options) for each in range(len(problem.hazards))),
        *(sum(option.complaints[each] for option in options) for each in range(len(problem.complaints))),
        sum(option.wishes for option in options),
        sum(option.gain for option in options),
    )
