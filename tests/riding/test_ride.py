"""What set-ups take to roll, held against the first of them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import repeat

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.bearing_drag import Seal
from mountwright.riding.line import Axle, Diameter, Line, Tyre
from mountwright.riding.power import Posture, Rider
from mountwright.riding.rebound import WheelOrigin, rebound_by_kind, rebound_if_measured
from mountwright.riding.ride import Ride, rides_compared
from mountwright.riding.ride_answer import AgainstFirst, LossPart, Outcome, RideEstimate, RideLoss

_RIDER = Rider(80, 5, Posture.SEMI_SQUAT)
_UNKNOWN = rebound_by_kind(WheelOrigin.UNKNOWN, None)


def _tyre(
    diameter_mm: float = 80, rebound: Band = _UNKNOWN, profile: Band | None = None, hardness: Band | None = None
) -> Tyre:
    diameter = Diameter(diameter_mm, Band(-1, 0, 0.3), 0.1, is_measured=False)
    return Tyre(diameter, hardness or Band(83, 85, 87), profile or Band(10.5, 12, 13.5), rebound, hard_core=False)


def _line(
    tyres: Sequence[Tyre], wheelbase_mm: float, lots: Iterable[int], lowered_mm: Iterable[float] = repeat(0)
) -> Line:
    """Give evenly spaced wheels whose marks stand on one level, each lowered by so much."""
    step = wheelbase_mm / max(1, len(tyres) - 1)
    axles = [
        Axle(wheelbase_mm / 2 - index * step, 100 - tyre.diameter.mm / 2 + lower)
        for index, (tyre, lower) in enumerate(zip(tyres, lowered_mm, strict=False))
    ]
    return Line(tuple(axles), tuple(tyres), tuple(lots))


def _flat(tyre: Tyre, count: int = 4, lot: int = 0) -> Ride:
    """Give wheels of one article with a millimetre between them."""
    return Ride(_line([tyre] * count, (count - 1) * (tyre.diameter.mm + 1), [lot] * count), seal=Seal.SHIELDED)


def _exact(tyre: Tyre) -> Tyre:
    """Give a tyre whose size is known."""
    return replace(tyre, diameter=Diameter(tyre.diameter.mm, exactly(0), 0, is_measured=True))


def _second(first: Ride, second: Ride, rider: Rider = _RIDER, own: Band | None = None) -> AgainstFirst:
    found = rides_compared([first, second], rider, own).rides[1].against_first
    assert found is not None
    return found


def _loss(ride: Ride, rider: Rider = _RIDER, own: Band | None = None) -> RideLoss:
    found = rides_compared([ride], rider, own).rides[0].loss
    assert found is not None
    return found


def _numbers(found: object) -> list[float]:
    if isinstance(found, Band):
        return [found.low, found.likely, found.high]
    if isinstance(found, tuple):
        return [number for each in found for number in _numbers(each)]
    return [float(found)] if isinstance(found, int | float) else []


def _bands(low: float, high: float) -> st.SearchStrategy[Band]:
    return st.lists(st.floats(low, high), min_size=3, max_size=3).map(lambda found: Band(*sorted(found)))


_DIAMETERS = st.builds(
    Diameter, st.floats(40, 160), st.just(Band(-1, 0, 0.3)), st.floats(0, 1), is_measured=st.just(False)
)
_TYRES = st.builds(Tyre, _DIAMETERS, _bands(30, 95), _bands(2, 80), _bands(0.01, 0.99))
_LINES = st.lists(st.tuples(_TYRES, st.integers(0, 3), st.floats(-5, 5)), min_size=2, max_size=6).map(
    lambda wheels: _line([tyre for tyre, *_ in wheels], 300, [lot for _, lot, _ in wheels], [by for *_, by in wheels])
)
_RIDES = st.builds(Ride, _LINES, st.floats(-140, 140), st.sampled_from([*Seal, None]))
_RIDERS = st.builds(
    Rider,
    _bands(1, 400),
    st.floats(0.1, 30),
    st.sampled_from(Posture),
    st.none() | _bands(0.05, 2),
    st.floats(-0.3, 0.3),
    st.floats(-50, 50),
    skates=st.sampled_from([1, 2]),
)


class TestRatio:
    """A skate against the first ..."""

    @given(_RIDES, _RIDERS)
    @settings(max_examples=30, deadline=None)
    def test_that_is_the_first_rolls_the_same(self, ride: Ride, rider: Rider) -> None:
        """... rolls the same, with no doubt at all, where it is the first once more."""
        found = _second(ride, ride, rider)

        assert (exactly(1), 0.5, exactly(0), exactly(0), ()) == found
        assert Outcome.SAME is found.outcome

    @given(_TYRES, _bands(0.01, 0.99), _RIDERS)
    @settings(max_examples=30, deadline=None)
    def test_never_rolls_harder_with_more_rebound(self, tyre: Tyre, rebound: Band, rider: Rider) -> None:
        """... never rolls harder for a better bounce of the same wheels."""
        pairs = zip(_numbers(tyre.rebound), _numbers(rebound), strict=True)
        low, high = zip(*map(sorted, pairs), strict=True)
        dead, lively = (_flat(replace(tyre, rebound=Band(*each))) for each in (low, high))

        assert _second(dead, lively, rider).ratio.high <= 1 + 1e-12

    @given(_TYRES, st.floats(40, 160), _RIDERS)
    @settings(max_examples=30, deadline=None)
    def test_never_rolls_harder_on_larger_wheels(self, tyre: Tyre, other_mm: float, rider: Rider) -> None:
        """... never rolls harder on as many larger wheels of the same kind."""
        sizes = sorted((tyre.diameter.mm, other_mm))
        small, large = (
            _flat(replace(tyre, diameter=Diameter(size, exactly(0), 0, is_measured=True))) for size in sizes
        )

        assert _second(small, large, rider).ratio.high <= 1 + 1e-9

    def test_of_three_large_wheels_to_four_small(self) -> None:
        """... loses 0.890 as much in three round tyres of 110 as in four of 80 (physics table, 04-031).

        The table has no bearings; three wheels of that size have fewer of them, on longer arms.
        """
        small, large = (
            replace(_exact(_tyre(size)), profile_radius_mm=exactly(size / 2), rebound=exactly(0.6))
            for size in (80, 110)
        )
        four, three = (_loss(_flat(tyre, count)).parts[0] for tyre, count in ((small, 4), (large, 3)))

        assert pytest.approx(0.890112, rel=1e-5) == three.power_w.likely / four.power_w.likely
        assert 0.87 < _second(_flat(small, 4), _flat(large, 3)).ratio.likely < 0.890112

    def test_is_hardly_moved_by_what_moves_the_watts(self) -> None:
        """... is known several times closer than either coefficient, which is good to a factor of two."""
        dead, lively = _flat(_tyre(rebound=exactly(0.5))), _flat(_tyre(rebound=exactly(0.7)), lot=1)
        ratio, alone = _second(dead, lively).ratio, _loss(lively).rolling_coefficient

        assert alone.high / alone.low > 3
        assert ratio.high / ratio.low < 1.5

    def test_follows_the_bounce(self) -> None:
        """... has the ratio of the lost shares, but for the bearings, where both bounces were measured."""
        dead, lively = (_flat(_tyre(rebound=exactly(each)), lot=lot) for lot, each in enumerate((0.45, 0.75)))
        found = _second(dead, lively)

        assert pytest.approx(0.25 / 0.55, rel=0.03) == found.ratio.likely
        assert Outcome.EASIER is found.outcome
        assert found.felt_slope_percent.high < 0
        assert found.power_more_w.high < 0

    def test_is_open_between_wheels_that_nobody_knows(self) -> None:
        """... may go either way where nobody knows how either wheel bounces."""
        found = _second(_flat(_tyre()), _flat(_tyre(), lot=1))

        assert Outcome.CANNOT_TELL is found.outcome
        assert found.ratio.low < 0.75
        assert found.ratio.high > 1.3

    def test_turns_round_with_the_order(self) -> None:
        """... turns round with the order, and so does its probability."""
        dead, lively = _flat(_tyre(rebound=Band(0.3, 0.5, 0.7))), _flat(_tyre(rebound=Band(0.5, 0.6, 0.7)), lot=1)
        there, back = _second(dead, lively), _second(lively, dead)

        assert pytest.approx(1, rel=1e-3) == there.ratio.low * back.ratio.high
        assert pytest.approx(1) == there.easier_probability + back.easier_probability
        assert pytest.approx(-there.felt_slope_percent.likely) == back.felt_slope_percent.likely

    def test_does_not_depend_on_who_else_is_asked_about(self) -> None:
        """... stays the same, to the last bit, with others in the comparison."""
        first, second, third = (_flat(_tyre(size), lot=lot) for lot, size in enumerate((80, 84, 90)))

        assert rides_compared([first, second], _RIDER).rides == rides_compared([first, second, third], _RIDER).rides[:2]

    def test_is_known_less_of_a_thin_tyre(self) -> None:
        """... is known less, and likely a little lower, of a thin tyre on a hard core than of one without."""
        plain, thin, either = (
            _second(_flat(bare), _flat(replace(bare, hard_core=core), lot=1)).ratio
            for bare in (_tyre(rebound=exactly(0.6)),)
            for core in (False, True, None)
        )

        assert thin.likely < either.likely < plain.likely
        assert plain.high - plain.low < thin.high - thin.low

    def test_of_bearings_of_one_lot_leaves_out_their_doubt(self) -> None:
        """... is closer where both have the same bearings than where each has others that nobody knows."""
        first, second = (replace(_flat(_tyre(rebound=exactly(each))), seal=None) for each in (0.6, 0.65))
        shared, own = _second(first, second).ratio, _second(first, replace(second, bearing_lot=1)).ratio

        assert shared.high - shared.low < own.high - own.low


class TestOutcome:
    """An outcome ..."""

    @pytest.mark.parametrize(
        ("probability", "expected"),
        [
            (0.96, Outcome.EASIER),
            (0.95, Outcome.EASIER),
            (0.94, Outcome.LIKELY_EASIER),
            (0.80, Outcome.LIKELY_EASIER),
            (0.79, Outcome.CANNOT_TELL),
            (0.5, Outcome.CANNOT_TELL),
            (0.21, Outcome.CANNOT_TELL),
            (0.19, Outcome.LIKELY_HARDER),
            (0.04, Outcome.HARDER),
        ],
    )
    def test_is_said_by_how_likely_it_is(self, probability: float, expected: Outcome) -> None:
        """... is said outright from 0.95, as likely from 0.80, and not below."""
        assert expected is AgainstFirst(Band(0.9, 1, 1.1), probability, exactly(0), exactly(0), ()).outcome


class TestBounce:
    """Measuring a bounce ..."""

    def test_is_expected_to_narrow_the_ratio(self) -> None:
        """... of a wheel that nobody knows is expected to take more than a third off the ratio's band."""
        found = _second(_flat(_tyre(rebound=rebound_if_measured(0.6))), _flat(_tyre(), lot=1)).bounces

        assert [1] == [bounce.lot for bounce in found]
        assert found[0].expected_half_width < 2 / 3 * found[0].half_width

    def test_is_worth_most_of_the_wheels_that_are_known_least(self) -> None:
        """... comes first for the wheels whose doubt is widest."""
        found = _second(_flat(_tyre(rebound=Band(0.5, 0.6, 0.7))), _flat(_tyre(), lot=1)).bounces

        assert [1, 0] == [bounce.lot for bounce in found]

    def test_keeps_what_it_promised(self) -> None:
        """... leaves the half-width that was expected, on average over what it may turn out to be."""
        known = _flat(_tyre(rebound=exactly(0.6)))
        expected = _second(known, _flat(_tyre(), lot=1)).bounces[0].expected_half_width
        # Quantiles of the prior's triangle, 0.25 to 0.57 to 0.86.
        fall, rise = math.sqrt(0.61 * 0.32), math.sqrt(0.61 * 0.29)
        shares = [(part + 0.5) / 8 for part in range(8)]
        turns_out = [
            0.25 + fall * math.sqrt(at) if at < 0.32 / 0.61 else 0.86 - rise * math.sqrt(1 - at) for at in shares
        ]
        ratios = [_second(known, _flat(_tyre(rebound=rebound_if_measured(each)), lot=1)).ratio for each in turns_out]

        assert pytest.approx(expected) == sum(ratio.high - ratio.low for ratio in ratios) / 2 / 8

    def test_tells_nothing_of_wheels_that_both_have(self) -> None:
        """... tells nothing where both skates have the same wheels."""
        assert () == _second(_flat(_tyre(), 4), _flat(_tyre(), 3)).bounces


