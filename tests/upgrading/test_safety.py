"""Money waits for what takes a danger away."""

from __future__ import annotations

from collections.abc import Callable

from mountwright.upgrading.aims import aims_of
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.problem import Option, Position, Problem, Stage
from mountwright.upgrading.safety import safe_first


def problem(*frames: Option) -> Problem:
    """Give a problem of three stages with a cracked frame, a loose strap and a heel that lifts."""
    liner = Option("liner", parts_minor=2000, hazards=(0, 0), complaints=(2,))
    strap = Option("strap", parts_minor=1000, hazards=(0, 2), complaints=(0,))
    places = Position("frame", options=frames), Position("liner", options=(liner,)), Position("strap", options=(strap,))
    stages = Stage(3000, 1), Stage(6000, 1), Stage(9000, 1)
    return Problem(places, stages, hazards=("frame_cracked", "strap_slips"), complaints=("heel_lift",))


def frame(cost_minor: int) -> Option:
    """Give a frame that takes the crack away."""
    return Option(f"frame {cost_minor}", parts_minor=cost_minor, hazards=(4, 0), complaints=(0,))


def budgets(found: Problem) -> list[int]:
    """Give what may be spent until each stage."""
    return [stage.budget_minor for stage in found.stages]


def test_money_waits_until_the_danger_can_be_taken_away() -> None:
    """What a frame costs says at which stage that is; a cheaper one makes it sooner."""
    assert [0, 0, 9000] == budgets(safe_first(problem(frame(7000)), 1))
    assert [0, 6000, 9000] == budgets(safe_first(problem(frame(7000), frame(6000)), 1))
    assert [3000, 6000, 9000] == budgets(safe_first(problem(frame(3000)), 1))


def test_what_cannot_be_had_keeps_nothing_waiting() -> None:
    """Neither a frame beyond all money nor none at all."""
    assert [3000, 6000, 9000] == budgets(safe_first(problem(frame(9001)), 1))
    assert [3000, 6000, 9000] == budgets(safe_first(problem(), 1))


def test_only_grave_hazards_count() -> None:
    """Those that are named behind them may be ridden with, and wait for nothing."""
    assert [3000, 6000, 9000] == budgets(safe_first(problem(frame(7000)), 0))
    assert [3000, 6000, 9000] == budgets(safe_first(problem(frame(7000)), 2))


def test_nothing_but_the_budgets_changes() -> None:
    """Complaints, options and how long each stage serves are as they were."""
    before = problem(frame(7000))
    after = safe_first(before, 1)

    assert (before.positions, before.hazards, before.complaints) == (after.positions, after.hazards, after.complaints)
    assert [stage.duration for stage in before.stages] == [stage.duration for stage in after.stages]


def test_what_may_be_ridden_with_care_is_not_grave(customer_of: Callable[..., Customer]) -> None:
    """A cracked frame and seized bearings forbid riding, a strap that slips wants care; the gravest stand first."""
    aims = aims_of(customer_of("strap_slips", "bearing_seized", "frame_cracked"), {})

    assert (["frame_cracked", "bearing_seized", "strap_slips"], 2) == ([each.code for each in aims.hazards], aims.grave)
