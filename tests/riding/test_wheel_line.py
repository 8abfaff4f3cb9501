"""The whole answer on a wheel line: the trade's cases, its laws, and input that cannot be."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.riding.band import Band, exactly
from mountwright.riding.line import Axle, Diameter, Line, Load, Skate, Tyre
from mountwright.riding.wheel_line import Outcome, UnderLoad, WheelLine, tyre_stiffness_n_mm15, wheel_line

ON_ONE = Load(mass_kg=80, along_mm=0, skates=1, height_mm=950)


def measured(mm: float) -> Diameter:
    """Give the size of a wheel that was measured exactly."""
    return Diameter(mm, exactly(0), 0, True)


def tyre(size: Diameter, hardness: float = 85, hard_core: bool | None = None) -> Tyre:
    """Give a wheel with a crown of 12 mm."""
    return Tyre(size, exactly(hardness), exactly(12), exactly(0.6), hard_core)


def line_of(sizes: Sequence[float], pitch: float = 81, downs: Sequence[float] = (), hardness: float = 85) -> Line:
    """Give a line of exact wheels, midway between them at 0, its axles 56 mm down unless said."""
    half = (len(sizes) - 1) * pitch / 2
    each_down = downs or [56] * len(sizes)
    axles = tuple(Axle(half - pitch * index, down) for index, down in enumerate(each_down))
    return Line(axles, tuple(tyre(measured(size), hardness) for size in sizes), (0,) * len(sizes))


def under(line: Line, load: Load = ON_ONE) -> UnderLoad:
    """Give how a line stands that does."""
    found = wheel_line(Skate(line), load).under_load
    assert found is not None
    return found


class TestTradeCases:
    """A wheel line ..."""

    def test_of_five_with_lifted_ends_turns_on_its_inner_wheels(self) -> None:
        """... of five wheels with the ends lifted has the effective wheelbase of its inner three."""
        line = line_of([80] * 5, 81, (54, 56, 56, 56, 54))
        found = wheel_line(Skate(line), ON_ONE)

        assert (324, 2) == (found.wheelbase_mm, pytest.approx(found.rocker_mm))
        assert found.under_load is not None
        assert (1, 2, 3) == found.under_load.stand.touching
        assert (162, 162) == (found.under_load.effective_wheelbase_mm, found.under_load.loaded_wheelbase_mm)
        assert [False, True, True, True, False] == [wheel.touches for wheel in found.under_load.wheels]
        assert found.under_load.turning_ratio < 0.6

    def test_of_smaller_ends_has_their_rocker(self) -> None:
        """... of 76-80-80-76 has a rocker of 2 mm, and the radius that its sagitta makes."""
        found = wheel_line(Skate(line_of([76, 80, 80, 76], 77)), ON_ONE)

        assert pytest.approx((2, 231**2 / 16 + 1)) == (found.rocker_mm, found.rocker_radius_mm)
        assert pytest.approx(2 * math.degrees(math.asin(2 / 77))) == found.rocks_deg
        assert 77 == under(line_of([76, 80, 80, 76], 77)).effective_wheelbase_mm

    @pytest.mark.parametrize(("outer", "inner", "rocker"), [(0, 1, 1), (-1, 0, 1), (-1, 1, 2), (1, 0, -1)])
    def test_on_eccentric_axles_has_the_rocker_they_are_set_to(self, outer: float, inner: float, rocker: float) -> None:
        """... on eccentric axles of +-1 mm has the rocker that they are set to."""
        settings = (-1.0, 0.0, 1.0)
        axles = tuple(Axle(115.5 - 77 * index, 56, settings, inner if index in (1, 2) else outer) for index in range(4))
        flat = line_of([76] * 4, 77)
        found = wheel_line(Skate(dataclasses.replace(flat, axles=axles)), ON_ONE)

        assert pytest.approx(rocker) == found.rocker_mm
        assert (None if rocker < 0 else pytest.approx(231**2 / 8 / rocker + rocker / 2)) == found.rocker_radius_mm

    def test_of_three_large_wheels_stands_on_fewer_and_longer(self) -> None:
        """... of three wheels of 110 carries a third each on 246 mm, one of four of 80 a quarter each on 243 mm."""
        large, small = under(line_of([110] * 3, 123)), under(line_of([80] * 4, 81))

        assert (246, 243) == (large.loaded_wheelbase_mm, small.loaded_wheelbase_mm)
        assert pytest.approx([1 / 4] * 4) == [wheel.share for wheel in small.wheels]
        assert pytest.approx([1 / 3] * 3) == [wheel.share for wheel in large.wheels]

    @settings(deadline=None)
    @given(st.integers(2, 6), st.floats(-0.99, 0.99))
    def test_that_is_flat_stands_on_all_of_its_wheels(self, count: int, at: float) -> None:
        """... that is flat stands on all of its wheels, wherever the load is, before its tyres give."""
        line = line_of([80] * count)
        found = under(line, dataclasses.replace(ON_ONE, along_mm=at * line.axles[0].along_mm))

        assert tuple(range(count)) == found.stand.touching
        assert pytest.approx(1, rel=1e-9) == found.turning_ratio

    def test_that_is_flat_carries_on_all_of_its_wheels(self) -> None:
        """... that is flat carries on all of its wheels, and has no rocker and nothing that rocks."""
        found = wheel_line(Skate(line_of([80] * 4)), ON_ONE)

        assert (0, None, 0, ()) == (found.rocker_mm, found.rocker_radius_mm, found.rocks_deg, found.never_touching)
        assert found.under_load is not None
        assert [(True, 0)] * 4 == [(wheel.touches, pytest.approx(wheel.gap_mm)) for wheel in found.under_load.wheels]

    def test_on_soft_wheels_presses_a_rocker_flat(self) -> None:
        """... with a 1 mm rocker under 95 kg stands on all four soft wheels, and on two under 20 kg on hard ones."""
        downs = (56, 57, 57, 56)
        heavy, light = dataclasses.replace(ON_ONE, mass_kg=95), dataclasses.replace(ON_ONE, mass_kg=20)
        soft = wheel_line(Skate(line_of([80] * 4, 81, downs, 78)), heavy)
        hard = wheel_line(Skate(line_of([80] * 4, 81, downs, 92)), light)

        assert (243, 81) == tuple(found.under_load and found.under_load.loaded_wheelbase_mm for found in (soft, hard))
        assert (81, 81) == tuple(found.under_load and found.under_load.effective_wheelbase_mm for found in (soft, hard))
        assert (121.5, 40.5) == tuple(found.under_load and _tip_back_mm(found.under_load) for found in (soft, hard))
        assert "wheels.rocker_flattened" in _codes(soft)
        assert "wheels.rocker_flattened" not in _codes(hard)

    def test_of_marked_wheels_of_two_lots_may_have_no_rocker(self) -> None:
        """... whose 0.5 mm rocker rests on the marks of two lots of used wheels says that it may not be there."""
        sizes = [Diameter(mm, Band(-6, -1.5, 0), 0.5, False) for mm in (79, 80, 80, 79)]
        flat = line_of([80] * 4)
        marked = Line(flat.axles, tuple(map(tyre, sizes)), (0, 1, 1, 0))
        found = wheel_line(Skate(marked), ON_ONE)

        assert pytest.approx(0.5) == found.rocker_mm
        assert 0.5 < found.doubt.probability < 0.95
        assert ["wheels.rocker_unsure", "wheels.diameters_as_marked"] == [
            code for code in _codes(found) if code != "wheels.rocker_flattened"
        ]
        assert found.doubt.probability == found.notes[0].params["probability"]


def _tip_back_mm(found: UnderLoad) -> float:
    return found.posture.tip_back.distance_mm


def _codes(found: WheelLine) -> list[str]:
    return [note.code for note in found.notes]


class TestLoads:
    """A wheel ..."""

    def test_carries_what_the_reference_says(self) -> None:
        """... carries what models.md B says of gaps 1-0-0-1 under 900 N, whatever the stiffness if presses scale."""
        line = line_of([80] * 4, 81, (56, 57, 57, 56))
        # The row is for 60 N/mm^1.5: of tyres k times as stiff the same gaps are met by k times the load.
        factor = float(tyre_stiffness_n_mm15(line)[0]) / 60
        load = dataclasses.replace(ON_ONE, mass_kg=900 * factor / 9.80665)

        assert pytest.approx([155.595553, 294.404447, 294.404447, 155.595553], rel=1e-7) == [
            wheel.load_n / factor for wheel in under(line, load).wheels
        ]

    def test_carries_about_the_same_off_the_middle(self) -> None:
        """... carries what models.md B says with the load 20 mm forward too, since the stand is the level one."""
        line = line_of([80] * 4, 81, (56, 57, 57, 56))
        factor = float(tyre_stiffness_n_mm15(line)[0]) / 60
        load = dataclasses.replace(ON_ONE, mass_kg=900 * factor / 9.80665, along_mm=20)

        assert pytest.approx([223.072596, 318.979381, 265.045672, 92.902351], rel=1e-7) == [
            wheel.load_n / factor for wheel in under(line, load).wheels
        ]

    def test_carries_half_as_much_on_two_skates(self) -> None:
        """... carries half as much if both skates are stood on."""
        line = line_of([80] * 4)
        both = under(line, dataclasses.replace(ON_ONE, skates=2))

        halves = [wheel.load_n / 2 for wheel in under(line).wheels]

        assert pytest.approx(halves) == [wheel.load_n for wheel in both.wheels]

    @settings(deadline=None)
    @given(st.lists(st.integers(72, 80), min_size=2, max_size=6), st.floats(0.01, 0.99), st.floats(1, 400))
    def test_is_in_balance_with_the_others(self, sizes: list[int], at: float, mass: float) -> None:
        """... is in balance with the others: loads are 0 or more, add up, and turn nothing over."""
        line = line_of([float(size) for size in sizes])
        half = line.axles[0].along_mm
        load = dataclasses.replace(ON_ONE, mass_kg=mass, along_mm=(2 * at - 1) * half)
        wheels = under(line, load).wheels
        moment = sum(wheel.load_n * axle.along_mm for wheel, axle in zip(wheels, line.axles, strict=True))

        assert min(wheel.load_n for wheel in wheels) >= 0
        assert pytest.approx(1) == sum(wheel.share for wheel in wheels)
        # Places along the skate and along the ground differ by the tilt's cosine and the rise of the wheels.
        assert pytest.approx(load.newtons * (2 * at - 1) * half, abs=load.newtons * 0.5) == moment


class TestLaws:
    """An answer ..."""

    @settings(deadline=None)
    @given(st.lists(st.integers(72, 80), min_size=2, max_size=5), st.floats(0.05, 0.95), st.integers(-300, 300))
    def test_does_not_depend_on_where_places_are_counted_from(self, sizes: list[int], at: float, by: int) -> None:
        """... does not depend on where along the skate places are counted from."""
        line, load = _loaded(sizes, at)
        moved = dataclasses.replace(
            line, axles=tuple(dataclasses.replace(axle, along_mm=axle.along_mm + by) for axle in line.axles)
        )
        there = dataclasses.replace(load, along_mm=(load.along_mm or 0.0) + by)

        assert _figures(under(line, load)) == pytest.approx(_figures(under(moved, there)), rel=1e-6, abs=1e-5)

    @settings(deadline=None)
    @given(st.lists(st.integers(72, 80), min_size=2, max_size=5), st.floats(0.05, 0.95))
    def test_is_the_same_front_to_back(self, sizes: list[int], at: float) -> None:
        """... is the same for the skate turned round, with its ends exchanged."""
        ahead, behind = (under(*_loaded(*case)) for case in ((sizes, at), (sizes[::-1], 1 - at)))

        assert pytest.approx(ahead.turning_ratio, rel=1e-6, abs=1e-6) == behind.turning_ratio
        assert pytest.approx(ahead.stand.tilt_deg, abs=1e-9) == -behind.stand.tilt_deg
        assert [each.load_n for each in ahead.wheels] == pytest.approx(
            [each.load_n for each in behind.wheels][::-1], rel=1e-6, abs=1e-5
        )
        assert ahead.posture.tip_back.distance_mm == pytest.approx(behind.posture.tip_forward.distance_mm, abs=1e-9)

    @settings(deadline=None)
    @given(st.lists(st.integers(72, 80), min_size=2, max_size=5), st.floats(0.05, 0.95), st.sampled_from([0.5, 2, 4]))
    def test_keeps_its_shares_if_all_lengths_grow(self, sizes: list[int], at: float, by: float) -> None:
        """... keeps its shares if all lengths grow alike and the load with their square, as Hertz has it."""
        line, load = _loaded(sizes, at)
        grown = under(
            _grown(line, by), Load(load.mass_kg * by * by, by * (load.along_mm or 0.0), 1, by * load.height_mm)
        )
        found = under(line, load)

        assert pytest.approx(found.turning_ratio, rel=1e-6, abs=1e-6) == grown.turning_ratio
        assert pytest.approx(by * found.loaded_wheelbase_mm) == grown.loaded_wheelbase_mm
        assert [each.share for each in found.wheels] == pytest.approx([each.share for each in grown.wheels], abs=1e-6)
        assert pytest.approx(found.posture.tip_back.angle_deg, abs=1e-9) == grown.posture.tip_back.angle_deg

    def test_takes_the_load_midway_if_nobody_says(self) -> None:
        """... takes the load as midway between the outer axles where its place is not given, and says so."""
        line = line_of([80] * 3)
        moved = dataclasses.replace(
            line, axles=tuple(dataclasses.replace(axle, along_mm=axle.along_mm + 7) for axle in line.axles)
        )
        found = wheel_line(Skate(moved), dataclasses.replace(ON_ONE, along_mm=None))

        assert (7, 81) == (found.load_along_mm, found.margin_mm)
        assert ["wheels.load_place_assumed"] == _codes(found)

    def test_says_that_a_thin_tyre_is_stiffer(self) -> None:
        """... says of tyres on a hard core that they are stiffer than reckoned."""
        flat = line_of([80] * 3)
        cored = dataclasses.replace(flat, tyres=(*flat.tyres[:2], tyre(measured(80), hard_core=True)))

        assert ["wheels.thin_tyre"] == _codes(wheel_line(Skate(cored), ON_ONE))

    def test_says_nothing_more_of_what_is_known(self) -> None:
        """... says nothing more of wheels that were measured under a load whose place is known."""
        assert [] == _codes(wheel_line(Skate(line_of([80] * 3)), ON_ONE))


def _grown(line: Line, by: float) -> Line:
    """Give a line with every length so much larger, profiles too."""
    axles = tuple(Axle(by * axle.along_mm, by * axle.down_mm) for axle in line.axles)
    tyres = tuple(
        dataclasses.replace(each, diameter=measured(by * each.diameter.mm), profile_radius_mm=exactly(by * 12))
        for each in line.tyres
    )
    return Line(axles, tyres, line.lots)


def _loaded(sizes: Sequence[int], at: float) -> tuple[Line, Load]:
    line = line_of([float(size) for size in sizes])
    return line, dataclasses.replace(ON_ONE, along_mm=(2 * at - 1) * line.axles[0].along_mm)


def _figures(found: Any) -> list[float]:
    return list(_flat(vars(found).values()))


def _flat(values: Iterable[Any]) -> Iterator[float]:
    """Give every number in an answer, whichever way it is nested."""
    for value in values:
        if isinstance(value, bool | int | float):
            yield float(value)
        elif isinstance(value, tuple):
            yield from _flat(value)
        elif dataclasses.is_dataclass(value):
            yield from _flat(vars(value).values())


class TestBadInput:
    """A skate ..."""

    @pytest.mark.parametrize(
        ("sizes", "along", "margin"),
        [
            ([80, 80, 80, 80], 121.5, 0),
            ([80, 80, 80, 80], -130, -8.5),
            ([80, 80], 40.5, 0),
            ([80], 0, 0),
            ([80], 12, -12),
        ],
    )
    def test_tips_under_a_load_at_or_beyond_an_outer_axle(
        self, sizes: list[float], along: float, margin: float
    ) -> None:
        """... tips under a load at an outer axle or beyond, and on a single wheel, and says by how much."""
        found = wheel_line(Skate(line_of(sizes)), dataclasses.replace(ON_ONE, along_mm=along))

        assert (Outcome.TIPS, None, None) == (found.outcome, found.under_load, found.doubt.stand)
        assert (margin, ["wheels.tips"]) == (found.margin_mm, _codes(found))
        assert {"margin_mm": margin} == found.notes[0].params

    def test_on_two_wheels_stands_on_both(self) -> None:
        """... on two wheels stands on both."""
        found = wheel_line(Skate(line_of([80, 76], 200)), ON_ONE)

        assert (Outcome.STANDS, 100, 0, None) == (
            found.outcome,
            found.margin_mm,
            found.rocker_mm,
            found.rocker_radius_mm,
        )
        assert pytest.approx([0.5, 0.5], abs=0.002) == [wheel.share for wheel in under(line_of([80, 76], 200)).wheels]

    @pytest.mark.parametrize("mass", [1e-6, 0.5, 400, 1e5])
    @pytest.mark.parametrize(
        "line",
        [
            line_of([80] * 4, 40),
            line_of([80, 300, 80], 81),
            line_of([300, 20, 300], 10),
            line_of([80] * 4, 81, (56, -400, 56, 500)),
            line_of([80] * 12, 0.5),
            line_of([1, 1, 1], 5000),
            line_of([80] * 5, 81, hardness=95),
            line_of([80] * 5, 81, hardness=30),
        ],
        ids=["overlap", "too large", "swallowed", "far apart in height", "twelve", "tiny", "hardest", "softest"],
    )
    def test_has_a_finite_answer_for_wheels_that_no_frame_has(self, line: Line, mass: float) -> None:
        """... with wheels that overlap, are too large or stand in each other has an answer of finite numbers."""
        load = dataclasses.replace(ON_ONE, mass_kg=mass, along_mm=1.0)
        found = wheel_line(Skate(line), load)

        assert all(map(math.isfinite, _figures(found)))
        assert (found.margin_mm > 0) == (found.under_load is not None)
        assert found.under_load is None or min(wheel.load_n for wheel in found.under_load.wheels) >= 0

    def test_in_a_stand_so_steep_that_its_load_lies_beyond_it_still_stands(self) -> None:
        """... pitched by a huge wheel so that the load lies beyond its contacts, has an answer."""
        axles = (Axle(20, 21), Axle(0, 45), Axle(-20, 20))
        line = Line(axles, tuple(tyre(measured(size)) for size in (102, 40, 40)), (0, 0, 0))
        found = wheel_line(Skate(line), dataclasses.replace(ON_ONE, along_mm=0.0))

        assert all(map(math.isfinite, _figures(found)))

    @settings(deadline=None)
    @given(
        st.lists(st.tuples(st.integers(1, 200), st.integers(-300, 300), st.floats(20, 300)), min_size=1, max_size=6),
        st.floats(-400, 400),
        st.floats(0.01, 1000),
    )
    def test_never_has_an_answer_that_is_no_number(
        self, places: list[tuple[int, int, float]], along: float, mass: float
    ) -> None:
        """... never has an answer that is not a number, a load below 0 or a gap below 0, whatever its wheels."""
        at = [200 - sum(step for step, _, _ in places[:index]) for index in range(len(places))]
        axles = tuple(Axle(x, down) for x, (_, down, _) in zip(at, places, strict=True))
        line = Line(axles, tuple(tyre(measured(size)) for _, _, size in places), (0,) * len(places))
        found = wheel_line(Skate(line), dataclasses.replace(ON_ONE, mass_kg=mass, along_mm=along))

        assert all(map(math.isfinite, _figures(found)))
        assert (found.margin_mm > 0) == (found.under_load is not None)
        wheels = found.under_load.wheels if found.under_load else ()
        assert all(wheel.load_n >= 0 and wheel.gap_mm >= 0 and wheel.presses_mm >= 0 for wheel in wheels)
