"""The rocker options that a frame offers, held against trade cases and against trying everything."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import Outcome
from mountwright.riding.band import exactly
from mountwright.riding.clearance import Place
from mountwright.riding.line import Axle, Deck, Diameter, Line, Skate, Sole, Tyre
from mountwright.riding.obstacles import LeastGaps, usual_gaps
from mountwright.riding.rocker_options import RockerOption, RockerOptions, Wanted, Wish, rocker_options
from mountwright.riding.rocker_search import MOST_COMBINATIONS, candidates, stock
from mountwright.riding.rocker_work import Job
from mountwright.riding.room import likely_um, room
from mountwright.riding.stands import rocker_radius_mm

EVERY = 1_000_000
ECCENTRIC = (-1.0, 0.0, 1.0)


def tyre(diameter_mm: float) -> Tyre:
    """Give a wheel that is exactly as large as said."""
    return Tyre(Diameter(diameter_mm, exactly(0.0), 0.0, is_measured=True), exactly(85.0), exactly(12.0), exactly(0.6))


def skate(
    sizes: tuple[float, ...], spacing_mm: float, settings_mm: tuple[float, ...] = (0.0,), **more: object
) -> Skate:
    """Give wheels on level axles 56 below the deck, all in the setting 0, evenly spaced about the middle."""
    front = (len(sizes) - 1) / 2 * spacing_mm
    axles = tuple(Axle(front - index * spacing_mm, 56.0, settings_mm, 0.0) for index in range(len(sizes)))
    return Skate(Line(axles, tuple(map(tyre, sizes)), (0,) * len(sizes)), **more)  # type: ignore[arg-type]


def any_number(*sizes: float) -> Mapping[float, int | None]:
    """Give sizes on offer, any number of each."""
    return dict.fromkeys(sizes)


def stances(found: RockerOptions) -> list[tuple[tuple[float, ...], tuple[float, ...]]]:
    """Give diameters and settings of what is offered, in order."""
    return [(option.diameters_mm, option.settings_mm) for option in found.options]


class TestOptions:
    """The options of a frame ..."""

    def test_with_eccentric_axles_are_flat_and_two_rockers(self) -> None:
        """... with four axles of +-1 mm and one size are rocker 2, rocker 1 and flat, and no more."""
        found = rocker_options(skate((80,) * 4, 81, ECCENTRIC), Wish(Wanted.QUICKER_TURNING))

        assert [2.0, 1.0, 0.0] == [option.rocker_mm for option in found.options]
        assert [81.0, 81.0, 243.0] == [option.effective_wheelbase_mm for option in found.options]
        assert 3 == found.offered

    def test_keep_the_one_that_takes_less_work(self) -> None:
        """... turn the outer axles up for rocker 1: turning the inner ones down would raise the deck."""
        found = rocker_options(skate((80,) * 4, 81, ECCENTRIC), Wish(Wanted.QUICKER_TURNING))
        second = found.options[1]

        assert ((-1.0, 0.0, 0.0, -1.0), 0.0, 2) == (second.settings_mm, second.deck_change_mm, second.changes)
        assert (Job("bench.turn_eccentric_axles", (0, 3)),) == second.jobs

    def test_with_smaller_outer_wheels_are_a_rocker_too(self) -> None:
        """... are 76-80-80-76 with 2 mm from a flat 4 x 80, for two wheels of 76 to buy."""
        found = rocker_options(skate((80,) * 4, 81), Wish(Wanted.QUICKER_TURNING, sizes=any_number(76, 80)))
        best = found.options[0]

        assert ((76.0, 80.0, 80.0, 76.0), 2.0, 81.0) == (best.diameters_mm, best.rocker_mm, best.effective_wheelbase_mm)
        # Sagitta: 243^2 / 16 + 1.
        assert 3691.5625 == best.rocker_radius_mm
        assert (Job("bench.swap_wheels", (0, 3), ((76.0, 2),)),) == best.jobs

    def test_with_lifted_ends_have_the_wheelbase_of_the_inner_wheels(self) -> None:
        """... of five wheels stand on the inner three, as four wheels or three do, once the outer axles are up."""
        on = skate((84,) * 5, 85)
        ends = tuple(
            replace(axle, settings_mm=ECCENTRIC[:2]) if index in (0, 4) else axle
            for index, axle in enumerate(on.line.axles)
        )
        found = rocker_options(replace(on, line=replace(on.line, axles=ends)), Wish(Wanted.QUICKER_TURNING))

        assert [170.0, 340.0] == [option.effective_wheelbase_mm for option in found.options]

    def test_leave_out_wheels_that_never_touch(self) -> None:
        """... are not those in which an inner wheel hangs at any tilt."""
        found = rocker_options(skate((80,) * 4, 81), Wish(Wanted.STEADIER, sizes=any_number(76)))

        assert ((80.0, 76.0, 76.0, 80.0), (0.0,) * 4) not in stances(found)
        assert 3 == found.offered

    def test_are_ranked_by_what_was_asked(self) -> None:
        """... put flat first for steadier, and the nearest radius first for a wanted one, flat last."""
        on = skate((80,) * 4, 81, ECCENTRIC)
        steadier = rocker_options(on, Wish(Wanted.STEADIER))
        round_7000 = rocker_options(on, Wish(Wanted.ROCKER_RADIUS, radius_mm=7000))

        assert [0.0, 1.0, 2.0] == [option.rocker_mm for option in steadier.options]
        assert [1.0, 2.0, 0.0] == [option.rocker_mm for option in round_7000.options]

    def test_are_as_many_as_asked_for(self) -> None:
        """... are cut after so many, and the answer says how many there are."""
        found = rocker_options(skate((80,) * 4, 81, ECCENTRIC), Wish(Wanted.STEADIER, most=1))

        assert (1, 3) == (len(found.options), found.offered)

    def test_take_no_more_wheels_than_there_are(self) -> None:
        """... of one 76 on offer have no mirror pair, and with the one that stands there already they have."""
        one = rocker_options(skate((80,) * 4, 81), Wish(Wanted.QUICKER_TURNING, sizes={76: 1}))
        two = rocker_options(skate((76, 80, 80, 80), 81), Wish(Wanted.QUICKER_TURNING, sizes={76: 1}))

        assert [(80.0,) * 4] == [option.diameters_mm for option in one.options]
        assert (1, 1, "all") == one.searched
        assert ((76.0, 80.0, 80.0, 76.0), (Job("bench.swap_wheels", (3,), ((76.0, 1),)),)) == (
            two.options[0].diameters_mm,
            two.options[0].jobs,
        )

    def test_move_wheels_before_they_buy_any(self) -> None:
        """... put the wheels that are there elsewhere: nothing to buy, and each wheel keeps its article."""
        on = skate((80, 76, 76, 80), 81)
        on = replace(on, line=replace(on.line, lots=(7, 8, 8, 7)))
        found = rocker_options(on, Wish(Wanted.QUICKER_TURNING))
        best = found.options[0]

        assert (Job("bench.swap_wheels", (0, 1, 2, 3)),) == best.jobs
        assert (8, 7, 7, 8) == best.line.lots

    def test_say_how_far_the_deck_moves(self) -> None:
        """... set the deck 2 mm lower on 4 x 76 than on 4 x 80."""
        found = rocker_options(skate((80,) * 4, 81), Wish(Wanted.STEADIER, sizes=any_number(76)))

        assert {(80.0,) * 4: 0.0, (76.0,) * 4: -2.0} == {
            option.diameters_mm: option.deck_change_mm for option in found.options if not option.rocker_mm
        }

    def test_mark_how_it_stands(self) -> None:
        """... tell which of them is there now, and take no work for it."""
        found = rocker_options(skate((80,) * 4, 81, ECCENTRIC), Wish(Wanted.STEADIER))

        assert [True, False, False] == [option.is_now for option in found.options]
        assert found.now == found.options[0]
        assert () == found.now.jobs

    def test_tell_how_it_stands_though_it_is_not_offered(self) -> None:
        """... leave out what has no room now, and still tell it for comparison, with its conflicts."""
        found = rocker_options(skate((80,) * 4, 77), Wish(Wanted.STEADIER, sizes=any_number(76)))

        assert [(76.0,) * 4] == [option.diameters_mm for option in found.options]
        assert ((80.0,) * 4, Outcome.FAIL) == (found.now.diameters_mm, found.now.room.outcome)

    def test_leave_out_wheels_that_meet_past_their_neighbour(self) -> None:
        """... are none where the first wheel and the third overlap, the second out of their way."""
        axles = (Axle(30, 50), Axle(0, 145), Axle(-30, 50))
        found = rocker_options(Skate(Line(axles, (tyre(80),) * 3, (0, 0, 0))), Wish(Wanted.STEADIER))

        assert () == found.options
        assert not found.now.room.keeps_its_gaps

    def test_leave_out_a_wheel_that_the_frame_does_not_take(self) -> None:
        """... are none with the wheels that stand there, where the frame's figure forbids them."""
        on = skate((84,) * 4, 90, deck=Deck(largest_wheel_mm=80))
        found = rocker_options(on, Wish(Wanted.STEADIER, sizes=any_number(80, 82)))

        assert [(80.0,) * 4] == [option.diameters_mm for option in found.options]
        assert 2 == found.searched.looked_at - 2

    def test_keep_a_wheel_that_no_figure_forbids(self) -> None:
        """... are not fewer where something is not known, and say with each what to look at."""
        found = rocker_options(skate((125,) * 3, 126), Wish(Wanted.STEADIER))

        assert [Outcome.NOT_MEASURED] == [option.room.outcome for option in found.options]
        assert "block_gap_mm" in {each.next_step.what for each in found.options[0].room.to_look_at if each.next_step}

    def test_may_differ_from_front_to_rear_on_request(self) -> None:
        """... have one smaller wheel in front only where front and rear need not be alike."""
        on, sizes = skate((80,) * 4, 81), any_number(78)
        alike = rocker_options(on, Wish(Wanted.QUICKER_TURNING, sizes=sizes, most=EVERY))
        free = rocker_options(on, Wish(Wanted.QUICKER_TURNING, sizes=sizes, most=EVERY, is_asymmetric=True))

        assert (78.0, 80.0, 80.0, 80.0) in {option.diameters_mm for option in free.options}
        assert set(stances(alike)) < set(stances(free))

    def test_of_a_new_wheel_are_as_doubtful_as_its_mark(self) -> None:
        """... give a wheel to buy the doubt of a mark and a lot of its own, and leave the others theirs."""
        found = rocker_options(skate((80,) * 4, 81), Wish(Wanted.QUICKER_TURNING, sizes=any_number(76)))
        line = found.options[0].line

        assert (False, True, True, False) == tuple(each.diameter.is_measured for each in line.tyres)
        assert line.lots[0] == line.lots[3] not in {0}

    @pytest.mark.parametrize("count", [1, 2])
    def test_of_one_wheel_or_two_are_flat(self, count: int) -> None:
        """... are told for one wheel and for two, without a rocker."""
        found = rocker_options(skate((80,) * count, 100, ECCENTRIC), Wish(Wanted.STEADIER, sizes=any_number(76)))

        assert {(0.0, None)} == {(option.rocker_mm, option.rocker_radius_mm) for option in found.options}
        assert {(count - 1) * 100.0} == {option.effective_wheelbase_mm for option in found.options}

    def test_go_by_where_the_load_stands(self) -> None:
        """... of three wheels with the middle one lower stand on two with the load ahead, and on one right above it."""
        on = skate((78, 80, 78), 110)
        ahead, above = (rocker_options(on, Wish(Wanted.STEADIER, load_along_mm=at)).now for at in (10, 0))

        assert (110.0, 0.0) == (ahead.effective_wheelbase_mm, above.effective_wheelbase_mm)

    @pytest.mark.parametrize("at_mm", [121.5, -121.5, 300])
    def test_ask_for_a_load_that_does_not_tip(self, at_mm: float) -> None:
        """... are not told for a load at or beyond an outer axle."""
        with pytest.raises(InvalidQuantityError, match="between the outer axles"):
            rocker_options(skate((80,) * 4, 81), Wish(Wanted.STEADIER, load_along_mm=at_mm))

    @pytest.mark.parametrize(
        "wrong",
        [
            {"wanted": Wanted.ROCKER_RADIUS},
            {"wanted": Wanted.ROCKER_RADIUS, "radius_mm": 0.0},
            {"wanted": Wanted.STEADIER, "most": 0},
            {"wanted": Wanted.STEADIER, "sizes": {0.0: None}},
            {"wanted": Wanted.STEADIER, "sizes": {80.0: -1}},
            {"wanted": Wanted.STEADIER, "sizes": {float("nan"): None}},
        ],
    )
    def test_ask_for_a_wish_that_can_be(self, wrong: dict[str, object]) -> None:
        """... are not told for a radius, a number or a size that cannot be."""
        with pytest.raises(InvalidQuantityError):
            Wish(**wrong)  # type: ignore[arg-type]