class TestLoss:
    """What a skate takes ..."""

    def test_adds_up(self) -> None:
        """... adds up over tyres, bearings and air, in shares and, on the level, in watts."""
        sharp = replace(_RIDER, own_drag_area_m2=exactly(0.27))
        found = _loss(_flat(_tyre()), sharp)

        assert list(LossPart) == [part.part for part in found.parts]
        assert pytest.approx(1) == sum(part.share.likely for part in found.parts)
        assert pytest.approx(1) == sum(wheel.share for wheel in found.wheels)
        assert pytest.approx(80 * 9.80665) == sum(wheel.load_n for wheel in found.wheels)
        rolls_w = found.rolling_coefficient.likely * 80 * 9.80665 * 5
        assert pytest.approx(rolls_w + found.parts[2].power_w.likely) == found.power_w.likely

    def test_takes_the_slope_in(self) -> None:
        """... takes the slope in: 1 % up costs a hundredth of the weight, and rolling loses a little of its load."""
        level, uphill = _loss(_flat(_tyre())), _loss(_flat(_tyre()), replace(_RIDER, slope=0.01))

        assert pytest.approx(0.01 * 80 * 9.80665 * 5, rel=1e-3) == uphill.power_w.likely - level.power_w.likely
        assert level.parts[2] == replace_share(uphill, level)

    def test_has_no_share_for_air_that_pushes(self) -> None:
        """... has no share for air that pushes, and its watts below nothing."""
        air = _loss(_flat(_tyre()), replace(_RIDER, wind_m_s=-9)).parts[2]

        assert exactly(0) == air.share
        assert air.power_w.high < 0

    def test_is_less_of_half_the_load(self) -> None:
        """... falls by the cube root of two for the tyres when both skates carry the rider."""
        tyre = replace(_exact(_tyre()), rebound=exactly(0.5))
        one, two = (_loss(_flat(tyre), replace(_RIDER, skates=count)).parts[0].power_w.likely for count in (1, 2))

        assert pytest.approx(2 ** (1 / 3)) == one / two

    def test_is_the_tyres_most_on_a_skate_of_common_wheels(self) -> None:
        """... goes to the tyres ten times as much as to shielded bearings, whatever the doubt."""
        tyres, bearings, _ = _loss(_flat(_tyre())).parts

        assert tyres.power_w.low > 3 * bearings.power_w.high
        assert tyres.power_w.likely > 10 * bearings.power_w.likely

    def test_is_none_of_a_wheel_in_the_air(self) -> None:
        """... is nothing at a wheel that hangs clear, and the inner ones carry more than the outer."""
        small, large = (_tyre(size) for size in (70, 80))
        axles = tuple(Axle(along, 60) for along in (121.5, 40.5, -40.5, -121.5))
        found = _loss(Ride(Line(axles, (small, large, large, small), (0, 1, 1, 0)))).wheels

        assert [0, 0] == [found[0].load_n, found[3].share]
        assert pytest.approx(40 * 9.80665, rel=0.05) == found[1].load_n

    @given(_RIDES, _RIDES, _RIDERS, st.none() | _bands(0.001, 0.05))
    @settings(max_examples=60, deadline=None)
    def test_is_a_number_whatever_is_asked(self, first: Ride, second: Ride, rider: Rider, own: Band | None) -> None:
        """... is made of numbers, and no load is below nothing, for any wheels, rider, wind and slope."""
        for estimate in rides_compared([first, second], rider, own).rides:
            assert estimate.loss is not None
            assert all(map(math.isfinite, _numbers((estimate.loss, estimate.against_first or ()))))
            assert all(wheel.load_n >= 0 for wheel in estimate.loss.wheels)
            assert estimate.loss.rolling_coefficient.low > 0


