"""Both feet in an empty shell, without the liner: room behind the heel, across and over the instep.

A shell has to take the larger foot: the room that counts is the smaller of the two feet's. What is left behind the
heel, with the toes at the front, is how the trade tells a shell's size: about a finger.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from mountwright.bench.feet import Feet, Measure, Pair, Side
from mountwright.bench.shoe_sizes import Wish
from mountwright.bench.size_estimates import mean_and_spread, probability_above, size_estimate
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.estimates import estimates
from mountwright.measure.conformity import uniform_conformance
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.uncertainty import combined, expanded
from mountwright.riding.band import Band, around

#: Of what is marked with no size.
ANY_SIZE = Limits(None, None)


class Fit(StrEnum):
    """Whether something fits, best first."""

    FITS = "fits"
    LIKELY_FITS = "likely_fits"
    CANNOT_TELL = "cannot_tell"
    LIKELY_DOES_NOT_FIT = "likely_does_not_fit"
    DOES_NOT_FIT = "does_not_fit"

    @property
    def rank(self) -> int:
        """Give its place, 0 for the best."""
        return list(Fit).index(self)


class RoomState(StrEnum):
    """What a room most likely is."""

    TOO_SMALL = "too_small"
    RIGHT = "right"
    TOO_LARGE = "too_large"
    UNKNOWN = "unknown"


class Window(NamedTuple):
    """The room that is wanted, mm, each end within its own range."""

    least: Band
    most: Band


@dataclass(frozen=True)
class Shell:
    """A shell, inside, without its liner.

    Parameters
    ----------
    sku, name : str
        Empty where it has none.
    length, breadth, instep_height : Quantity or None
        Along; where it is broadest; from the sole's board up to the shell, halfway along. None where nobody knows.
    insole_room_um : int or None
        Thickest insole that goes in with the foot and the liner that it was sold with.
    is_soft : bool
        Whether boot and liner are one, so that there is no empty shell.
    eu_sizes : Limits
        That it is marked with; what was measured goes before it.
    heel_gap : Quantity or None
        What the longer foot left behind its heel when it stood in the empty shell, toes at the front: tells the length
        better than anything else, and goes before it.

    Raises
    ------
    InvalidQuantityError
        For a length, breadth or height of nothing, or a gap below it.
    """

    sku: str = ""
    name: str = ""
    length: Quantity | None = None
    breadth: Quantity | None = None
    instep_height: Quantity | None = None
    insole_room_um: int | None = None
    is_soft: bool = False
    eu_sizes: Limits = ANY_SIZE
    heel_gap: Quantity | None = None

    def __post_init__(self) -> None:
        if self.heel_gap is not None and self.heel_gap.value < 0:
            raise InvalidQuantityError(f"heel gap {self.heel_gap.value} um", "0 or more")
        for measure in Measure:
            found = self.reading(measure)
            if found is not None and found.value <= 0:
                raise InvalidQuantityError(f"{measure} {found.value} um", "more than 0")

    def reading(self, measure: Measure) -> Quantity | None:
        """Give one figure, None where nobody knows it."""
        found: Quantity | None = getattr(self, measure)
        return found


class RoomCheck(NamedTuple):
    """One room in a shell.

    Parameters
    ----------
    measure : Measure
    fit : Fit
    state : RoomState
        What is likeliest, however likely that is.
    probability : float or None
        That the room is right; None where it is not known.
    rooms : Mapping[Side, Band]
        Of each foot, mm; empty where it is not known.
    wanted : Window
    """

    measure: Measure
    fit: Fit
    state: RoomState
    probability: float | None
    rooms: Mapping[Side, Band]
    wanted: Window


class ShellFit(NamedTuple):
    """How a shell takes both feet.

    Parameters
    ----------
    shell : Shell
    place : int
        In the request, from 0.
    fit : Fit
        The worst of what is known; at most ``likely_fits`` while breadth or instep are not.
    probability : float or None
        The least of its rooms that are known: it fits no more likely than that; None without the heel gap.
    checks : tuple of RoomCheck
        Length, breadth, instep.
    is_other_size : bool
        Whether it is marked with other sizes than these feet may take, and nobody measured it.
    """

    shell: Shell
    place: int
    fit: Fit
    probability: float | None
    checks: tuple[RoomCheck, ...]
    is_other_size: bool = False

    @property
    def heel(self) -> RoomCheck:
        """Give the room behind the heel."""
        return self.checks[0]

    @property
    def reason(self) -> RoomCheck:
        """Give the room that the fit hangs on: the worst, of equals the first."""
        return max(self.checks, key=lambda check: check.fit.rank)


def fit_of(probability: float) -> Fit:
    """Give what a probability means, by the thresholds of a part that is sent and of one that is tried."""
    known = estimates()
    for fit, least in ((Fit.FITS, known.fits), (Fit.LIKELY_FITS, known.try_it)):
        if probability >= least:
            return fit
    if probability > 1 - known.try_it:
        return Fit.CANNOT_TELL
    return Fit.LIKELY_DOES_NOT_FIT if probability > known.does_not_fit else Fit.DOES_NOT_FIT


def worse(one: Fit, other: Fit) -> Fit:
    """Give the worse of two."""
    return max(one, other, key=_rank)


def marked_probability(eu_sizes: Limits, eu: Band | None) -> float:
    """Give how likely the size that is wanted is among those marked; 1 where nothing is marked or wanted."""
    return 1.0 if eu is None else uniform_conformance(eu.low, eu.high, eu_sizes)


def room_windows(wish: Wish | None) -> Mapping[Measure, Window]:
    """Give the room that is wanted by each measure; the heel's goes by the wish, without one it is wide."""
    return {
        Measure.LENGTH: _heel_window(wish),
        Measure.BREADTH: Window(size_estimate("breadth_room_least_mm"), size_estimate("breadth_room_most_mm")),
        Measure.INSTEP: Window(size_estimate("instep_room_least_mm"), size_estimate("instep_room_most_mm")),
    }