SIX = any_number(72, 74, 76, 78, 80, 82)


class TestSearch:
    """The search of options ..."""

    def test_looks_at_every_mirror_symmetric_set(self) -> None:
        """... of 5 axles with 3 settings and 6 sizes looks at all 18^3 sets."""
        found = rocker_options(skate((80,) * 5, 85, ECCENTRIC), Wish(Wanted.STEADIER, sizes=SIX))

        assert (5_832, 5_832, "all") == found.searched

    def test_says_that_it_was_capped(self) -> None:
        """... of the same frame without symmetry has 18^5 sets, looks at 100,000 at most, and says which."""
        found = rocker_options(
            skate((80,) * 5, 85, ECCENTRIC), Wish(Wanted.STEADIER, sizes=SIX, is_asymmetric=True)
        ).searched

        assert (1_889_568, "fewest_changes_first") == (found.combinations, found.chosen)
        assert 95_000 < found.looked_at <= MOST_COMBINATIONS

    def test_that_is_capped_looks_at_every_symmetric_set_still(self) -> None:
        """... without symmetry has all mirror-symmetric sets among the rest, each once, and all of 3 changes."""
        on = skate((80,) * 5, 85, ECCENTRIC)
        alike, free = (candidates(on, stock(on, SIX), usual_gaps(), is_asymmetric=each).rows for each in (False, True))
        rows = set(map(tuple, free.tolist()))

        assert len(rows) == len(free)
        assert set(map(tuple, alike.tolist())) <= rows
        # 18^5 sets with 17 other choices an axle: 1 + 5 x 17 + 10 x 17^2 + 10 x 17^3.
        assert 52_106 == sum(np.count_nonzero(row) <= 3 for row in free)

    def test_never_looks_at_more_of_a_symmetric_frame_either(self) -> None:
        """... of 6 axles with 9 settings and 6 sizes, 54^3 sets, stops at 100,000."""
        half_steps = tuple(each / 4 for each in range(-4, 5))
        found = rocker_options(skate((80,) * 6, 85, half_steps), Wish(Wanted.STEADIER, sizes=SIX))

        assert (157_464, MOST_COMBINATIONS, "fewest_changes_first") == found.searched

    def test_counts_nothing_that_has_no_room_at_its_axle(self) -> None:
        """... of a frame for 76 counts three sizes of six."""
        on = skate((76,) * 4, 85, deck=Deck(largest_wheel_mm=76))

        assert (9, 9, "all") == rocker_options(on, Wish(Wanted.STEADIER, sizes=SIX)).searched


