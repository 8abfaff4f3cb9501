"""A rider's own coefficients from runs without pushing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.stats import chi2

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly
from mountwright.riding.coast_down import CoastDown, coast_down
from mountwright.riding.coasting import Coaster, Road, Run, braking, coasted
from mountwright.riding.estimates import estimate
from mountwright.riding.power import Posture, drag_area_m2

_SQUAT = drag_area_m2(Posture.SEMI_SQUAT)
_COASTER = Coaster(80.0, _SQUAT, spinning_kg=0.5, air_density_kg_m3=1.2)
_LEVEL = Road("level", exactly(0.0))
_STREET = Road("street", around(0.0, 0.005))
_STILL = exactly(0.0)

#: Half-widths of what is read: speed in m/s, distance in m, time in s.
_SPEED, _DISTANCE, _TIME = 0.2, 1.0, 0.5


def _run(road: Road, speed: float, distance: float | None, time: float | None = None, *, is_back: bool = False) -> Run:
    return Run(
        road,
        around(speed, _SPEED),
        head_wind_m_s=_STILL,
        is_back=is_back,
        distance_m=None if distance is None else around(distance, _DISTANCE),
        time_s=None if time is None else around(time, _TIME),
    )


def _true_run(rolling: float, area: float, speed: float, slope: float = 0.0, road: Road = _LEVEL) -> Run:
    """Give the run that these coefficients make, read as it is."""
    went = coasted(braking(_COASTER, rolling, area, slope), speed)
    is_back = slope < 0
    return _run(road, speed, float(went.distance_m), float(went.time_s), is_back=is_back)


def _codes(answer: CoastDown) -> list[str]:
    return [note.code for note in answer.notes]


def _width(band: Band) -> float:
    return math.log(band.high / band.low)


def _two_sided(
    chance: np.random.Generator, band: Band, spreads: float, count: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give values that are normal in the logarithm on either side of the likely one, and the spread of their side."""
    z = chance.standard_normal(count)
    side = np.where(z < 0, math.log(band.likely / band.low), math.log(band.high / band.likely)) / spreads
    return band.likely * np.exp(z * side), side


def _rider(chance: np.random.Generator) -> tuple[float, float]:
    """Give the rolling coefficient and the drag area of one of those that there may be."""
    rolling, _ = _two_sided(chance, estimate("coast_down_rolling"), 1.6449, 1)
    area, _ = _two_sided(chance, _SQUAT, 1.0, 1)
    return float(rolling[0]), float(area[0])


def _noisy(chance: np.random.Generator, rolling: float, area: float, road: Road = _LEVEL, slope: float = 0.0) -> Run:
    """Give a run as it is read: its speed, its loss, its distance and its time each off by what is usual."""
    speed = float(chance.uniform(3, 7))
    loss = math.exp(estimate("coast_down_scatter").likely * chance.standard_normal())
    by = braking(_COASTER, rolling, area, slope)
    by = by._replace(steady_n=by.steady_n * loss, drag_kg_m=by.drag_kg_m * loss)
    went = coasted(by, speed + float(chance.uniform(-_SPEED, _SPEED)))
    distance = float(went.distance_m + chance.uniform(-_DISTANCE, _DISTANCE))
    return _run(road, speed, distance, float(went.time_s + chance.uniform(-_TIME, _TIME)), is_back=slope < 0)


def _covered(truths: Sequence[float], bands: Sequence[Band]) -> float:
    return float(np.mean([band.low <= truth <= band.high for truth, band in zip(truths, bands, strict=True)]))


