"""Holes that can be, and those that cannot."""

from __future__ import annotations

from typing import Any

import pytest

from mountwright.errors import InvalidHoleError
from mountwright.mounts.holes import Hole


@pytest.mark.parametrize(
    ("hole", "fault"),
    [
        ({"diameter_um": 0}, "its diameter is 0 um, expected above 0"),
        ({"diameter_um": -6600}, "its diameter is -6600 um, expected above 0"),
        ({"slot_length_um": 6599}, "its slot is 6599 um long, expected at least its width, 6600 um"),
        ({"slot_length_um": -1}, "its slot is -1 um long, expected at least its width, 6600 um"),
        ({"slot_length_um": 9000, "tapped": True}, "it is a slot and tapped, expected one or the other"),
    ],
    ids=["no width", "width below nothing", "slot too short", "slot below nothing", "tapped slot"],
)
def test_a_hole_that_cannot_be_is_refused_by_name(hole: dict[str, Any], fault: str) -> None:
    """A hole that cannot be is refused, with its name, what was found and what was expected."""
    with pytest.raises(InvalidHoleError) as caught:
        Hole(**{"name": "rear", "along_um": 0, "across_um": 0, "diameter_um": 6600, **hole})

    assert f"hole 'rear': {fault}" == str(caught.value)
    assert caught.value.hole == "rear"


@pytest.mark.parametrize(
    "more", [{}, {"slot_length_um": 6600}, {"tapped": True}], ids=["round", "slot as long as wide", "tapped"]
)
def test_a_hole_that_can_be_is_taken(more: dict[str, Any]) -> None:
    """A round hole, a slot of just its own width and a tapped hole are all holes."""
    assert Hole("rear", None, 0, 6600, **more).diameter_um == 6600


def test_a_plain_hole_is_round_and_certain() -> None:
    """A hole of which only place and width were said is round, not tapped, straight and without doubt."""
    hole = Hole("rear", 0, 0, 6600)

    assert (0, 0, False, 0, None) == (
        hole.slot_length_um,
        hole.slot_direction_deg,
        hole.tapped,
        hole.standard_uncertainty_um,
        hole.axis_deg,
    )
