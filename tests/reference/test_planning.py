"""Published optima and Smith's rule, by the planner's own core."""

from __future__ import annotations

import csv
from itertools import groupby
from pathlib import Path

import pytest

from mountwright.upgrading.ordering import Task, ordered
from mountwright.upgrading.plan import planned
from mountwright.upgrading.problem import Option, Position, Problem, Rate, Stage

_PLACE = Path(__file__).parent / "planning"


def rows(table: str) -> list[dict[str, str]]:
    """Give the rows of a table."""
    with (_PLACE / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def knapsack(instance: str, capacity: int) -> Problem:
    """Give a knapsack: a position for each item, taken or not."""
    items = [row for row in rows("knapsack01_items") if row["instance"] == instance]
    positions = tuple(
        Position(row["item"], options=(Option("taken", parts_minor=int(row["weight"]), gain=int(row["profit"])),))
        for row in items
    )
    return Problem(positions, (Stage(capacity, 1),), rate=Rate(1, 0))


def multiple_choice(budget: int) -> Problem:
    """Give the multiple-choice knapsack: a position for each class."""
    positions = tuple(
        Position(
            name,
            options=tuple(
                Option(row["option"], parts_minor=int(row["cost"]), gain=int(row["gain"]))
                for row in own
                if row["option"] != "0"
            ),
        )
        for name, own in groupby(rows("mckp_small"), key=lambda row: row["class"])
    )
    return Problem(positions, (Stage(budget, 1),), rate=Rate(1, 0))


class TestPublishedOptima:
    """The planner ..."""

    @pytest.mark.parametrize("row", rows("knapsack01_summary"), ids=lambda row: row["instance"])
    def test_solves_knapsacks(self, row: dict[str, str]) -> None:
        """... finds the published optimum and the items that make it."""
        found = planned(knapsack(row["instance"], int(row["capacity"])), 60)
        chosen = {
            each["item"]
            for each in rows("knapsack01_items")
            if each["instance"] == row["instance"] and each["chosen"] == "1"
        }

        assert (int(row["optimum_profit"]), int(row["optimum_weight"])) == (found.value.net_worth, found.cost_minor)
        assert chosen == {step.position for step in found.steps}
        assert found.is_proved

    @pytest.mark.parametrize("row", rows("mckp_small_optima"), ids=lambda row: row["budget"])
    def test_solves_the_multiple_choice_knapsack(self, row: dict[str, str]) -> None:
        """... finds the best gain at the lowest cost."""
        found = planned(multiple_choice(int(row["budget"])), 60)

        assert (int(row["best_gain"]), int(row["cheapest_cost_at_best"])) == (found.value.net_worth, found.cost_minor)
        assert found.is_proved


class TestSmithsRule:
    """The order inside a stage ..."""

    def test_waits_as_little_as_published(self) -> None:
        """... of the five jobs is 2, 1, 4, 5, 3 and waits 259 (row 09-013)."""
        jobs = [(3, 12), (1, 5), (4, 4), (2, 6), (5, 10)]
        order = ordered(Task(str(number), (gain,), price) for number, (price, gain) in enumerate(jobs, start=1))

        assert ["2", "1", "4", "5", "3"] == [task.key for task in order]
        assert 259 == _waited(order)

    def test_falls_in_gain_over_price(self) -> None:
        """... goes by decreasing gain over price (row 09-014)."""
        order = ordered(Task(str(number), (number * 7 % 11,), number) for number in range(1, 11))

        assert sorted((task.gains[0] / task.price for task in order), reverse=True) == [
            task.gains[0] / task.price for task in order
        ]

    def test_orders_purchases_as_published(self) -> None:
        """... of five purchases is insole, wheels, liner, bearings, frame and waits 3895 (row 09-015)."""
        costs = {"insole": (25, 3), "wheels": (60, 5), "liner": (90, 7), "frame": (140, 6), "bearings": (15, 1)}
        order = ordered(Task(name, (gain,), price) for name, (price, gain) in costs.items())

        assert ["insole", "wheels", "liner", "bearings", "frame"] == [task.key for task in order]
        assert 3895 == _waited(order)


def _waited(order: tuple[Task, ...]) -> int:
    time = waited = 0
    for task in order:
        time += task.price
        waited += task.gains[0] * time
    return waited
