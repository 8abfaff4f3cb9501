"""What is asked about rides, and what was reckoned for it."""

from __future__ import annotations

from typing import NamedTuple

from mountwright.drawing.palette import Theme
from mountwright.riding.chain import Chain, Change
from mountwright.riding.coast_down import CoastDown
from mountwright.riding.coasting import Run
from mountwright.riding.largest_wheel import LargestWheel
from mountwright.riding.line import Load
from mountwright.riding.power import Rider
from mountwright.riding.ride import Ride
from mountwright.riding.ride_answer import RideComparison
from mountwright.riding.rocker_options import RockerOptions, Wish
from mountwright.riding.room import Room
from mountwright.riding.shift import Shift
from mountwright.riding.wheel_line import WheelLine
from mountwright.web.rides.assembling import SetUp


class RiderAsked(NamedTuple):
    """A rider, where the load stands on each skate, and whether the speed was taken for want of one."""

    rider: Rider
    load_along_mm: float | None
    speed_was_taken: bool


class RidesAsked(NamedTuple):
    """Set-ups, the rider, and the rider's own coast-downs."""

    set_ups: tuple[SetUp, ...]
    rider: RiderAsked
    runs: tuple[Run, ...]


class Reckoned(NamedTuple):
    """What was reckoned of set-ups.

    Parameters
    ----------
    rides : tuple of Ride
        One for each set-up.
    rider : Rider
        As was reckoned with: with the drag area that coast-downs told.
    found : RideComparison
    own : CoastDown or None
        What the rider's coast-downs told.
    chains : tuple of ((Chain, Change or None) or None)
        Between foot and ground, of each set-up that something is known of, with what one changed part changes.
    """

    rides: tuple[Ride, ...]
    rider: Rider
    found: RideComparison
    own: CoastDown | None
    chains: tuple[tuple[Chain, Change | None] | None, ...]


class PictureWanted(NamedTuple):
    """How a wheel line is drawn: on which ground, and how often its gaps are stretched."""

    theme: Theme = "auto"
    gap_factor: float = 1.0


class WheelLineAsked(NamedTuple):
    """A set-up, how it was before, what stands on it, and what is wanted beside the line itself.

    ``packed`` is the question as an address carries it, None where it is too long for one.
    """

    set_up: SetUp
    before: SetUp | None
    load: Load
    wish: Wish | None
    picture: PictureWanted
    packed: str | None = None


class Seen(NamedTuple):
    """What was reckoned of a wheel line.

    Parameters
    ----------
    line : WheelLine
    before : WheelLine or None
    brake_pad_mm : float or None
        Height of the brake's pad as the skate stands now, None where nobody can tell.
    room : Room
    largest : tuple of LargestWheel
        At each axle, from the front.
    largest_alike : LargestWheel
        Everywhere at once.
    shortest_wheelbase_mm : float
        That these wheels go on.
    shift : Shift or None
        What the slots of the frame allow, None where boot or frame are given without mounts.
    options : RockerOptions or None
        None where none are wanted, or the load tips the skate.
    """

    line: WheelLine
    before: WheelLine | None
    brake_pad_mm: float | None
    room: Room
    largest: tuple[LargestWheel, ...]
    largest_alike: LargestWheel
    shortest_wheelbase_mm: float
    shift: Shift | None
    options: RockerOptions | None