def replace_share(found: RideLoss, like: RideLoss) -> object:
    """Give what the air takes of one skate, with its share as of another."""
    return found.parts[2]._replace(share=like.parts[2].share)


class TestOwnCoefficient:
    """A rider's own coefficient ..."""

    _OWN = Band(0.007, 0.008, 0.01)

    def test_is_that_of_the_first(self) -> None:
        """... takes the place of the first skate's, and of its doubt."""
        found = _loss(_flat(_tyre()), own=self._OWN).rolling_coefficient

        assert pytest.approx(_numbers(self._OWN), rel=3e-3) == _numbers(found)

    def test_leaves_the_ratio(self) -> None:
        """... leaves the ratio as it is, and gives the other skate's coefficient by it."""
        pair = _flat(_tyre(rebound=exactly(0.5))), _flat(_tyre(rebound=exactly(0.7)), lot=1)
        without, found = rides_compared(pair, _RIDER).rides[1], rides_compared(pair, _RIDER, exactly(0.008)).rides[1]

        assert without.against_first is not None
        assert found.against_first is not None
        assert found.loss is not None
        assert pytest.approx(_numbers(without.against_first.ratio)) == _numbers(found.against_first.ratio)
        expected = [0.008 * each for each in _numbers(found.against_first.ratio)]
        assert pytest.approx(expected) == _numbers(found.loss.rolling_coefficient)

    def test_of_nothing_is_refused(self) -> None:
        """... of nothing is refused."""
        with pytest.raises(InvalidQuantityError, match="above 0"):
            _loss(_flat(_tyre()), own=Band(0, 0.008, 0.01))