def _heel_window(wish: Wish | None) -> Window:
    least, divide, most = (size_estimate(f"heel_gap_{end}_mm") for end in ("least", "divide", "most"))
    if wish is None:
        return Window(least, most)
    return Window(least, divide) if wish is Wish.PERFORMANCE else Window(divide, most)


def shell_fit(shell: Shell, feet: Feet, wish: Wish | None = None, place: int = 0, eu: Band | None = None) -> ShellFit:
    """Tell how a shell takes both feet.

    ``eu`` are the EU sizes that the feet may take; None where nobody can tell. The shell of the answer has its length
    by the heel gap, where that was measured. A soft boot has no empty shell to stand in: nobody can tell before it is
    tried on.
    """
    shell = _by_gap(shell, feet)
    checks = tuple(_checks(shell, feet, wish))
    heel = checks[0]
    worst = max((check.fit for check in checks if check.probability is not None), key=_rank, default=Fit.CANNOT_TELL)
    is_other_size = heel.probability is None and marked_probability(shell.eu_sizes, eu) == 0
    by_mark = Fit.DOES_NOT_FIT if is_other_size else Fit.FITS
    fit = max(worst, heel.fit, _most_to_say(checks), by_mark, key=_rank)
    known = [check.probability for check in checks if check.probability is not None]
    return ShellFit(shell, place, fit, min(known) if heel.probability is not None else None, checks, is_other_size)


def shells_ranked(
    shells: tuple[Shell, ...], feet: Feet, wish: Wish | None = None, eu: Band | None = None
) -> tuple[ShellFit, ...]:
    """Give every shell, the best first: by fit, probability, nearness to the middle of what is wanted, SKU, name."""
    found = [shell_fit(shell, feet, wish, place, eu) for place, shell in enumerate(shells)]
    return tuple(sorted(found, key=_order))


def room_check(measure: Measure, pair: Pair | None, inside: Quantity | None, wanted: Window) -> RoomCheck:
    """Judge one room: what is inside less each foot, the smaller room counting."""
    if pair is None or inside is None:
        return RoomCheck(measure, Fit.CANNOT_TELL, RoomState.UNKNOWN, None, MappingProxyType({}), wanted)
    rooms = {side: _room(inside, reading) for side, reading in zip(Side, pair, strict=True)}
    enough, too_much = (min(probability_above(room, end) for room in rooms.values()) for end in wanted)
    right = max(0.0, enough - too_much)
    told = MappingProxyType({side: _band(room) for side, room in rooms.items()})
    return RoomCheck(measure, fit_of(right), room_state(1 - enough, right, too_much), right, told, wanted)


def room_state(too_small: float, right: float, too_large: float) -> RoomState:
    """Give what is likeliest; of two equally likely, what is right, then what is too small."""
    best = max(too_small, right, too_large)
    if right == best:
        return RoomState.RIGHT
    return RoomState.TOO_SMALL if too_small == best else RoomState.TOO_LARGE


def _by_gap(shell: Shell, feet: Feet) -> Shell:
    """Give a shell as long as the longer foot and its gap; the doubt of the foot counts again, on the safe side."""
    gap = shell.heel_gap
    if gap is None:
        return shell
    longer_um = max(foot.value for foot in feet.lengths)
    return replace(shell, length=Quantity(longer_um + gap.value, gap.standard_uncertainty, gap.instrument))


def _checks(shell: Shell, feet: Feet, wish: Wish | None) -> Iterator[RoomCheck]:
    for measure, wanted in room_windows(wish).items():
        inside = None if shell.is_soft else shell.reading(measure)
        yield room_check(measure, feet.pair(measure), inside, wanted)


def _most_to_say(checks: tuple[RoomCheck, ...]) -> Fit:
    return Fit.FITS if all(check.probability is not None for check in checks) else Fit.LIKELY_FITS


def _room(inside: Quantity, foot: Quantity) -> Estimate:
    doubt = combined([inside.standard_uncertainty, foot.standard_uncertainty])
    return Estimate((inside.value - foot.value) / 1000, doubt / 1000)


def _band(room: Estimate) -> Band:
    return around(room.value, expanded(room.standard_uncertainty))


def _rank(fit: Fit) -> int:
    return fit.rank


def _order(found: ShellFit) -> tuple[int, float, float, str, str, int]:
    wanted = found.heel.wanted
    middle = sum(mean_and_spread(end).value for end in wanted) / 2
    room = min((band.likely for band in found.heel.rooms.values()), default=middle)
    probability = 0.0 if found.probability is None else found.probability
    return (found.fit.rank, -probability, abs(room - middle), found.shell.sku, found.shell.name, found.place)
