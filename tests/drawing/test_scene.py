"""What cannot be drawn is refused."""

from __future__ import annotations

import dataclasses
from typing import Any

import pytest

from mountwright.drawing.scene import Against, Clash, DrawnDeck, DrawnWheel, WheelLineScene
from mountwright.errors import InvalidQuantityError

FLAT = WheelLineScene((DrawnWheel(40, 80), DrawnWheel(-41, 80)))
DECK = DrawnDeck(92, 82.5, -82.5)


class TestScene:
    """A scene ..."""

    @pytest.mark.parametrize(
        ("changes", "expected"),
        [
            ({"wheels": ()}, "1 to 16 wheels"),
            ({"wheels": tuple(DrawnWheel(-90.0 * place, 80) for place in range(17))}, "1 to 16 wheels"),
            ({"wheels": (DrawnWheel(0, 80), DrawnWheel(0, 80))}, "each behind the last"),
            ({"wheels": (DrawnWheel(0, 80), DrawnWheel(90, 80))}, "each behind the last"),
            ({"wheels": (DrawnWheel(0, 0),)}, "a diameter within"),
            ({"wheels": (DrawnWheel(0, float("nan")),)}, "a diameter within"),
            ({"wheels": (DrawnWheel(float("inf"), 80),)}, "an axle within"),
            ({"wheels": (DrawnWheel(0, 80, -1),)}, "a gap within"),
            ({"wheels": (DrawnWheel(0, 80, 1),)}, "touches the ground"),
            ({"wheels": (DrawnWheel(0, 80, 0, -1.0),)}, "a load within"),
            ({"load_n": float("nan")}, "a load within"),
            ({"load_along_mm": 3001.0}, "a place along within"),
            ({"effective_mm": (-40.0, 40.0)}, "the front end, then the rear one"),
            ({"rocker_mm": float("inf")}, "a rocker within"),
            ({"rocker_radius_mm": -1.0}, "a radius within"),
            ({"deck": DECK._replace(front_along_mm=-90)}, "ahead of the rear one"),
            ({"deck": DECK._replace(sole=((0, 0),))}, "2 places of an outline"),
            ({"deck": DECK._replace(sole=((0, 0), (0, 2000)))}, "a place below the deck within"),
            ({"deck": DECK._replace(front_block_mm=-1)}, "a block within"),
            ({"deck": DECK._replace(pitch_deg=45)}, "a pitch within"),
            ({"deck": DECK._replace(height_mm=float("nan"))}, "a height within"),
            ({"clashes": (Clash(Against.SOLE, 2, -1),)}, "wheels within 0 and 1"),
            ({"clashes": (Clash(Against.WHEEL, 1, -1, 2),)}, "wheels within 0 and 1"),
            ({"clashes": (Clash(Against.WHEEL, 1, -1, 1),)}, "wheels within 0 and 1"),
            ({"clashes": (Clash(Against.WHEEL, 0, -1),)}, "another wheel against a wheel"),
            ({"clashes": (Clash(Against.SOLE, 0, -1, 1),)}, "another wheel against a wheel"),
            ({"clashes": (Clash(Against.SOLE, 0, float("nan")),)}, "a gap within"),
        ],
    )
    def test_refuses_what_cannot_be_drawn(self, changes: dict[str, Any], expected: str) -> None:
        """... names what it found and what would do."""
        with pytest.raises(InvalidQuantityError, match=expected):
            dataclasses.replace(FLAT, **changes)

    def test_has_a_wheelbase(self) -> None:
        """... is as long as its outer axles are apart."""
        assert 81 == FLAT.wheelbase_mm
