"""What each wheel carries, against the tables of the model and against nested root-finding."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from mountwright.errors import InvalidQuantityError
from mountwright.riding.loads import LoadCases, SharedLoads, shared_loads, tip_margins_mm

#: What two solvers may differ by, and what force and moment may be out by, as shares of the load.
SAME, BALANCE = 1e-9, 1e-12

#: Places of the axles of a frame for four wheels of 80.
FOUR = (121.5, 40.5, -40.5, -121.5)

#: As many lines as are compared with nested root-finding.
RANDOM_LINES = 240


class Case(NamedTuple):
    """One set-up; places are listed from the front or from the rear."""

    along: tuple[float, ...]
    gaps: tuple[float, ...]
    stiffness: tuple[float, ...]
    load: float
    load_along: float


def together(cases: list[Case]) -> LoadCases:
    """Give set-ups in one batch, those with fewer wheels filled up with absent ones that stand and hang anywhere."""
    width = max(len(case.along) for case in cases)

    def filled(parts: list[tuple[float, ...]], absent: float) -> np.ndarray:
        return np.array([(*part, *[absent] * (width - len(part))) for part in parts])

    return LoadCases(
        filled([case.along for case in cases], 37.0),
        filled([case.gaps for case in cases], 0.0),
        filled([case.stiffness for case in cases], 0.0),
        np.array([case.load for case in cases]),
        np.array([case.load_along for case in cases]),
    )


def alone(case: Case) -> SharedLoads:
    """Give how one set-up stands."""
    return shared_loads(together([case]))


def by_nested_roots(case: Case) -> list[float]:
    """Give the loads by another route: for a tilt the press that carries the load, then the tilt that balances it."""
    arms = [at - case.load_along for at in case.along]

    def loads(press: float, tilt: float) -> list[float]:
        return [
            k * max(0.0, press + tilt * arm - gap) ** 1.5
            for k, arm, gap in zip(case.stiffness, arms, case.gaps, strict=True)
        ]

    def carried(tilt: float) -> list[float]:
        hangs = [gap - tilt * arm for arm, gap in zip(arms, case.gaps, strict=True)]
        most = max(hangs) + (case.load / sum(case.stiffness)) ** (2 / 3)
        press = brentq(lambda at: sum(loads(at, tilt)) - case.load, min(hangs), 1.001 * most + 1e-9, **CLOSE)
        return loads(press, tilt)

    def moment(tilt: float) -> float:
        return sum(load * arm for load, arm in zip(carried(tilt), arms, strict=True))

    tilt = 1e-3
    while moment(-tilt) > 0 or moment(tilt) < 0:
        tilt *= 4
    return carried(brentq(moment, -tilt, tilt, **CLOSE))


#: As close as the root finder goes.
CLOSE = {"xtol": 1e-300, "rtol": 4 * np.finfo(float).eps, "maxiter": 500}


@st.composite
def lines(draw: st.DrawFn) -> Case:
    """Give a wheel line of 2 to 6 wheels, one of which touches, with a load between its ends."""
    count = draw(st.integers(2, 6))
    steps = draw(st.lists(st.floats(40, 130), min_size=count, max_size=count))
    along = tuple(np.cumsum(steps) - 200.0)
    hanging = draw(st.lists(st.floats(0, 3), min_size=count, max_size=count))
    gaps = tuple(gap - min(hanging) for gap in hanging)
    soft = draw(st.floats(10, 300))
    stiffness = draw(st.one_of(st.just([soft] * count), st.lists(st.floats(10, 300), min_size=count, max_size=count)))
    share = draw(st.floats(0.001, 0.999))
    return Case(along, gaps, tuple(stiffness), draw(st.floats(1, 3000)), along[0] + share * (along[-1] - along[0]))


def random_lines() -> list[Case]:
    """Give the same random lines each time: equal and unequal tyres, light and heavy loads, near the ends too."""
    rng = np.random.default_rng(165)
    cases = []
    for _ in range(RANDOM_LINES):
        count = int(rng.integers(2, 7))
        along = np.cumsum(rng.uniform(50, 130, count)) - 250
        gaps = rng.uniform(0, rng.choice([0.3, 3.0]), count)
        stiffness = rng.uniform(10, 300, count) if rng.random() < 0.5 else np.full(count, rng.uniform(10, 300))
        share = rng.choice([rng.uniform(0.02, 0.98), 10 ** rng.uniform(-4, -1)])
        load_along = along[0] + share * (along[-1] - along[0])
        load = 10 ** rng.uniform(0, 3.5)
        cases.append(Case(tuple(along), tuple(gaps - gaps.min()), tuple(stiffness), float(load), float(load_along)))
    return cases


class TestSharedLoads:
    """A wheel line ..."""

    # Places and stiffness 60 N/mm**1.5; computed with 40 digits.
    @pytest.mark.parametrize(
        ("gaps", "load", "load_along", "expected"),
        [
            ((1, 0, 0, 1), 900, 0, (155.595553, 294.404447, 294.404447, 155.595553)),
            ((1, 0, 0, 1), 900, 20, (92.902351, 265.045672, 318.979381, 223.072596)),
            ((2, 0, 0, 2), 300, 0, (0, 150, 150, 0)),
            ((0, 0, 0, 0), 900, 30, (128.436444, 188.160587, 255.036161, 328.366808)),
            ((0, 0, 0, 0), 900, 115, (0, 0, 72.222222, 827.777778)),
        ],
    )
    def test_stands_as_the_tables_of_the_model_say(
        self, gaps: tuple[float, ...], load: float, load_along: float, expected: tuple[float, ...]
    ) -> None:
        """... has the loads that were computed to six places."""
        found = alone(Case(FOUR[::-1], gaps, (60.0,) * 4, load, load_along))
        assert expected == pytest.approx(found.loads_n[0].tolist(), abs=5.1e-7)

    def test_stands_as_nested_root_finding_says(self) -> None:
        """... of any kind, in one batch with others, carries what brentq within brentq finds."""
        cases = random_lines()
        found = shared_loads(together(cases)).loads_n
        for case, loads in zip(cases, found, strict=True):
            expected = np.array(by_nested_roots(case))
            assert SAME >= np.max(np.abs(loads[: len(expected)] - expected)) / case.load
            assert 0 == np.sum(loads[len(expected) :])

    @given(lines())
    def test_that_anyone_draws_stands_as_nested_root_finding_says(self, case: Case) -> None:
        """... that was thought up to be awkward carries what brentq within brentq finds."""
        expected = np.array(by_nested_roots(case))
        assert SAME >= np.max(np.abs(alone(case).loads_n[0] - expected)) / case.load

    @given(lines(), st.floats(-30, 9))
    def test_is_in_balance(self, case: Case, power: float) -> None:
        """... carries the load where it stands, whether that is a feather or a tower, and pulls nowhere."""
        heavy = case._replace(load=10**power)
        assert BALANCE >= _out_of_balance(heavy, alone(heavy).loads_n[0])

    @given(lines())
    def test_presses_its_tyres_in_by_what_they_carry(self, case: Case) -> None:
        """... has presses that make the loads, and that are the sink and the tilt less the gaps."""
        found = alone(case)
        stands = found.sink_mm[0] + found.tilt_rad[0] * np.array(case.along) - case.gaps
        carried = np.array(case.stiffness) * found.presses_mm[0] ** 1.5
        assert found.loads_n[0] == pytest.approx(carried, rel=1e-12)
        assert found.presses_mm[0] == pytest.approx(np.maximum(0, stands), abs=1e-11)

    @given(lines())
    def test_stands_mirrored_where_it_is_mirrored(self, case: Case) -> None:
        """... carries the same turned end for end, with the tilt the other way."""
        found, turned = alone(case), alone(_mirrored(case))
        assert SAME * case.load >= np.max(np.abs(found.loads_n - turned.loads_n))
        assert found.sink_mm == pytest.approx(turned.sink_mm, rel=1e-7)
        assert found.tilt_rad == pytest.approx(-turned.tilt_rad, rel=1e-6, abs=1e-9)

    @given(lines(), st.floats(-6, 6))
    def test_presses_in_alike_where_load_and_tyres_grow_alike(self, case: Case, power: float) -> None:
        """... under c times the load on tyres c times as stiff presses in no further."""
        grown = 10**power
        stiffer = case._replace(load=grown * case.load, stiffness=tuple(grown * k for k in case.stiffness))
        assert alone(case).presses_mm == pytest.approx(alone(stiffer).presses_mm, rel=1e-9, abs=1e-9)

    @given(lines(), st.permutations(range(6)))
    def test_may_be_listed_in_any_order(self, case: Case, order: list[int]) -> None:
        """... carries the same from whichever end and in whatever order its wheels are listed."""
        places = [at for at in order if at < len(case.along)]
        mixed = case._replace(
            along=tuple(case.along[at] for at in places),
            gaps=tuple(case.gaps[at] for at in places),
            stiffness=tuple(case.stiffness[at] for at in places),
        )
        assert SAME * case.load >= np.max(np.abs(alone(case).loads_n[0, places] - alone(mixed).loads_n[0]))

    @given(lines(), st.floats(0.05, 0.5))
    def test_carries_more_where_the_load_comes_nearer(self, case: Case, share: float) -> None:
        """... does not unload its front wheel when the load moves forward."""
        nearer = case._replace(load_along=case.load_along + share * (case.along[-1] - case.load_along))
        assert alone(case).loads_n[0, -1] <= alone(nearer).loads_n[0, -1] + SAME * case.load

    @pytest.mark.parametrize("load", [1e-9, 1.0, 1e9])
    def test_of_two_wheels_is_a_lever(self, load: float) -> None:
        """... of two wheels shares by the lever rule, however soft, uneven or heavily laden."""
        found = alone(Case((120.0, -120.0), (0.0, 2.0), (300.0, 10.0), load, 20.0))
        assert (load * 140 / 240, load * 100 / 240) == pytest.approx(tuple(found.loads_n[0]), rel=1e-11)

    def test_with_wheels_that_hang_far_clear_stands_on_the_others(self) -> None:
        """... does not ask what hangs 50 mm clear."""
        found = alone(Case(FOUR, (50.0, 0.0, 0.0, 50.0), (60.0,) * 4, 900.0, 0.0))
        assert (0, 450, 450, 0) == pytest.approx(tuple(found.loads_n[0]), rel=1e-12)

    def test_that_is_rockered_stands_on_its_inner_wheels_under_a_feather(self) -> None:
        """... of 2 mm of rocker under a millionth of a newton does not touch with its ends."""
        found = alone(Case(FOUR, (2.0, 0.0, 0.0, 2.0), (60.0,) * 4, 1e-6, 10.0))
        assert (0, 1e-6 * 50.5 / 81, 1e-6 * 30.5 / 81, 0) == pytest.approx(tuple(found.loads_n[0]), rel=1e-11)

    def test_is_in_balance_under_less_than_a_feather(self) -> None:
        """... of any kind balances a load whose press is far below what its gaps are rounded to."""
        cases = [case._replace(load=1e-60) for case in random_lines()]
        found = shared_loads(together(cases)).loads_n
        worst = [_out_of_balance(case, loads[: len(case.along)]) for case, loads in zip(cases, found, strict=True)]
        assert BALANCE >= max(worst)

    def test_that_is_rockered_stands_on_all_of_its_wheels_under_a_rider(self) -> None:
        """... of 1 mm of rocker on soft tyres has its ends down under 95 kg."""
        found = alone(Case(FOUR, (1.0, 0.0, 0.0, 1.0), (60.0,) * 4, 931.6, 0.0))
        assert 160 < found.loads_n.min()

    def test_tips_onto_the_end_that_the_load_stands_beside(self) -> None:
        """... of 2 mm of rocker, laden outside its inner wheels, lifts the far end and leans on the near one."""
        found = alone(Case(FOUR, (2.0, 0.0, 0.0, 2.0), (60.0,) * 4, 300.0, 100.0))
        assert [True, True, False, False] == (found.loads_n[0] > 0).tolist()
        assert found.tilt_rad[0] > 0

    @pytest.mark.parametrize("margin", [1e-3, 1e-6, 1e-9, 1e-12])
    def test_with_the_load_beside_an_outer_axle_leaves_the_others_next_to_nothing(self, margin: float) -> None:
        """... still stands with the load a hair within its last axle, and balances."""
        case = Case(FOUR, (0.5, 0.0, 0.0, 0.5), (60.0,) * 4, 900.0, -121.5 + margin)
        found = alone(case).loads_n[0]
        assert BALANCE >= _out_of_balance(case, found)
        assert 900 == pytest.approx(found[-1], rel=1e-4)

    def test_with_the_load_beside_a_wheel_that_nearly_stands_alone_leans_on_the_next(self) -> None:
        """... finds its stand where whole steps would swing from end to end for ever."""
        found = alone(Case((-117.0, -36.0, 69.0), (2.2, 0.0, 2.6), (73.0, 31.0, 61.0), 90.0, -35.0))
        assert (0, 90 * 104 / 105, 90 / 105) == pytest.approx(tuple(found.loads_n[0]), rel=1e-10)

    def test_with_the_load_on_a_wheel_that_stands_alone_keeps_level(self) -> None:
        """... of three wheels, the middle one low and right under the load, does not lean for no reason."""
        found = alone(Case((115.5, 0.0, -115.5), (1.0, 0.0, 1.0), (60.0,) * 3, 40.0, 0.0))
        assert (0, 40, 0) == pytest.approx(tuple(found.loads_n[0]), rel=1e-12)
        assert 0 == pytest.approx(found.tilt_rad[0], abs=1e-12)

    def test_with_the_load_on_a_wheel_that_stands_alone_leans_no_further_than_it_must(self) -> None:
        """... whose wheels rise evenly to the rear leans off the level until the others are clear, and no further."""
        found = alone(Case((100.0, 0.0, -100.0), (5.0, 1.0, 0.0), (60.0,) * 3, 0.01, 0.0))
        assert (0, 0.01, 0) == pytest.approx(tuple(found.loads_n[0]), rel=1e-11)
        assert 0.01 <= found.tilt_rad[0] <= 0.011

    @pytest.mark.parametrize("ratio", [1e-4, 1e4])
    def test_with_one_odd_tyre_is_in_balance(self, ratio: float) -> None:
        """... of tyres as unlike as sponge and steel carries the load where it stands."""
        case = Case(FOUR, (0.0, 0.3, 0.0, 1.0), (60.0, 60.0 * ratio, 60.0, 60.0), 700.0, 33.0)
        assert BALANCE >= _out_of_balance(case, alone(case).loads_n[0])

    def test_is_solved_alike_alone_and_among_others(self) -> None:
        """... is not moved by what stands beside it in the batch."""
        cases = random_lines()[:40]
        found = shared_loads(together(cases))
        for row, case in enumerate(cases):
            one = alone(case).loads_n[0]
            assert one == pytest.approx(found.loads_n[row, : len(one)], abs=1e-10 * case.load)

    def test_may_have_an_absent_wheel_anywhere(self) -> None:
        """... with a wheel taken off stands as one that never had it, wherever it was."""
        whole = alone(Case(FOUR[:3], (0.0, 0.2, 0.0), (60.0, 40.0, 60.0), 500.0, 10.0))
        at, gaps, stiffness = (-900.0, *FOUR[:3], 900.0), (9.0, 0.0, 0.2, 0.0, 0.0), (0.0, 60.0, 40.0, 60.0, 0.0)
        missing = alone(Case(at, gaps, stiffness, 500.0, 10.0))
        assert (0.0, *whole.loads_n[0], 0.0) == pytest.approx(tuple(missing.loads_n[0]), rel=1e-9)
        assert (0.0, *whole.presses_mm[0], 0.0) == pytest.approx(tuple(missing.presses_mm[0]), rel=1e-9)

    def test_is_not_kept_from_tipping_by_an_absent_wheel(self) -> None:
        """... tips beyond the last wheel that it has, not the last place for one."""
        with pytest.raises(InvalidQuantityError, match="strictly between the outer axles"):
            alone(Case(FOUR, (0.0,) * 4, (0.0, 60.0, 60.0, 60.0), 900.0, 60.0))

    def test_does_not_rest_on_an_absent_wheel(self) -> None:
        """... under a feather's load rests on wheels that are there, though none hangs lower than one that is not."""
        found = alone(Case(FOUR, (1.0, 0.5, 0.0, 1.0), (60.0, 60.0, 0.0, 60.0), 1e-20, 0.0))
        assert (0, 0.75e-20, 0, 0.25e-20) == pytest.approx(tuple(found.loads_n[0]), rel=1e-11)

    def test_of_nobody_is_none(self) -> None:
        """... need not be there: no set-ups have no loads."""
        none = np.empty((0, 4))
        assert (0, 4) == shared_loads(LoadCases(none, none, none, np.empty(0), np.empty(0))).loads_n.shape

    @pytest.mark.parametrize("load_along", [-121.5, 121.5, 121.6, -400.0])
    def test_is_refused_where_it_tips(self, load_along: float) -> None:
        """... on which a load stands over an outer axle or beyond is named by its row."""
        good = Case(FOUR, (0.0,) * 4, (60.0,) * 4, 900.0, 0.0)
        with pytest.raises(InvalidQuantityError, match="strictly between the outer axles") as caught:
            shared_loads(together([good, good._replace(load_along=load_along), good]))
        assert [1] == caught.value.found

    def test_is_refused_on_one_wheel_and_on_none(self) -> None:
        """... needs two wheels to stand on."""
        one = Case((10.0,), (0.0,), (60.0,), 900.0, 10.0)
        with pytest.raises(InvalidQuantityError) as caught:
            shared_loads(together([one, one._replace(stiffness=(0.0,))]))
        assert [0, 1] == caught.value.found

    @pytest.mark.parametrize(
        "change",
        [
            {"load": 0.0},
            {"load": -1.0},
            {"load": math.inf},
            {"load": math.nan},
            {"load_along": math.nan},
            {"along": (math.nan, 0.0, 1.0, 2.0)},
            {"gaps": (0.0, -0.001, 0.0, 0.0)},
            {"gaps": (0.0, math.inf, 0.0, 0.0)},
            {"stiffness": (60.0, -1.0, 60.0, 60.0)},
            {"stiffness": (60.0, math.nan, 60.0, 60.0)},
        ],
        ids=str,
    )
    def test_is_refused_for_what_cannot_be(self, change: dict[str, object]) -> None:
        """... with a pull for a load, a gap below the ground or a figure that is none is refused."""
        case = Case(FOUR, (0.0,) * 4, (60.0,) * 4, 900.0, 0.0)
        with pytest.raises(InvalidQuantityError, match=next(iter(change))):
            alone(case._replace(**change))

    def test_is_refused_where_its_figures_do_not_go_together(self) -> None:
        """... of four axles needs four gaps."""
        good = together([Case(FOUR, (0.0,) * 4, (60.0,) * 4, 900.0, 0.0)])
        with pytest.raises(InvalidQuantityError, match="three arrays"):
            shared_loads(good._replace(gaps_mm=np.zeros((1, 3))))

    def test_is_refused_without_a_place_for_a_wheel(self) -> None:
        """... is not asked about where there is no axle at all."""
        none = np.empty((2, 0))
        with pytest.raises(InvalidQuantityError, match="of a wheel at least"):
            shared_loads(LoadCases(none, none, none, np.ones(2), np.zeros(2)))