class TestCoastDown:
    """A coast-down ..."""

    @pytest.mark.parametrize("rolling", [0.004, 0.008, 0.02])
    def test_gives_back_what_the_runs_were_made_of(self, rolling: float) -> None:
        """... of three runs at different speeds gives the rolling coefficient and the drag area back."""
        answer = coast_down(_COASTER, [_true_run(rolling, 0.3, speed) for speed in (3.0, 5.0, 7.0)])
        assert pytest.approx(rolling, rel=0.03) == answer.rolling.likely
        assert answer.drag_area_m2.low < 0.3 < answer.drag_area_m2.high
        assert not answer.is_contradictory

    def test_of_one_distance_tells_rolling_and_leaves_the_air_to_the_posture(self) -> None:
        """... of one distance halves the doubt of rolling at least, and says that the drag area is the posture's."""
        answer = coast_down(_COASTER, [_run(_LEVEL, 5.0, 100.0)])
        assert _width(answer.rolling) < _width(estimate("coast_down_rolling")) / 2
        assert pytest.approx(_SQUAT.likely, rel=0.03) == answer.drag_area_m2.likely
        assert "ride.drag_area_still_of_posture" in _codes(answer)
        assert "ride.rolling_still_as_usual" not in _codes(answer)

    def test_of_runs_at_several_speeds_tells_the_air_as_well(self) -> None:
        """... of slow and fast runs with distance and time no longer rests on the posture."""
        runs = [_true_run(0.008, 0.27, speed) for speed in (2.0, 3.0, 7.0, 7.0, 7.0, 7.0)]
        answer = coast_down(_COASTER, runs)
        assert "ride.drag_area_still_of_posture" not in _codes(answer)

    @pytest.mark.parametrize("slope_off", [0.0, 0.005])
    def test_fits_what_a_sampling_fits(self, slope_off: float) -> None:
        """... of distance and time, on a road of known and of unknown slope, has the quantiles of weighted samples.

        The samples draw slope, speed and loss with their doubts, coast by the closed forms, and weigh by how near they
        come to the readings; the grid carries the same doubts to first order.
        """
        chance, count = np.random.default_rng(5), 1_000_000
        rolling, rolling_side = _two_sided(chance, estimate("coast_down_rolling"), 1.6449, count)
        area, area_side = _two_sided(chance, _SQUAT, 1.0, count)
        loss = np.exp(estimate("coast_down_scatter").likely * chance.standard_normal(count))
        speed = chance.normal(5, _SPEED / math.sqrt(3), count)
        slope = chance.normal(0, slope_off / math.sqrt(3), count)
        held = rolling + slope > 0
        steady = np.where(held, rolling + slope, 1.0) * loss * 80 * 9.80665
        drag = 0.6 * area * loss
        distance = 80.5 / (2 * drag) * np.log1p(drag * speed**2 / steady)
        time = 80.5 / np.sqrt(steady * drag) * np.arctan(speed * np.sqrt(drag / steady))
        far = (distance - 93) ** 2 / (_DISTANCE**2 / 3) + (time - 41) ** 2 / (_TIME**2 / 3)
        weights = held * rolling_side * area_side * np.exp(-far / 2)

        answer = coast_down(_COASTER, [_run(Road("road", around(0.0, slope_off)), 5.0, 93.0, 41.0)])
        for band, values in ((answer.rolling, rolling), (answer.drag_area_m2, area)):
            order = np.argsort(values)
            below = np.cumsum(weights[order]) / weights.sum()
            quantiles = np.interp([0.05, 0.5, 0.95], below, values[order])
            assert quantiles.tolist() == pytest.approx([band.low, band.likely, band.high], rel=0.025)

    def test_covers_the_truth_in_nine_of_ten(self) -> None:
        """... of three noisy runs has both true values within its bounds for about nine of ten of 100 riders."""
        chance = np.random.default_rng(11)
        riders = [_rider(chance) for _ in range(100)]
        answers = [coast_down(_COASTER, [_noisy(chance, *rider) for _ in range(3)]) for rider in riders]
        assert 0.83 <= _covered([rolling for rolling, _ in riders], [each.rolling for each in answers]) <= 0.97
        assert 0.83 <= _covered([area for _, area in riders], [each.drag_area_m2 for each in answers]) <= 0.97
        assert 0 == sum(each.is_contradictory for each in answers)

    def test_there_and_back_covers_the_truth_in_nine_of_ten(self) -> None:
        """... there and back on a road whose slope nobody knows covers the truth of 60 riders as often."""
        chance = np.random.default_rng(12)
        truths, bands = [], []
        for rolling, area in [_rider(chance) for _ in range(60)]:
            slope = min(abs(float(chance.normal(0, 0.0029))), rolling / 2)
            runs = [_noisy(chance, rolling, area, _STREET, each) for each in (slope, -slope)]
            truths.append(rolling)
            bands.append(coast_down(_COASTER, runs).rolling)
        assert 0.8 <= _covered(truths, bands) <= 0.98

    def test_there_and_back_tells_the_slope_from_rolling(self) -> None:
        """... there and back knows rolling several times better than there alone, and finds it on a sloping road."""
        there = _true_run(0.01, 0.27, 5.0, 0.003, _STREET)
        back = _true_run(0.01, 0.27, 5.0, -0.003, _STREET)
        alone, both = coast_down(_COASTER, [there]), coast_down(_COASTER, [there, back])
        assert _width(both.rolling) < _width(alone.rolling) / 3
        assert pytest.approx(0.01, rel=0.03) == both.rolling.likely
        assert "ride.slope_in_doubt" in _codes(alone)
        assert "ride.slope_in_doubt" not in _codes(both)

    def test_does_not_take_two_roads_for_one(self) -> None:
        """... there on one road and back on another knows less than there and back on one."""
        there, back = (_true_run(0.01, 0.27, 5.0, slope, _STREET) for slope in (0.003, -0.003))
        elsewhere = replace(back, road=Road("lane", _STREET.slope))
        one, two = coast_down(_COASTER, [there, back]), coast_down(_COASTER, [there, elsewhere])
        assert _width(one.rolling) < _width(two.rolling) / 1.5
        assert 2 == _codes(two).count("ride.slope_in_doubt")

    def test_between_two_speeds_needs_no_rest(self) -> None:
        """... from 6 to 3 m/s gives rolling back as well as one to rest does."""
        went = coasted(braking(_COASTER, 0.012, 0.27, 0.0), 6.0, 3.0)
        run = replace(_run(_LEVEL, 6.0, float(went.distance_m), float(went.time_s)), end_speed_m_s=around(3.0, 0.1))
        answer = coast_down(_COASTER, [run])
        assert pytest.approx(0.012, rel=0.05) == answer.rolling.likely

    @settings(max_examples=25, deadline=None)
    @given(st.floats(1.5, 10), st.floats(40, 150), st.floats(25, 50), st.floats(2, 7))
    def test_counts_the_air_by_mass(self, times: float, distance: float, time: float, speed: float) -> None:
        """... of a rider so many times as heavy and as large, in all respects, finds the same rolling."""
        run = _run(_LEVEL, speed, distance, time) if 0.3 < distance / time / speed < 0.6 else _run(_LEVEL, speed, 50.0)
        area = Band(_SQUAT.low * times, _SQUAT.likely * times, _SQUAT.high * times)
        large = Coaster(80.0 * times, area, spinning_kg=0.5 * times, air_density_kg_m3=1.2)
        assert pytest.approx(coast_down(_COASTER, [run]).rolling.likely, rel=1e-6) == (
            coast_down(large, [run]).rolling.likely
        )

    def test_does_not_depend_on_the_order_of_runs(self) -> None:
        """... is the same whichever run came first, on one road and on several."""
        runs = [_true_run(0.01, 0.27, speed, 0.002, _STREET) for speed in (3.0, 5.0)] + [_run(_LEVEL, 5.0, 95.0)]
        one, other = coast_down(_COASTER, runs), coast_down(_COASTER, runs[::-1])
        assert pytest.approx([one.rolling.low, one.rolling.high]) == [other.rolling.low, other.rolling.high]
        assert pytest.approx(one.squared_distance) == other.squared_distance

    def test_does_not_depend_on_which_way_is_called_back(self) -> None:
        """... is the same when the road is walked from its other end."""
        runs = [_true_run(0.01, 0.27, 5.0, slope, _STREET) for slope in (0.002, -0.003)]
        turned = [replace(run, is_back=not run.is_back) for run in runs]
        one, other = coast_down(_COASTER, runs), coast_down(_COASTER, turned)
        assert pytest.approx([one.rolling.low, one.rolling.likely, one.rolling.high]) == [
            other.rolling.low,
            other.rolling.likely,
            other.rolling.high,
        ]

    def test_is_less_certain_with_readings_in_more_doubt(self) -> None:
        """... with a start speed or a wind in more doubt has wider bounds."""
        run = _run(_LEVEL, 5.0, 100.0)
        known = _width(coast_down(_COASTER, [run]).rolling)
        for worse in (replace(run, start_speed_m_s=around(5.0, 1.0)), replace(run, head_wind_m_s=around(0.0, 2.0))):
            assert known * 1.2 < _width(coast_down(_COASTER, [worse]).rolling)

    def test_takes_what_was_known_before(self) -> None:
        """... of a rider whose rolling was known closely moves it little, and says so."""
        known = replace(_COASTER, rolling=Band(0.0119, 0.012, 0.0121))
        answer = coast_down(known, [_run(_LEVEL, 5.0, 85.0)])
        assert pytest.approx(0.012, rel=0.01) == answer.rolling.likely
        assert "ride.rolling_still_as_usual" in _codes(answer)

    def test_says_when_rolling_is_unlike_what_is_usual(self) -> None:
        """... that finds a coefficient beyond what is usual says so."""
        assert "ride.rolling_unlike_usual" in _codes(coast_down(_COASTER, [_true_run(0.035, 0.27, 5.0)] * 2))
        assert "ride.rolling_unlike_usual" not in _codes(coast_down(_COASTER, [_true_run(0.01, 0.27, 5.0)]))

    def test_always_cautions(self) -> None:
        """... never comes without its caution, and says when what spins was left out."""
        still = replace(_COASTER, spinning_kg=0.0)
        run = _run(_LEVEL, 5.0, 100.0)
        assert "ride.coast_down_caution" == _codes(coast_down(_COASTER, [run]))[-1]
        assert ["ride.spinning_left_out", "ride.coast_down_caution"] == _codes(coast_down(still, [run]))[-2:]


