"""Whether an insole goes into the room that there is for it; a little thicker, it is pressed together."""

from __future__ import annotations

from mountwright.bench.size_estimates import size_estimate
from mountwright.measure.quantity import Limits, thousandths


def insole_limits(room_um: int) -> Limits:
    """Give the thicknesses that go into a room, whole micrometres, both ends inclusive."""
    return Limits(None, room_um + thousandths(size_estimate("insole_excess_mm").likely))


def insole_probability(thickness_um: float, room_um: float) -> float:
    """Give how likely an insole goes into a room; how far it is pressed together is anywhere in its range."""
    excess = size_estimate("insole_excess_mm")
    least, most = thousandths(excess.low), thousandths(excess.high)
    return min(1.0, max(0.0, (room_um + most - thickness_um) / (most - least)))