class TestTipMargins:
    """The margin to tipping ..."""

    @pytest.mark.parametrize(
        ("load_along", "expected"),
        [(0.0, 121.5), (100.0, 21.5), (-120.0, 1.5), (121.5, 0.0), (130.0, -8.5), (-130.0, -8.5)],
    )
    def test_is_the_way_to_the_nearer_outer_axle(self, load_along: float, expected: float) -> None:
        """... is what lies between the load and the nearer outer axle, negative beyond it."""
        assert [expected] == tip_margins_mm(np.array([FOUR]), np.array([load_along])).tolist()

    def test_does_not_see_a_wheel_that_is_not_there(self) -> None:
        """... of a set-up with fewer wheels than others goes by those it has."""
        along = np.array([[80.0, 0.0, -80.0, math.nan], [math.nan] * 4])
        assert [60.0, math.nan] == pytest.approx(tip_margins_mm(along, np.array([20.0, 0.0])).tolist(), nan_ok=True)


def _out_of_balance(case: Case, loads: np.ndarray) -> float:
    """Give what force and moment are out by, as shares of the load at half the wheelbase; infinity for a pull."""
    if not np.all(loads >= 0):
        return math.inf
    arms = np.array(case.along) - case.load_along
    half = (max(case.along) - min(case.along)) / 2
    force = math.fsum(loads) - case.load
    return max(abs(force), abs(math.fsum(loads * arms)) / half) / case.load


def _mirrored(case: Case) -> Case:
    return case._replace(along=tuple(-at for at in case.along), load_along=-case.load_along)