class TestContradiction:
    """Runs that contradict each other ..."""

    def test_are_reported_and_not_averaged(self) -> None:
        """... are said to, and the bounds span what each of them tells by itself, with no mean in the middle."""
        runs = [_run(_LEVEL, 5.0, 100.0), _run(_LEVEL, 5.0, 60.0)]
        answer = coast_down(_COASTER, runs)
        alone = tuple(coast_down(_COASTER, [run]).rolling for run in runs)
        assert answer.is_contradictory
        assert alone == answer.by_run
        assert (alone[0].low, alone[1].high) == (answer.rolling.low, answer.rolling.high)
        assert alone[0].high < answer.rolling.likely < alone[1].low
        assert "ride.runs_contradict" == _codes(answer)[0]
        assert () == answer.further

    def test_do_so_from_the_0_999_quantile_on(self) -> None:
        """... lie beyond the 0.999 quantile of chi-square for one reading fewer than there are, as scipy gives it."""
        limit, found = float(chi2.ppf(0.999, 1)), []
        for distance in range(70, 96, 5):
            answer = coast_down(_COASTER, [_run(_LEVEL, 5.0, 100.0), _run(_LEVEL, 5.0, float(distance))])
            assert (answer.squared_distance > limit) is answer.is_contradictory
            found.append(answer.is_contradictory)
        assert {True, False} == set(found)

    def test_may_be_one_run_whose_distance_and_time_do_not_go_together(self) -> None:
        """... may be the two readings of one run: 100 m from 5 m/s in 26 s is slower than it started, yet cannot be."""
        answer = coast_down(_COASTER, [_run(_LEVEL, 5.0, 100.0, 26.0)])
        assert answer.is_contradictory
        assert 1 == len(answer.by_run)

    def test_are_none_while_a_doubt_explains_them(self) -> None:
        """... do not where the slope of the road may explain them: there and back, or on two roads."""
        there, back = _run(_STREET, 5.0, 100.0), replace(_run(_STREET, 5.0, 60.0), is_back=True)
        assert not coast_down(_COASTER, [there, back]).is_contradictory
        assert coast_down(_COASTER, [there, replace(back, is_back=False)]).is_contradictory

    def test_are_none_among_runs_that_differ_as_runs_do(self) -> None:
        """... are not made of runs that differ by a few parts in a hundred."""
        answer = coast_down(_COASTER, [_run(_LEVEL, 5.0, distance) for distance in (96.0, 100.0, 104.0)])
        assert not answer.is_contradictory
        assert () == answer.by_run


