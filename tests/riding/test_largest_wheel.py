"""The largest wheel that goes in, at each axle and everywhere alike."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from mountwright.riding.band import exactly
from mountwright.riding.clearance import Place
from mountwright.riding.largest_wheel import Bound, largest_wheel_alike, largest_wheels
from mountwright.riding.line import Axle, Deck, Diameter, Line, Skate, Sole, Tyre
from mountwright.riding.obstacles import LeastGaps
from mountwright.riding.room import Room, room

ONE_MM = LeastGaps(1.0, 4.0, 2.0, 2.0)
FLAT_FRAME = Sole(front_block_depth_mm=0, rear_block_depth_mm=0)


def tyre(diameter_mm: float) -> Tyre:
    """Give a wheel that is exactly as large as said."""
    return Tyre(Diameter(diameter_mm, exactly(0.0), 0.0, is_measured=True), exactly(85.0), exactly(12.0), exactly(0.6))


def skate(sizes: tuple[float, ...], spacing_mm: float, down_mm: float = 56.0, **more: object) -> Skate:
    """Give wheels on level axles, evenly spaced about the middle."""
    front = (len(sizes) - 1) / 2 * spacing_mm
    axles = tuple(Axle(front - index * spacing_mm, down_mm) for index in range(len(sizes)))
    line = Line(axles, tuple(map(tyre, sizes)), tuple(range(len(sizes))))
    return Skate(line, **{"sole": FLAT_FRAME, **more})  # type: ignore[arg-type]


def with_wheels(on: Skate, sizes: dict[int, float]) -> Skate:
    """Give a skate with other wheels on some of its axles."""
    tyres = tuple(tyre(sizes[index]) if index in sizes else each for index, each in enumerate(on.line.tyres))
    return replace(on, line=replace(on.line, tyres=tyres))


@st.composite
def skates(draw: st.DrawFn) -> Skate:
    """Give skates of one to four wheels with whatever may stand above them."""
    count = draw(st.integers(1, 4))
    micro = st.integers(40_000, 70_000)
    along, axles = 140_000, []
    for _ in range(count):
        axles.append(Axle(along / 1000, draw(micro) / 1000))
        along -= draw(st.integers(70_000, 120_000))
    line = Line(tuple(axles), tuple(tyre(draw(micro) / 1000) for _ in axles), tuple(range(count)))
    slanted = (Place(150_000, draw(st.integers(-15_000, 0))), Place(-150_000, draw(st.integers(-25_000, 0))))
    sole = Sole(draw(st.sampled_from([(), slanted])), None, draw(st.sampled_from([None, 0, 6])), 15.0, 105.0)
    deck = Deck(draw(st.sampled_from([None, 8.0])), 82.5, -82.5, draw(st.sampled_from([None, 90.0])))
    return Skate(line, deck, sole, draw(st.sampled_from([(), ((82.5, 8.0), (-82.5, 6.5))])))


def surely_kept(found: Room) -> bool:
    """Tell whether no gap is below its least, whatever is not known, by the figures."""
    return all(
        each.gap_mm is None or each.least_mm is None or each.gap_mm >= each.least_mm - 1e-9 for each in found.clearances
    )


class TestLargestWheel:
    """The largest wheel that goes in ..."""

    def test_everywhere_alike_is_that_of_the_trade(self) -> None:
        """... is 80 on axles 81 apart where a millimetre has to stay."""
        found = largest_wheel_alike(skate((76, 76, 76, 76), 81), ONE_MM)

        assert (80.0, Bound("wheel_to_wheel", 0, 1), 80.0) == (found.mm, found.bound, found.at_most_mm)

    def test_at_one_axle_takes_what_its_neighbours_leave(self) -> None:
        """... is 84 beside two of 76, and 80 at the ends, where the others of 80 stand next."""
        found = largest_wheels(skate((76, 80, 76), 81), ONE_MM)

        assert [80.0, 84.0, 80.0] == [each.mm for each in found]

    def test_is_bounded_by_the_frame(self) -> None:
        """... is no larger than the frame's maker allows, and the bound is named."""
        found = largest_wheel_alike(skate((76, 76), 120, deck=Deck(largest_wheel_mm=90)))

        assert (90.0, "wheel_to_frame") == (found.mm, found.bound and found.bound.code)

    def test_is_told_twice_where_something_is_open(self) -> None:
        """... is 108 whatever the blocks are, and 119 if they are out of the way: twice the axle's depth less 2 mm."""
        found = largest_wheel_alike(skate((76, 76), 120, sole=Sole()), ONE_MM)

        assert (108.0, "wheel_to_block") == (found.mm, found.bound and found.bound.code)
        assert (119.0, "wheel_to_wheel") == (found.at_most_mm, found.at_most_bound and found.at_most_bound.code)

    def test_is_not_bounded_where_nothing_is_in_the_way(self) -> None:
        """... has no bound on one axle of a frame that nobody described, and none is made up."""
        [found] = largest_wheels(skate((76,), 120, sole=Sole()))

        assert found.at_most_mm is None
        assert found.at_most_bound is None

    def test_is_none_where_the_axle_is_in_the_sole(self) -> None:
        """... is 0 where no wheel goes in, never less."""
        outline = (Place(200_000, 60_000), Place(-200_000, 60_000))
        sole = Sole(outline, front_block_depth_mm=0, rear_block_depth_mm=0)

        assert 0.0 == largest_wheel_alike(skate((76, 76), 120, sole=sole)).mm

    @given(skates())
    def test_everywhere_alike_goes_in_and_no_larger_one_does(self, on: Skate) -> None:
        """... keeps every gap, and a wheel of 1 um more breaks one."""
        found = largest_wheel_alike(on, ONE_MM)
        every = range(len(on.line.axles))

        for size, keeps in ((found.mm, surely_kept), (found.at_most_mm, lambda each: each.keeps_its_gaps)):
            if size:
                assert keeps(room(with_wheels(on, dict.fromkeys(every, size)), ONE_MM))
                assert not keeps(room(with_wheels(on, dict.fromkeys(every, size + 0.001)), ONE_MM))

    @given(skates(), st.data())
    def test_at_one_axle_goes_in_and_no_larger_one_does(self, on: Skate, data: st.DataObject) -> None:
        """... keeps this wheel's gaps with the others as they are, and a wheel of 1 um more does not."""
        index = data.draw(st.integers(0, len(on.line.axles) - 1))
        found = largest_wheels(on, ONE_MM)[index]

        for size, is_kept in ((found.mm, True), (found.mm + 0.001, False)):
            if found.mm:
                clearances = room(with_wheels(on, {index: size}), ONE_MM).clearances
                own = tuple(each for each in clearances if index in (each.wheel, _other_wheel(each.code, each.other)))
                assert is_kept is surely_kept(Room(own, None))


def _other_wheel(code: str, other: int | None) -> int | None:
    return other if code == "wheel_to_wheel" else None
