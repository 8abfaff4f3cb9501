"""A check: one named comparison within a joint, as plain data. A rule describes it; the core judges it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple, TypeAlias

from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.joint import Joint

_NOTHING: Mapping[str, str | float] = {}


class Check(NamedTuple):
    """One comparison, not yet judged.

    Parameters
    ----------
    code : str
        Names the check within its plugin, ``bolts_pass``.
    value : Estimate or None
        Thousandths of the unit; None while a figure is missing.
    limits : Limits
        What the joint takes as far as it is known, thousandths, inclusive.
    unit : str
        ``mm``, ``deg``, or empty for something that is either so or not.
    source : str
        Where the limits come from.
    loosest : Limits or None
        What the joint might take at most where part of it was not looked at.
    magnitude : bool
        The sign of the value carries no meaning and is left out of the answer.
    missing : tuple of str
        ``side.dimension`` of every figure that was missed.
    rests_on : tuple of str
        ``side.dimension`` of every figure that the value rests on.
    params : Mapping[str, str or float]
        Further facts for the message.
    """

    code: str
    value: Estimate | None
    limits: Limits
    unit: str
    source: str
    loosest: Limits | None = None
    magnitude: bool = False
    missing: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()
    params: Mapping[str, str | float] = _NOTHING


#: A rule yields the checks that a joint calls for; none where it does not apply.
Rule: TypeAlias = Callable[[Joint], Iterable[Check]]
