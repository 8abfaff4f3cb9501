"""From a skate under its load to its picture."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.drawing.scene import Against, Clash, WheelLineScene
from mountwright.drawing.standing import standing_scene
from mountwright.drawing.wheel_line import wheel_line_picture
from mountwright.riding.band import exactly
from mountwright.riding.clearance import Place
from mountwright.riding.line import Axle, Deck, Diameter, Line, Load, Skate, Sole, Tyre
from mountwright.riding.room import room
from mountwright.riding.wheel_line import wheel_line


def wheel_line_svg(scene: WheelLineScene, **how: Any) -> str:
    """Give the picture of a wheel line as SVG."""
    return wheel_line_picture(scene, **how).svg()


def skate(sizes: Sequence[float], pitch: float = 81, downs: Sequence[float] = ()) -> Skate:
    """Give a skate on exact wheels, midway between them at 0, its axles 56 mm down unless said."""
    half = (len(sizes) - 1) * pitch / 2
    each_down = downs or [56.0] * len(sizes)
    axles = tuple(Axle(half - pitch * index, down) for index, down in enumerate(each_down))
    tyres = tuple(
        Tyre(Diameter(size, exactly(0), 0, True), exactly(85), exactly(12), exactly(0.6), None) for size in sizes
    )
    deck = Deck(heel_step_mm=15, front_bolt_along_mm=82.5, rear_bolt_along_mm=-82.5)
    outline = (Place(130_000, -8_000), Place(60_000, 0), Place(-130_000, -20_000))
    return Skate(Line(axles, tyres, (0,) * len(sizes)), deck, Sole(outline))


def load(along_mm: float | None = None, mass_kg: float = 80) -> Load:
    """Give a rider on one skate."""
    return Load(mass_kg, along_mm, 1, 950)


def drawn(of: Skate, under: Load) -> WheelLineScene:
    """Give the scene of a skate under its load, with what has no room."""
    return standing_scene(of, under, wheel_line(of, under), conflicts=room(of).conflicts)


class TestStandingScene:
    """A skate under its load ..."""

    def test_is_drawn_as_it_stands(self) -> None:
        """... is drawn with its loads, its deck's height, its lengths and no gap where it is flat."""
        scene = drawn(skate([80, 80, 80, 80]), load())

        assert scene.deck is not None
        assert (0, 0, 0, 0) == tuple(wheel.gap_mm for wheel in scene.wheels)
        assert pytest.approx(80 * 9.80665) == sum(wheel.load_n or 0 for wheel in scene.wheels) == scene.load_n
        assert (96, 82.5, -82.5, 15) == scene.deck[:4]
        assert 0 == scene.deck.pitch_deg
        assert ((121.5, -121.5), 243, 0) == (scene.effective_mm, scene.wheelbase_mm, scene.rocker_mm)
        assert ((130, -8), (60, 0), (-130, -20)) == scene.deck.sole

    def test_is_drawn_with_the_wheels_that_hang(self) -> None:
        """... is drawn with the gaps under its lifted ends, and on its inner wheels."""
        scene = drawn(skate([80] * 5, 84, (54, 56, 56, 56, 54)), load())

        assert pytest.approx([2, 0, 0, 0, 2]) == [wheel.gap_mm for wheel in scene.wheels]
        assert (0, 0) == (scene.wheels[0].load_n, scene.wheels[-1].load_n)
        assert (84, -84) == scene.effective_mm
        assert pytest.approx(2) == scene.rocker_mm

    def test_touches_where_its_tyres_give(self) -> None:
        """... is drawn on all wheels where the load presses it down to them, however it stands unloaded."""
        scene = drawn(skate([80] * 4, 81, (55.9, 56, 56, 55.9)), load(mass_kg=95))

        assert (0, 0, 0, 0) == tuple(wheel.gap_mm for wheel in scene.wheels)
        assert all((wheel.load_n or 0) > 0 for wheel in scene.wheels)
        assert (40.5, -40.5) == scene.effective_mm

    def test_carries_nothing_on_a_wheel_that_hardly_touches(self) -> None:
        """... is drawn with no load on a wheel that bears too little of it to count."""
        flat, under = skate([80] * 4), load()
        found = wheel_line(flat, under)
        assert found.under_load is not None
        first, *others = found.under_load.wheels
        wheels = (first._replace(load_n=1e-9, touches=False), *others)
        scene = standing_scene(
            flat, under, dataclasses.replace(found, under_load=dataclasses.replace(found.under_load, wheels=wheels))
        )

        assert 0 == scene.wheels[0].load_n

    def test_leans_as_the_load_holds_it(self) -> None:
        """... is drawn leaning over a rocker, toe up with the load behind."""
        scene = drawn(skate([76, 80, 80, 76]), load(-60))

        assert scene.deck is not None
        assert scene.deck.pitch_deg > 1
        assert pytest.approx(0, abs=1e-6) == scene.wheels[3].gap_mm
        assert scene.wheels[0].gap_mm > 3

    @pytest.mark.parametrize(("along_mm", "pitch"), [(200.0, -1), (-200.0, 1)])
    def test_is_drawn_where_it_tips(self, along_mm: float, pitch: int) -> None:
        """... is drawn in the stand that it tips over, without loads."""
        scene = drawn(skate([76, 80, 80, 76]), load(along_mm))

        assert scene.deck is not None
        assert {None} == {wheel.load_n for wheel in scene.wheels}
        assert 0 < pitch * scene.deck.pitch_deg
        assert along_mm == scene.load_along_mm

    def test_shows_what_has_no_room(self) -> None:
        """... is drawn with every gap that it does not keep."""
        crowded = skate([80, 90, 90, 80], 81)
        crowded = dataclasses.replace(crowded, deck=dataclasses.replace(crowded.deck, largest_wheel_mm=84))
        scene = drawn(crowded, load())

        assert Clash(Against.WHEEL, 1, -9, 2) in scene.clashes
        assert Clash(Against.WHEEL, 0, -4, 1) in scene.clashes
        assert Clash(Against.FRAME, 1, -3, None) in scene.clashes

    def test_stands_on_its_blocks(self) -> None:
        """... is drawn with its sole as high above the deck as its front block is."""
        blocked = dataclasses.replace(
            skate([80] * 4), sole=Sole(((Place(130_000, 0)), Place(-130_000, -10_000)), None, 12, 16)
        )
        scene = drawn(blocked, load())

        assert scene.deck is not None
        assert (12, 16, ((130, -12), (-130, -22))) == (*scene.deck[4:6], scene.deck.sole)

    def test_stands_over_its_wheels_where_nobody_knows_more(self) -> None:
        """... is drawn with a level deck over its wheels where nobody gave bolts, step or sole."""
        scene = drawn(Skate(skate([80]).line), load(0))

        assert scene.deck is not None
        assert (20, -20, 0, ()) == (*scene.deck[1:4], scene.deck.sole)
        assert scene.rocker_mm is None

    @given(
        st.lists(st.tuples(st.floats(60, 110), st.floats(50, 62)), min_size=1, max_size=8),
        st.floats(60, 170),
        st.none() | st.floats(-300, 300),
    )
    def test_can_always_be_drawn(self, wheels: list[tuple[float, float]], pitch: float, along: float | None) -> None:
        """... is drawn whatever wheels it has and wherever it stands, also where it tips."""
        sizes, downs = zip(*wheels, strict=True)

        assert "</svg>" in wheel_line_svg(drawn(skate(sizes, pitch, downs), load(along)), gap_factor=5)
