"""The liner that fills a shell, and the insole that there is room for."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.feet import Feet, Foot
from mountwright.bench.insole_room import insole_limits, insole_probability
from mountwright.bench.lining import (
    Insole,
    InsoleRoom,
    Liner,
    LinerFit,
    insole_room,
    insoles_ranked,
    liners_ranked,
)
from mountwright.bench.shell_fit import Fit, RoomState, Shell, shell_fit
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Limits, Quantity
from mountwright.riding.band import Band


def reading(mm: float, doubt_um: float = 100) -> Quantity:
    """Give a reading."""
    return Quantity(round(mm * 1000), doubt_um, "caliper")


FEET = Feet(Foot(reading(270)), Foot(reading(266)))

SHELL = Shell(length=reading(285), insole_room_um=7000)


def liner(thickness_mm: float, shell: Shell | None = SHELL) -> LinerFit:
    """Give how a liner fills a shell."""
    [found] = liners_ranked((Liner(thickness=reading(thickness_mm)),), shell, FEET)
    return found


class TestLiner:
    """A liner ..."""

    @pytest.mark.parametrize(
        ("thickness_mm", "state", "fit"),
        [
            (2, RoomState.TOO_LARGE, Fit.DOES_NOT_FIT),
            (7, RoomState.RIGHT, Fit.LIKELY_FITS),
            (20, RoomState.TOO_SMALL, Fit.DOES_NOT_FIT),
        ],
    )
    def test_fills_what_the_foot_leaves(self, thickness_mm: float, state: RoomState, fit: Fit) -> None:
        """... that is thin leaves too much before the toes, one that is thick too little."""
        found = liner(thickness_mm)

        assert (state, fit) == (found.state, found.fit)

    def test_leaves_the_longer_foot_the_least(self) -> None:
        """... of 6 mm takes about 1.43 of its walls of the 15 mm that the longer foot leaves."""
        found = liner(6).toe_room

        assert found
        assert pytest.approx(15 - 6 * 4.3 / 3) == found.likely

    @pytest.mark.parametrize("shell", [None, Shell(), Shell(length=reading(285), is_soft=True)])
    def test_without_a_shell_cannot_be_told(self, shell: Shell | None) -> None:
        """... without a shell of known length cannot be told."""
        assert (Fit.CANNOT_TELL, RoomState.UNKNOWN, None, None) == liner(6, shell)[2:6]

    def test_of_unknown_thickness_cannot_be_told(self) -> None:
        """... whose thickness nobody knows cannot be told."""
        assert Fit.CANNOT_TELL is liners_ranked((Liner(),), SHELL, FEET)[0].fit

    def test_that_fills_best_comes_first(self) -> None:
        """... that fills the shell best comes first, whatever order they were offered in."""
        liners = [Liner(f"{mm}", thickness=reading(mm)) for mm in (2, 7, 20)] + [Liner("x")]
        ranked = [[each.liner.sku for each in liners_ranked(tuple(each), SHELL, FEET)] for each in permutations(liners)]

        assert "7" == ranked[0][0]
        assert all(each == ranked[0] for each in ranked)

    @given(st.floats(1, 25), st.floats(0, 10))
    def test_that_is_thicker_never_leaves_more(self, thickness_mm: float, thicker_mm: float) -> None:
        """... that is thicker never leaves more before the toes."""
        thin, thick = liner(thickness_mm).toe_room, liner(thickness_mm + thicker_mm).toe_room

        assert thin
        assert thick
        assert thick.likely <= thin.likely

    @pytest.mark.parametrize(
        ("sizes", "fit"),
        [((42, 44), Fit.LIKELY_FITS), ((36, 43), Fit.CANNOT_TELL), ((44, 46), Fit.DOES_NOT_FIT)],
    )
    def test_is_made_for_a_size(self, sizes: tuple[float, float], fit: Fit) -> None:
        """... that would fill the shell fits no better than the sizes say that it is made for."""
        marked = Liner(thickness=reading(7), eu_sizes=Limits(*sizes))
        [found] = liners_ranked((marked,), SHELL, FEET, Band(42.5, 43, 43.5))

        assert fit is found.fit

    def test_of_no_wall_is_refused(self) -> None:
        """... of no thickness is refused."""
        with pytest.raises(InvalidQuantityError):
            Liner(thickness=Quantity(0, 0, "caliper"))


class TestRoom:
    """Room for an insole ..."""

    def test_is_that_of_the_new_liner(self) -> None:
        """... is that of a new liner, which says nothing where it has no figure."""
        shell = shell_fit(SHELL, FEET)
        new = [liners_ranked((each,), SHELL, FEET)[0] for each in (Liner(insole_room_um=4000), Liner())]

        assert [InsoleRoom(4000), InsoleRoom(None)] == [insole_room(shell, each, 5000) for each in new]

    def test_is_that_of_the_skate_as_it_was_sold(self) -> None:
        """... without a new liner is that of the skate, and then as much at least as the old insole had."""
        bare = shell_fit(Shell(), FEET)

        assert InsoleRoom(7000) == insole_room(shell_fit(SHELL, FEET), None, 5000)
        assert InsoleRoom(5000, is_at_least=True) == insole_room(bare, None, 5000)
        assert InsoleRoom(None) == insole_room(None, None, None)


class TestInsole:
    """An insole ..."""

    @pytest.mark.parametrize(
        ("thickness_um", "fit", "probability"),
        [
            (6000, Fit.FITS, 1.0),
            (6500, Fit.LIKELY_FITS, 0.5),
            (6600, Fit.CANNOT_TELL, 0.4),
            (6900, Fit.LIKELY_DOES_NOT_FIT, 0.1),
            (7000, Fit.DOES_NOT_FIT, 0.0),
        ],
    )
    def test_may_be_a_little_thicker_than_its_room(self, thickness_um: int, fit: Fit, probability: float) -> None:
        """... is pressed together by half a millimetre, as a basket has it, and by one at the most."""
        [found] = insoles_ranked((Insole(thickness_um=thickness_um),), InsoleRoom(6000))

        assert (fit, pytest.approx(probability)) == (found.fit, found.probability)

    def test_thicker_than_the_old_one_is_not_refused(self) -> None:
        """... that is thicker than the old one is not refused: nobody measured the room."""
        room = InsoleRoom(5000, is_at_least=True)
        found = insoles_ranked(tuple(Insole(thickness_um=um) for um in (4000, 9000)), room)

        assert [(0, Fit.FITS), (1, Fit.CANNOT_TELL)] == [(each.place, each.fit) for each in found]

    def test_of_which_nothing_is_known_cannot_be_told(self) -> None:
        """... without a thickness, or without a room, cannot be told."""
        for insole, room in ((Insole(), InsoleRoom(5000)), (Insole(thickness_um=4000), InsoleRoom(None))):
            [found] = insoles_ranked((insole,), room)
            assert (Fit.CANNOT_TELL, None) == (found.fit, found.probability)

    def test_that_is_thickest_of_those_that_go_in_comes_first(self) -> None:
        """... that is the thickest of those that go in comes first, whatever order they were offered in."""
        insoles = [Insole(f"{um}", thickness_um=um) for um in (3000, 5000, 9000)] + [Insole("x")]
        ranked = [
            [each.insole.sku for each in insoles_ranked(tuple(each), InsoleRoom(6000))]
            for each in permutations(insoles)
        ]

        assert ["5000", "3000", "x", "9000"] == ranked[0]
        assert all(each == ranked[0] for each in ranked)

    @given(st.integers(200, 25_000), st.integers(0, 5000), st.integers(0, 30_000))
    def test_never_goes_in_more_surely_for_being_thicker(self, thickness_um: int, more_um: int, room_um: int) -> None:
        """... never goes in more surely for being thicker, and surely where it is no thicker than its room."""
        thin, thick = (insole_probability(each, room_um) for each in (thickness_um, thickness_um + more_um))

        assert 0 <= thick <= thin <= 1
        assert thickness_um > room_um or thin == 1
        assert insole_limits(room_um).contain(thickness_um) == (thin >= 0.5)

    def test_for_another_size_does_not_fit(self) -> None:
        """... for another size does not fit, thin as it is, and is not judged by size where nobody can tell it."""
        small = (Insole(thickness_um=4000, eu_sizes=Limits(36, 37)),)
        found = [insoles_ranked(small, InsoleRoom(6000), eu)[0].fit for eu in (Band(42.5, 43, 43.5), None)]

        assert [Fit.DOES_NOT_FIT, Fit.FITS] == found

    def test_of_no_thickness_is_refused(self) -> None:
        """... of no thickness is refused."""
        with pytest.raises(InvalidQuantityError):
            Insole(thickness_um=0)