SIZES = st.sampled_from([74.0, 76.0, 78.0, 80.0, 80.5])
ONE_MM = LeastGaps(1.0, 4.0, 2.0, 2.0)


@st.composite
def small_frames(draw: st.DrawFn) -> Skate:
    """Give frames of two to four axles with up to three settings each, close enough for gaps to break."""
    count = draw(st.integers(2, 4))
    along, axles = 130.0, []
    for _ in range(count):
        offered = draw(st.sampled_from([(0.0,), (-1.0, 0.0), (-1.0, 0.0, 1.0)]))
        axles.append(Axle(along, draw(st.sampled_from([46.0, 46.5])), offered, draw(st.sampled_from(offered))))
        along -= draw(st.sampled_from([79.0, 81.0, 85.0]))
    wheels = tuple(tyre(draw(SIZES)) for _ in axles)
    outline = draw(st.sampled_from([(), (Place(150_000, 0), Place(-150_000, -8_000))]))
    sole = Sole(outline, None, draw(st.sampled_from([None, 0.0, 3.0])), 10.0, 100.0)
    deck = Deck(0.0, 82.5, -82.5, draw(st.sampled_from([None, 80.0])))
    return Skate(Line(tuple(axles), wheels, tuple(range(count))), deck, sole, ((82.5, 4.0),))


