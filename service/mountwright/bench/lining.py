"""What goes into the shell, in this order: the liner, then, the old insole out, the insole."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from mountwright.bench.feet import Feet
from mountwright.bench.insole_room import insole_probability
from mountwright.bench.shell_fit import (
    ANY_SIZE,
    Fit,
    RoomState,
    Shell,
    ShellFit,
    Window,
    fit_of,
    marked_probability,
    room_state,
    worse,
)
from mountwright.bench.size_estimates import mean_and_spread, probability_above, size_estimate
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.estimates import estimates
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.uncertainty import combined, expanded
from mountwright.riding.band import Band, around


@dataclass(frozen=True)
class Liner:
    """A liner.

    Parameters
    ----------
    sku, name : str
        Empty where it has none.
    thickness : Quantity or None
        Through its wall, not pressed; None where nobody knows.
    insole_room_um : int or None
        Thickest insole that goes in with the foot.
    eu_sizes : Limits
        That it is made for.

    Raises
    ------
    InvalidQuantityError
        For a wall of nothing.
    """

    sku: str = ""
    name: str = ""
    thickness: Quantity | None = None
    insole_room_um: int | None = None
    eu_sizes: Limits = ANY_SIZE

    def __post_init__(self) -> None:
        if self.thickness is not None and self.thickness.value <= 0:
            raise InvalidQuantityError(f"thickness {self.thickness.value} um", "more than 0")


@dataclass(frozen=True)
class Insole:
    """An insole.

    Parameters
    ----------
    sku, name : str
        Empty where it has none.
    thickness_um : int or None
        Not pressed, more than 0; None where nobody knows.
    eu_sizes : Limits
        That it is made for.

    Raises
    ------
    InvalidQuantityError
        For a thickness of nothing.
    """

    sku: str = ""
    name: str = ""
    thickness_um: int | None = None
    eu_sizes: Limits = ANY_SIZE

    def __post_init__(self) -> None:
        if self.thickness_um is not None and self.thickness_um <= 0:
            raise InvalidQuantityError(f"thickness {self.thickness_um} um", "more than 0")


class LinerFit(NamedTuple):
    """How a liner fills a shell.

    Parameters
    ----------
    liner : Liner
    place : int
        In the request, from 0.
    fit : Fit
    state : RoomState
        ``too_small`` where it leaves the toes too little room, ``too_large`` where it leaves too much.
    probability : float or None
    toe_room : Band or None
        What is left before the toes, the heel at the back, mm; below 0 where the foam would have to give.
    by_size : Fit
        Whether it is made for the size that is wanted: ``fit`` is no better.
    """

    liner: Liner
    place: int
    fit: Fit
    state: RoomState
    probability: float | None
    toe_room: Band | None
    by_size: Fit


class InsoleFit(NamedTuple):
    """Whether an insole goes in.

    Parameters
    ----------
    insole : Insole
    place : int
        In the request, from 0.
    fit : Fit
    probability : float or None
    room_um : int or None
        What there is room for; None where nobody knows.
    by_size : Fit
        Whether it is made for the size that is wanted: ``fit`` is no better.
    """

    insole: Insole
    place: int
    fit: Fit
    probability: float | None
    room_um: int | None
    by_size: Fit


class InsoleRoom(NamedTuple):
    """How thick an insole there is room for.

    Parameters
    ----------
    room_um : int or None
    is_at_least : bool
        Whether there may be more: an old insole went in, and nobody measured the room.
    """

    room_um: int | None
    is_at_least: bool = False


def toe_window() -> Window:
    """Give the room before the toes that is wanted in shell and liner, mm."""
    return Window(size_estimate("toe_room_least_mm"), size_estimate("toe_room_most_mm"))


def liners_ranked(
    liners: tuple[Liner, ...], shell: Shell | None, feet: Feet, eu: Band | None = None
) -> tuple[LinerFit, ...]:
    """Give every liner, the best first: by fit, probability, room before the toes, SKU, name."""
    found = [_liner_fit(liner, place, shell, feet, eu) for place, liner in enumerate(liners)]
    return tuple(sorted(found, key=_liner_order))


def insole_room(shell: ShellFit | None, liner: LinerFit | None, old_insole_um: int | None) -> InsoleRoom:
    """Give how thick an insole there is room for, the old one taken out.

    Parameters
    ----------
    shell : ShellFit or None
        Its own figure, and an insole that was in it, are of the liner that it was sold with.
    liner : LinerFit or None
        The new one; it has its own figure or none.
    old_insole_um : int or None
        Thickness of the insole that is in the skate.
    """
    if liner is not None:
        return InsoleRoom(liner.liner.insole_room_um)
    if shell is not None and shell.shell.insole_room_um is not None:
        return InsoleRoom(shell.shell.insole_room_um)
    return InsoleRoom(old_insole_um, is_at_least=old_insole_um is not None)


def insoles_ranked(insoles: tuple[Insole, ...], room: InsoleRoom, eu: Band | None = None) -> tuple[InsoleFit, ...]:
    """Give every insole, the best first: of those that go in as surely, the thickest, then by SKU and name."""
    found = [_insole_fit(insole, place, room, eu) for place, insole in enumerate(insoles)]
    return tuple(sorted(found, key=_insole_order))


def _liner_fit(liner: Liner, place: int, shell: Shell | None, feet: Feet, eu: Band | None) -> LinerFit:
    by_size, marked = _by_size(liner.eu_sizes, eu)
    if shell is None or shell.is_soft or shell.length is None or liner.thickness is None:
        fit = worse(Fit.CANNOT_TELL, by_size)
        return LinerFit(liner, place, fit, RoomState.UNKNOWN, None, None, by_size)
    rooms = [_toe_room(shell.length, foot, liner.thickness) for foot in feet.lengths]
    enough, too_much = (min(probability_above(room, end) for room in rooms) for end in toe_window())
    right = max(0.0, enough - too_much)
    least = min(rooms, key=lambda room: (room.value, -room.standard_uncertainty))
    told = around(least.value, expanded(least.standard_uncertainty))
    fit, state = worse(fit_of(right), by_size), room_state(1 - enough, right, too_much)
    return LinerFit(liner, place, fit, state, min(right, marked), told, by_size)


def _by_size(eu_sizes: Limits, eu: Band | None) -> tuple[Fit, float]:
    marked = marked_probability(eu_sizes, eu)
    return fit_of(marked), marked


def _toe_room(inside: Quantity, foot: Quantity, wall: Quantity) -> Estimate:
    """Give what a liner leaves before the toes, mm: what is inside, less the foot and the liner's two walls."""
    walls = mean_and_spread(size_estimate("liner_walls_along"))
    taken = wall.value * walls.value
    doubt = combined(
        [
            inside.standard_uncertainty,
            foot.standard_uncertainty,
            wall.value * walls.standard_uncertainty,
            wall.standard_uncertainty * walls.value,
        ]
    )
    return Estimate((inside.value - foot.value - taken) / 1000, doubt / 1000)