class TestTipping:
    """A skate whose load stands beyond its wheels ..."""

    _TIPS = replace(_flat(_tyre()), load_along_mm=130.0)

    def test_is_said_to_tip(self) -> None:
        """... tips, by what the load is out, and nothing else is said of it."""
        found = rides_compared([_flat(_tyre()), self._TIPS], _RIDER).rides[1]

        assert found.tips
        assert RideEstimate(pytest.approx(121.5 - 130), None, None) == found

    def test_is_nothing_to_compare_with(self) -> None:
        """... is nothing to compare others with, which are told alone."""
        first, second = rides_compared([self._TIPS, _flat(_tyre())], _RIDER, exactly(0.008)).rides

        assert first.tips
        assert _loss(_flat(_tyre())) == second.loss
        assert None is second.against_first

    def test_tips_on_one_wheel(self) -> None:
        """... tips on one wheel, wherever it stands, and on its last axle itself."""
        assert rides_compared([_flat(_tyre(), 1)], _RIDER).rides[0].tips
        assert rides_compared([replace(_flat(_tyre()), load_along_mm=121.5)], _RIDER).rides[0].tips

    def test_has_its_load_in_the_middle_unless_said(self) -> None:
        """... has to say so: the load stands midway between the outer axles otherwise."""
        assert pytest.approx(121.5) == rides_compared([_flat(_tyre())], _RIDER).rides[0].tip_margin_mm

    def test_is_not_asked_about_without_a_skate(self) -> None:
        """... is a skate: none at all is refused."""
        with pytest.raises(InvalidQuantityError, match="a ride"):
            rides_compared([], _RIDER)