OFFERS = st.dictionaries(SIZES, st.sampled_from([None, 1, 2]), max_size=2)
WISHES = st.builds(
    Wish, st.sampled_from(Wanted), st.just(4_000.0), OFFERS, st.booleans(), st.just(None), st.just(EVERY)
)


class Tried:
    """A set-up of a frame, judged the long way: gap by gap, and with fractions."""

    def __init__(self, on: Skate, chosen: tuple[tuple[float, float], ...]) -> None:
        self.settings = tuple(setting for setting, _ in chosen)
        self.sizes = tuple(size for _, size in chosen)
        axles = tuple(replace(axle, setting_mm=each) for axle, each in zip(on.line.axles, self.settings, strict=True))
        self.skate = replace(on, line=replace(on.line, axles=axles, tyres=tuple(map(tyre, self.sizes))))
        self.along = [Fraction(axle.along_mm) for axle in axles]
        self.lowest = [
            Fraction(axle.stands_mm) + Fraction(size) / 2 for axle, size in zip(axles, self.sizes, strict=True)
        ]
        now = zip(on.line.axles, on.line.tyres, strict=True)
        self.changes = sum(
            (axle.setting_mm != setting) + (wheel.diameter.mm != size)
            for (axle, wheel), (setting, size) in zip(now, chosen, strict=True)
        )

    def line_at(self, front: int, rear: int, at: Fraction) -> Fraction:
        """Give how low the line through two lowest points is at a place."""
        share = (at - self.along[rear]) / (self.along[front] - self.along[rear])
        return self.lowest[front] * share + self.lowest[rear] * (1 - share)

    def touches(self) -> bool:
        """Tell whether no wheel hangs above the line through any two others around it."""
        return all(
            self.lowest[middle] >= self.line_at(front, rear, self.along[middle])
            for front, middle, rear in combinations(range(len(self.along)), 3)
        )

    def rocker(self) -> Fraction:
        """Give the rocker."""
        last = len(self.along) - 1
        return max(
            (self.lowest[each] - self.line_at(0, last, self.along[each]) for each in range(1, last)),
            default=Fraction(0),
        )

    def stance_at(self, load: Fraction) -> tuple[Fraction, Fraction]:
        """Give the effective wheelbase under a load, and how high the deck is above the ground there."""
        height = max(
            self.line_at(front, rear, load)
            for front, rear in combinations(range(len(self.along)), 2)
            if self.along[front] >= load >= self.along[rear]
        )
        for front, rear in combinations(range(len(self.along)), 2):
            ground = [self.line_at(front, rear, at) for at in self.along]
            touching = [at for at, low, floor in zip(self.along, self.lowest, ground, strict=True) if low == floor]
            holds = all(low <= floor for low, floor in zip(self.lowest, ground, strict=True))
            if holds and touching[0] > load > touching[-1]:
                return touching[0] - touching[-1], height
        return Fraction(0), height

    def key(self, wish: Wish, load: Fraction) -> tuple[object, ...]:
        """Give what it is ranked by."""
        effective, rocker = self.stance_at(load)[0], self.rocker()
        if wish.wanted is Wanted.ROCKER_RADIUS:
            radius = rocker_radius_mm(float(self.along[0] - self.along[-1]), float(rocker)) if rocker > 0 else None
            first: tuple[object, ...] = (float("inf") if radius is None else round(abs(radius - 4_000), 3),)
        else:
            first = (effective, -rocker) if wish.wanted is Wanted.QUICKER_TURNING else (-effective, rocker)
        return (*first, self.changes, self.sizes, self.settings)


