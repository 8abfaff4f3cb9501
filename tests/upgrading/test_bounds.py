"""The planner's bounds: what they never cut off, and how close they come."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from time import monotonic

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import linprog

from mountwright.upgrading.choices import field
from mountwright.upgrading.labels import Quest, swept
from mountwright.upgrading.network import most_pairs, turns
from mountwright.upgrading.packing import packed
from mountwright.upgrading.plan import planned
from mountwright.upgrading.pricing import Level, bound
from mountwright.upgrading.problem import Link, Option, Position, Problem, Rate, Stage
from mountwright.upgrading.relaxation import Relaxation
from mountwright.upgrading.simplex import Master
from mountwright.upgrading.thinning import MOST_PAIRS, thinned

RING = ("frame", "wheel", "bearing", "axle")


def ring(seed: int, kinds: int = 3, options: int = 4) -> Problem:
    """Give four positions linked in a ring and two by themselves."""
    rng = np.random.default_rng(seed)
    names = [str(number) for number in range(kinds)]
    positions = tuple(
        Position(
            name,
            "0",
            tuple(
                Option(f"{n}", str(rng.choice(names)), int(rng.integers(0, 40)), gain=int(rng.integers(0, 30)))
                for n in range(options)
            ),
        )
        for name in (*RING, "lace", "insole")
    )
    links = tuple(
        Link(one, other, frozenset({(a, b) for a in names for b in names if rng.random() < 0.6} | {("0", "0")}))
        for one, other in zip(RING, (*RING[1:], RING[0]), strict=True)
    )
    return Problem(positions, (Stage(50, 2), Stage(90, 3)), links, rate=Rate(3, 1))


class TestBound:
    """A bound ..."""

    @pytest.mark.parametrize("seed", range(30))
    def test_is_above_the_best_plan(self, seed: int) -> None:
        """... is never below the best, for the whole and for each choice that the best plan holds."""
        problem = ring(seed)
        relaxation = Relaxation(field(problem))
        found = bound(relaxation, relaxation.as_is, Level(1, (0,), 0))
        best = planned(problem, 60)
        hopes = relaxation.hopes(found.outlook) + found.constant
        done = {step.position: (step.option.key, step.stage) for step in best.steps}

        assert best.value.net_worth <= found.limit
        for turn, part in zip(relaxation.turns, relaxation.parts, strict=True):
            choices, position = relaxation.field.choices[turn.place], problem.positions[turn.place]
            keys = ["" if each < 0 else position.options[each].key for each in choices.options.tolist()]
            row = [*zip(keys, (choices.stages + 1).tolist(), strict=True)].index(done.get(position.name, ("", 3)))
            assert best.value.net_worth <= hopes[part][row]

    def test_is_close_where_fractions_help_little(self) -> None:
        """... of a plain knapsack is that of its linear relaxation: what fits, and a share of the next."""
        positions = tuple(
            Position(str(cost), options=(Option("o", parts_minor=cost, gain=gain),))
            for cost, gain in ((10, 60), (20, 100), (30, 120))
        )
        relaxation = Relaxation(field(Problem(positions, (Stage(50, 1),), rate=Rate(1, 0))))

        assert pytest.approx(240, abs=0.1) == bound(relaxation, relaxation.as_is, Level(1, (0,), 0)).limit

    @pytest.mark.parametrize("seed", range(10))
    def test_is_that_of_the_linear_relaxation(self, seed: int) -> None:
        """... is what HiGHS finds for fractions, with a level held, over two instalments, nothing linked."""
        rng = np.random.default_rng(seed)
        positions = tuple(
            Position(str(n), options=(Option("o", parts_minor=int(cost), wishes=int(wish), gain=int(gain)),))
            for n, (cost, wish, gain) in enumerate(rng.integers(1, 30, (8, 3)))
        )
        relaxation = Relaxation(field(Problem(positions, (Stage(40, 1), Stage(70, 2)), rate=Rate(1, 0))))
        plan = max(every_pick(relaxation), key=relaxation.value)
        level = Level(1, relaxation.value(plan)[:1], relaxation.value(plan)[1])
        table, parts = relaxation.table.astype(float), relaxation.parts
        each = np.array([[float(part.start <= row < part.stop) for row in range(len(table))] for part in parts])
        limits = np.append(relaxation.field.budgets, -level.floors[0])
        rows = np.vstack([table[:, :2].T, -table[:, 2]])
        solved = linprog(-table[:, 3], A_ub=rows, b_ub=limits, A_eq=each, b_eq=np.ones(len(parts)))
        found = bound(relaxation, plan, level)

        assert found.limit >= -solved.fun - 1e-6
        assert found.limit <= max(-solved.fun + 0.1, level.known + 1)


def every_pick(relaxation: Relaxation) -> Iterator[NDArray[np.int64]]:
    """Give every plan that keeps the budgets, of positions that are not linked."""
    for rows in product(*(range(part.start, part.stop) for part in relaxation.parts)):
        plan = np.array(rows)
        if (relaxation.table[plan, : relaxation.stages].sum(axis=0) <= relaxation.field.budgets).all():
            yield plan


class TestHopes:
    """What can be hoped for with a choice ..."""

    @pytest.mark.parametrize("seed", range(5))
    def test_is_the_best_of_the_plans_that_hold_it(self, seed: int) -> None:
        """... is, at any prices, the best of all plans that go together and hold it."""
        relaxation = Relaxation(field(ring(seed, options=2)))
        outlook = relaxation.outlook(np.random.default_rng(seed).normal(size=relaxation.table.shape[1]))
        best = np.full(len(relaxation.table), -np.inf)
        for rows in product(*(range(part.start, part.stop) for part in relaxation.parts)):
            courses = {turn.place: relaxation.courses[row] for turn, row in zip(relaxation.turns, rows, strict=True)}
            if all(pairs[courses[one], courses[other]] for (one, other), pairs in relaxation.field.together.items()):
                best[list(rows)] = np.maximum(best[list(rows)], outlook.worth[list(rows)].sum())

        assert pytest.approx(best) == relaxation.hopes(outlook)
        assert pytest.approx(best.max()) == outlook.worth[relaxation.best(outlook)].sum()


class TestSweep:
    """A sweep ..."""

    def test_that_is_late_found_nothing_out(self) -> None:
        """... that time cuts off, or for which there is no room, does not say that there is nothing."""
        relaxation = Relaxation(field(ring(1)))
        found = bound(relaxation, relaxation.as_is, Level(1, (0,), 0))
        quest = Quest([found], [1], packed(relaxation, 5, with_ties=True), 5000, monotonic() + 60)

        assert swept(relaxation, quest).is_whole
        assert (None, False) == swept(relaxation, quest._replace(ends_at=0.0))
        assert (None, False) == swept(relaxation, quest._replace(room=1, is_strict=True))
        assert not swept(relaxation, quest._replace(room=1)).is_whole


class TestMaster:
    """Prices ..."""

    @pytest.mark.parametrize("seed", range(20))
    def test_are_those_of_the_linear_programme(self, seed: int) -> None:
        """... and the best mixture are what HiGHS finds over the same plans."""
        rng = np.random.default_rng(seed)
        left, worths = rng.uniform(-1, 1, (15, 4)), rng.uniform(0, 10, 15)
        left[0] = np.abs(left[0])
        master = Master(left[0], worths[0])
        for row, worth in zip(left[1:], worths[1:], strict=True):
            master.add(row, worth)
        prices = master.prices()
        solved = linprog(-worths, A_ub=-left.T, b_ub=np.zeros(4), A_eq=np.ones((1, 15)), b_eq=[1])

        assert pytest.approx(-solved.fun, abs=1e-4) == master.mixture
        assert pytest.approx(-solved.fun, abs=1e-4) == (worths + left @ prices).max()


class TestTurns:
    """Turns ..."""

    def test_take_linked_positions_first(self) -> None:
        """... begin with what is linked and hold no more open than the most that was foretold."""
        found = field(ring(1))
        made = turns(found)

        assert {0, 1, 2, 3} == {turn.place for turn in made[:4]}
        assert max(turn.after.size for turn in made) <= most_pairs(found)
        assert 1 == made[-1].states


class TestThinned:
    """A field that is too large ..."""

    def test_is_thinned_to_size(self) -> None:
        """... keeps to the size, the parts as they are, and a plan that can be had; what is small stays whole."""
        every = field(ring(2, kinds=12, options=40))
        some = thinned(every, 500)

        assert most_pairs(some) <= 500 < most_pairs(every)
        assert all((choices.options < 0).any() for choices in some.choices)
        assert thinned(every) is every

    def test_is_not_said_to_be_proved(self) -> None:
        """... gives a plan without a proof, its bound the most that each position could do for the first level."""
        problem = ring(3, kinds=130, options=200)
        positions = tuple(
            replace(each, options=tuple(replace(option, complaints=(option.gain,)) for option in each.options))
            for each in problem.positions
        )
        problem = replace(problem, complaints=("slow",), positions=positions)
        found = planned(problem, 0.5)

        assert most_pairs(field(problem)) > MOST_PAIRS
        assert not found.is_proved
        assert (6 * 29 * 5,) == found.bound
        assert found.value.figures[0] <= found.bound[0]