def _insole_fit(insole: Insole, place: int, room: InsoleRoom, eu: Band | None) -> InsoleFit:
    by_size, marked = _by_size(insole.eu_sizes, eu)
    if insole.thickness_um is None or room.room_um is None:
        return InsoleFit(insole, place, worse(Fit.CANNOT_TELL, by_size), None, room.room_um, by_size)
    probability = insole_probability(insole.thickness_um, room.room_um)
    fit = worse(_insole_outcome(probability, room.is_at_least), by_size)
    return InsoleFit(insole, place, fit, min(probability, marked), room.room_um, by_size)


def _insole_outcome(probability: float, is_at_least: bool) -> Fit:
    """Give how an insole fits: what a basket would send is likely to, and what may have more room is not refused."""
    fit = fit_of(probability)
    if fit is Fit.CANNOT_TELL and probability >= _EVEN:
        return Fit.LIKELY_FITS
    if is_at_least and probability < estimates().try_it:
        return Fit.CANNOT_TELL
    return fit


#: An insole that is as likely as not to go in is thicker than its room by what is usually pressed together.
_EVEN = 0.5


def _liner_order(found: LinerFit) -> tuple[int, float, float, str, str, int]:
    middle = sum(mean_and_spread(end).value for end in toe_window()) / 2
    away = 0.0 if found.toe_room is None else abs(found.toe_room.likely - middle)
    return (found.fit.rank, -(found.probability or 0.0), away, found.liner.sku, found.liner.name, found.place)


def _insole_order(found: InsoleFit) -> tuple[int, float, int, str, str, int]:
    insole = found.insole
    return (
        found.fit.rank,
        -(found.probability or 0.0),
        -(insole.thickness_um or 0),
        insole.sku,
        insole.name,
        found.place,
    )