def every_set(on: Skate, wish: Wish) -> Iterator[Tried]:
    """Give every set-up that wheels and settings allow."""
    now = [(axle.setting_mm, wheel.diameter.mm) for axle, wheel in zip(on.line.axles, on.line.tyres, strict=True)]
    there = Counter(size for _, size in now)
    for chosen in product(*[product(axle.settings_mm, sorted({*wish.sizes, *there})) for axle in on.line.axles]):
        pairs = zip(chosen, now, chosen[::-1], now[::-1], strict=True)
        mirrored = all(
            front == rear or (front == as_is and rear == rear_as_is) for front, as_is, rear, rear_as_is in pairs
        )
        used = Counter(size for _, size in chosen)
        enough = all(
            (size in wish.sizes and wish.sizes[size] is None) or count <= there[size] + (wish.sizes.get(size) or 0)
            for size, count in used.items()
        )
        if enough and (wish.is_asymmetric or mirrored):
            yield Tried(on, chosen)


def by_trying(on: Skate, wish: Wish, gaps: LeastGaps) -> list[Tried]:
    """Give what a frame offers, in order, by trying everything."""
    load = (Fraction(on.line.axles[0].along_mm) + Fraction(on.line.axles[-1].along_mm)) / 2
    now = [(axle.setting_mm, wheel.diameter.mm) for axle, wheel in zip(on.line.axles, on.line.tyres, strict=True)]
    height = Tried(on, tuple(now)).stance_at(load)[1]
    best: dict[object, tuple[object, Tried]] = {}
    for each in every_set(on, wish):
        if each.touches() and room(each.skate, gaps).keeps_its_gaps:
            stance = (each.sizes, tuple(max(each.lowest) - low for low in each.lowest))
            work = (each.changes, abs(each.stance_at(load)[1] - height), each.settings)
            if stance not in best or work < best[stance][0]:
                best[stance] = (work, each)
    return sorted((each for _, each in best.values()), key=lambda each: each.key(wish, load))


