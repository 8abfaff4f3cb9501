"""What a planner's question may be, and what is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.upgrading.problem import LARGEST, Link, Option, Position, Problem, Rate, Stage

FRAME = Position("frame", "old", (Option("f", "new", complaints=(1,)),))
WHEELS = Position("wheels", "old", (Option("w", "new", complaints=(0,)),))
LINK = Link("frame", "wheels", frozenset({("old", "old"), ("new", "new")}))
HEAVY = Position("boot", options=(Option("b", complaints=(0,), gain=-LARGEST),))
PROBLEM = Problem((FRAME, WHEELS), (Stage(10, 2), Stage(10, 3)), (LINK,), complaints=("slow",))


class TestOption:
    """An option ..."""

    @pytest.mark.parametrize(
        "field", ["parts_minor", "labour_minor", "consumables_minor", "waste_minor", "minutes", "wishes"]
    )
    @pytest.mark.parametrize("figure", [-1, 1.5, 1.0, True, LARGEST + 1])
    def test_refuses_figures(self, field: str, figure: object) -> None:
        """... refuses what is below 0, not whole or beyond bounds."""
        with pytest.raises(InvalidQuantityError, match="a whole number from 0"):
            Option("o", **{field: figure})

    @pytest.mark.parametrize("field", ["hazards", "complaints"])
    def test_refuses_levels(self, field: str) -> None:
        """... refuses levels below 0."""
        with pytest.raises(InvalidQuantityError, match="a whole number from 0"):
            Option("o", **{field: (0, -1)})

    def test_may_roll_worse(self) -> None:
        """... may have a gain below 0, whole all the same."""
        assert -3 == Option("o", gain=-3).gain
        with pytest.raises(InvalidQuantityError, match="a whole number"):
            Option("o", gain=0.5)  # type: ignore[arg-type]

    def test_costs_what_its_parts_add_up_to(self) -> None:
        """... costs parts, labour and consumables."""
        assert 123 == Option("o", parts_minor=100, labour_minor=20, consumables_minor=3).cost_minor

    def test_has_a_key(self) -> None:
        """... has a key that is not empty: the empty one stands for the part as it is."""
        with pytest.raises(InvalidQuantityError, match="a key that is not empty"):
            Option("")


class TestPosition:
    """A position ..."""

    def test_has_different_keys(self) -> None:
        """... has no two options of one key, and a name."""
        with pytest.raises(InvalidQuantityError, match="keys at frame that are all different"):
            Position("frame", options=(Option("a"), Option("a", "new")))
        with pytest.raises(InvalidQuantityError, match="a position's name"):
            Position("")

    def test_that_is_locked_has_one_signature(self) -> None:
        """... that has to stay keeps its interface."""
        assert {"old", "new"} == FRAME.signatures
        assert {"old"} == replace(FRAME, is_locked=True).signatures


class TestProblem:
    """A problem ..."""

    def test_tells_how_long_each_stage_serves(self) -> None:
        """... counts from a stage to the horizon."""
        assert (5, 3) == PROBLEM.serving

    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({"stages": ()}, "one stage or more"),
            ({"stages": (Stage(10, 1), Stage(9, 1))}, "a budget of 10 or more"),
            ({"links": (Link("frame", "brake", frozenset()),)}, "one of the positions"),
            ({"links": (LINK, replace(LINK, one="wheels", other="frame"))}, "links that are all different"),
            ({"links": (replace(LINK, passing=frozenset({("new", "new")})),)}, "as they are that go together"),
            ({"positions": (FRAME, FRAME)}, "positions that are all different"),
            ({"complaints": ("slow", "loud")}, "a figure for every hazard and complaint"),
            ({"hazards": ("slow",)}, "hazards and complaints that are all different"),
            ({"positions": (HEAVY,), "links": (), "rate": Rate(10**5, 0)}, "weighted sums stay below 10\\^15"),
        ],
    )
    def test_refuses_what_contradicts_itself(self, changes: dict[str, object], expected: str) -> None:
        """... refuses what does not go with the rest of it."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(PROBLEM, **changes)

    @pytest.mark.parametrize("refused", [(-1, 1), (0.5, 1), (0, 0), (0, 1.5)])
    def test_refuses_stages(self, refused: tuple[object, object]) -> None:
        """... has stages with money of 0 or more and a time above 0, whole."""
        with pytest.raises(InvalidQuantityError, match="a whole number"):
            Stage(*refused)  # type: ignore[arg-type]

    @pytest.mark.parametrize("refused", [(0, 1), (1, -1), (1.5, 1)])
    def test_refuses_rates(self, refused: tuple[object, object]) -> None:
        """... has a rate whose gain is worth something."""
        with pytest.raises(InvalidQuantityError, match="a whole number"):
            Rate(*refused)  # type: ignore[arg-type]

    def test_links_two(self) -> None:
        """... links no position with itself."""
        with pytest.raises(InvalidQuantityError, match="two different positions"):
            Link("frame", "frame", frozenset())
