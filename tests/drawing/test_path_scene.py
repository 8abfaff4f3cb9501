"""What cannot be drawn as an upgrade path is refused."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from mountwright.drawing.path_scene import OtherSkate, PathAlternative, PathPoint, PathScene, PathStage, PathStep
from mountwright.errors import InvalidQuantityError

PATH = PathScene(
    (PathStep("clean the bearings", 0, 0.1, 0), PathStep("liner", 5000, 0.5, 1)),
    (PathStage("now", 4000), PathStage("spring", 5000)),
    "EUR",
)


class TestScene:
    """A scene ..."""

    def test_takes_what_is_on_its_bounds(self) -> None:
        """... may have no step, nothing to spend, everything relieved at once, and steps that change nothing."""
        twice = (PathStep("", 0, 1.0, 0), PathStep("", 0, 1.0, 0))

        assert () == dataclasses.replace(PATH, steps=(), notes=("",) * 20).steps
        assert twice == PathScene(twice, (PathStage("", 0),) * 8, "JPY", 0, other_skate=OtherSkate("", 0)).steps

    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({"currency": "eur"}, "ISO 4217"),
            ({"currency": "EUR\n"}, "ISO 4217"),
            ({"decimals": -1}, "0 to 4 decimals"),
            ({"decimals": 5}, "0 to 4 decimals"),
            ({"stages": ()}, "1 to 8 stages"),
            ({"stages": (PathStage("", 5000),) * 9}, "1 to 8 stages"),
            ({"stages": (PathStage("", 6000), PathStage("", 5000))}, "sums that never fall"),
            ({"stages": (PathStage("", -1), PathStage("", 5000))}, "sums within 0"),
            ({"stages": (PathStage("", 0), PathStage("", 10**12 + 1))}, "sums within 0"),
            ({"steps": (PathStep("", 0, 0.0),) * 41}, "0 to 40 steps"),
            ({"steps": (PathStep("", -1, 0.0),)}, "sums within 0"),
            ({"steps": (PathStep("", 2, 0.0), PathStep("", 1, 0.0))}, "sums that never fall"),
            ({"steps": (PathStep("", 0, 0.2), PathStep("", 0, 0.1))}, "relief that never falls"),
            ({"steps": (PathStep("", 0, 1.01),)}, "relief within 0 and 1"),
            ({"steps": (PathStep("", 0, -0.01),)}, "relief within 0 and 1"),
            ({"steps": (PathStep("", 0, float("nan")),)}, "relief within 0 and 1"),
            ({"steps": (PathStep("", 0, 0.0, 1), PathStep("", 0, 0.0, 0))}, "stages in order"),
            ({"steps": (PathStep("", 0, 0.0, 2),)}, "a stage within 0 and 1"),
            ({"steps": (PathStep("", 0, 0.0, -1),)}, "a stage within 0 and 1"),
            ({"steps": (PathStep("", 4001, 0.0, 0),)}, "4000 at most"),
            ({"alternatives": (PathAlternative("", ()),)}, "1 to 40 points"),
            ({"alternatives": (PathAlternative("", (PathPoint(1, 0.5),)),) * 4}, "0 to 3 alternatives"),
            ({"alternatives": (PathAlternative("", (PathPoint(1, 0.5), PathPoint(2, 0.4))),)}, "never falls"),
            ({"alternatives": (PathAlternative("", (PathPoint(2, 0.5), PathPoint(1, 0.5))),)}, "never fall"),
            ({"other_skate": OtherSkate("", -1)}, "sums within 0"),
            ({"notes": ("",) * 21}, "0 to 20 notes"),
        ],
    )
    def test_refuses_what_cannot_be_drawn(self, changes: dict[str, Any], expected: str) -> None:
        """... names what it found and what would do."""
        with pytest.raises(InvalidQuantityError, match=expected):
            dataclasses.replace(PATH, **changes)