@settings(max_examples=60, deadline=None)
@given(small_frames(), WISHES)
def test_nothing_is_lost_and_nothing_added(on: Skate, wish: Wish) -> None:
    """The options of small frames are those found by trying everything with fractions, in the same order."""
    found, tried = rocker_options(on, wish, ONE_MM), by_trying(on, wish, ONE_MM)

    assert [(each.sizes, each.settings) for each in tried] == stances(found)
    assert [float(each.rocker()) for each in tried] == pytest.approx(
        [each.rocker_mm for each in found.options], abs=1e-6
    )
    assert len(tried) == found.offered


def _effective(option: RockerOption) -> float:
    return option.effective_wheelbase_mm


@settings(max_examples=40, deadline=None)
@given(small_frames(), WISHES)
def test_no_option_breaks_a_gap(on: Skate, wish: Wish) -> None:
    """Every option keeps its gaps by the room of the skate as it would stand, and its line is the one it describes."""
    for option in rocker_options(on, wish).options:
        assert room(replace(on, line=option.line), usual_gaps()).keeps_its_gaps
        assert option.diameters_mm == tuple(likely_um(wheel.diameter) / 1000 for wheel in option.line.tyres)
        assert option.settings_mm == tuple(axle.setting_mm for axle in option.line.axles)


@settings(max_examples=40, deadline=None)
@given(small_frames(), WISHES, st.randoms(use_true_random=False))
def test_the_order_of_sizes_does_not_matter(on: Skate, wish: Wish, chance: object) -> None:
    """The answer is the same in whatever order sizes are on offer."""
    offered = list(wish.sizes.items())
    chance.shuffle(offered)  # type: ignore[attr-defined]  # hypothesis' own Random

    assert rocker_options(on, wish) == rocker_options(on, replace(wish, sizes=dict(offered)))


@settings(max_examples=40, deadline=None)
@given(small_frames(), WISHES, SIZES)
def test_one_more_size_never_loses_an_option(on: Skate, wish: Wish, size: float) -> None:
    """What is offered from some sizes is offered from more of them too."""
    more = replace(wish, sizes={**wish.sizes, size: None})

    assert set(stances(rocker_options(on, wish))) <= set(stances(rocker_options(on, more)))


@settings(max_examples=40, deadline=None)
@given(small_frames(), WISHES)
def test_the_best_is_never_worse_than_how_it_stands(on: Skate, wish: Wish) -> None:
    """Where the skate as it stands is offered, the first option turns no less and no more than was asked for."""
    found = rocker_options(on, wish)
    if found.now in found.options and wish.wanted is not Wanted.ROCKER_RADIUS:
        sign = 1 if wish.wanted is Wanted.QUICKER_TURNING else -1

        assert sign * _effective(found.options[0]) <= sign * _effective(found.now)