class TestRefused:
    """A run ..."""

    @pytest.mark.parametrize(
        ("run", "expected"),
        [
            (_run(_LEVEL, 5.0, 900.0), "m, which rolling and air can explain"),
            (_run(_LEVEL, 5.0, 5.0), "m, which rolling and air can explain"),
            (_run(_LEVEL, 5.0, None, 400.0), "s, which rolling and air can explain"),
            (_run(_LEVEL, 5.0, None, 2.0), "s, which rolling and air can explain"),
            (_run(Road("ramp", exactly(-0.06)), 5.0, 100.0), "slow down to the end speed"),
        ],
    )
    def test_that_nothing_explains_is_refused(self, run: Run, expected: str) -> None:
        """... further, shorter, longer or briefer than any wheels, or to rest on a ramp, is refused."""
        with pytest.raises(InvalidQuantityError, match=expected):
            coast_down(_COASTER, [run])

    @pytest.mark.parametrize("count", [0, 21])
    def test_needs_company_within_reason(self, count: int) -> None:
        """... has to be there, and comes with 19 others at most."""
        with pytest.raises(InvalidQuantityError, match="1 to 20 runs"):
            coast_down(_COASTER, [_run(_LEVEL, 5.0, 100.0)] * count)

    @settings(max_examples=40, deadline=None)
    @given(
        st.floats(0.5, 19),
        st.floats(0.01, 0.5),
        st.floats(1, 2000) | st.none(),
        st.floats(1, 600) | st.none(),
        st.floats(-0.05, 0.05),
        st.floats(0, 0.01),
        st.floats(-4, 4),
        st.floats(0, 2),
        st.floats(0, 0.9),
    )
    def test_gives_a_clear_answer_or_is_refused(
        self,
        speed: float,
        off: float,
        distance: float | None,
        time: float | None,
        slope: float,
        slope_off: float,
        wind: float,
        wind_off: float,
        end: float,
    ) -> None:
        """... of any figures at all is refused with words or answered with figures that are some."""
        try:
            run = Run(
                Road("any", around(slope, slope_off)),
                around(speed, off * speed / 2),
                around(end * speed / 2, 0.0),
                around(wind, wind_off),
                distance_m=None if distance is None else around(distance, off * distance),
                time_s=None if time is None else around(time, off * time),
            )
            answer = coast_down(_COASTER, [run])
        except InvalidQuantityError:
            return
        usual = estimate("coast_down_rolling")
        for band, low, high in (
            (answer.rolling, usual.low / 2, usual.high * 2),
            (answer.drag_area_m2, _SQUAT.low / 2, _SQUAT.high * 2),
        ):
            assert low * (1 - 1e-9) <= band.low <= band.likely <= band.high <= high * (1 + 1e-9)
        assert math.isfinite(answer.squared_distance)


class TestAnswer:
    """An answer ..."""

    def test_checks_itself(self) -> None:
        """... of no rolling, or of a squared distance below 0, is refused."""
        good = exactly(0.01)
        with pytest.raises(InvalidQuantityError, match="coefficient above 0"):
            CoastDown(exactly(0.0), good, 0.0)
        with pytest.raises(InvalidQuantityError, match="coefficient above 0"):
            CoastDown(good, good, 0.0, by_run=(exactly(0.0),))
        with pytest.raises(InvalidQuantityError, match="squared distance"):
            CoastDown(good, good, -1.0)
