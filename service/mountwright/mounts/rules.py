"""The toolkit of declared rules: chains of lengths, planes that must meet, features that must agree."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import NamedTuple

from mountwright.measure.quantity import Estimate, Limits, in_units
from mountwright.mounts.check import Check
from mountwright.mounts.joint import Joint


class Term(NamedTuple):
    """One link of a chain: ``times`` the dimension of a side, for each of ``pieces`` alike."""

    side: str
    dimension: str
    times: float
    pieces: int = 1

    @property
    def place(self) -> str:
        """Give ``side.dimension``."""
        return f"{self.side}.{self.dimension}"


def chained(links: Iterable[tuple[Term, Estimate]]) -> Estimate:
    """Give the sum of a chain with its combined uncertainty (JCGM 100:2008, 5.1.2)."""
    value, variance = 0.0, 0.0
    for (_, _, times, pieces), (length, spread) in links:
        value += times * pieces * length
        # Like pieces vary each on its own.
        variance += pieces * times * times * spread * spread
    return Estimate(value, math.sqrt(variance))


def extremes(links: Iterable[tuple[Term, Estimate]]) -> Limits:
    """Give the least and the greatest that a chain can come to: every link at the end of its range that is worst.

    An uncertainty is taken for that of a rectangular range (JCGM 100:2008, 4.3.7).
    """
    value, reach = 0.0, 0.0
    for term, figure in links:
        value += term.times * term.pieces * figure.value
        reach += abs(term.times) * term.pieces * math.sqrt(3) * figure.standard_uncertainty
    return Limits(value - reach, value + reach)


@dataclass(frozen=True)
class Stack:
    """A one-dimensional chain of lengths that must end within limits.

    A single difference is a chain of two links. A longer one also tells its worst case,
    beside the statistical one that it is judged by. The rule applies to a joint of just
    the sides that its terms name.

    Parameters
    ----------
    code : str
    terms : tuple of Term
    limits : Limits
        Thousandths, inclusive.
    source : str
    loosest : Limits or None
    if_recorded : bool
        Leave the check out, rather than open, while nobody recorded a figure for any term.
    """

    code: str
    terms: tuple[Term, ...]
    limits: Limits
    source: str
    loosest: Limits | None = None
    if_recorded: bool = False

    @cached_property
    def rests_on(self) -> tuple[str, ...]:
        """Give ``side.dimension`` of every term."""
        return tuple(term.place for term in self.terms)

    @cached_property
    def unit(self) -> str:
        """Give the unit that the terms' names end in."""
        return self.terms[0].dimension.rpartition("_")[2]

    def __call__(self, joint: Joint) -> tuple[Check, ...]:
        """Give the check; none where it does not apply."""
        links: list[tuple[Term, Estimate]] = []
        missing: list[str] = []
        recorded = False
        for term in self.terms:
            side = joint.side(term.side)
            if side is None:
                return ()
            recorded = recorded or term.dimension in side.recorded
            figure = side.figures.get(term.dimension)
            if figure is None:
                missing.append(term.place)
            else:
                links.append((term, figure))
        if missing and self.if_recorded and not recorded:
            return ()
        value = None if missing else chained(links)
        params = _worst_case(links) if len(links) > 2 and not missing else _NO_PARAMS
        return (
            Check(
                self.code,
                value,
                self.limits,
                self.unit,
                self.source,
                self.loosest,
                False,
                tuple(missing),
                self.rests_on,
                params,
            ),
        )


_NO_PARAMS: dict[str, str | float] = {}


def _worst_case(links: Iterable[tuple[Term, Estimate]]) -> dict[str, str | float]:
    worst = extremes(links)
    return {"worst_low": in_units(worst.low or 0.0), "worst_high": in_units(worst.high or 0.0)}


@dataclass(frozen=True)
class PlaneMatch:
    """Two mounting faces whose steps must agree.

    The value is the skate side's step less the part side's: above 0 the part's
    rear end wants a shim, below 0 its front end.

    Parameters
    ----------
    code : str
    height : str
        The dimension, on both sides.
    within : int
        Thousandths to either way, inclusive.
    source : str
    """

    code: str
    height: str
    within: int
    source: str

    @cached_property
    def limits(self) -> Limits:
        """Give the limits on the difference."""
        return Limits(-self.within, self.within)

    @cached_property
    def unit(self) -> str:
        """Give the unit that the dimension's name ends in."""
        return self.height.rpartition("_")[2]

    def __call__(self, joint: Joint) -> tuple[Check, ...]:
        """Give the check, naming the end that a shim would go under."""
        skate, part = joint.skate.figures.get(self.height), joint.part.figures.get(self.height)
        places = _places(joint.skate.side, joint.part.side, self.height)
        if skate is None or part is None:
            missing = tuple(place for place, step in zip(places, (skate, part), strict=True) if step is None)
            return (Check(self.code, None, self.limits, self.unit, self.source, missing=missing, rests_on=places),)
        gap = skate.value - part.value
        value = Estimate(gap, math.hypot(skate.standard_uncertainty, part.standard_uncertainty))
        params = {"shim_end": "rear" if gap > 0 else "front"} if gap else {}
        return (Check(self.code, value, self.limits, self.unit, self.source, None, False, (), places, params),)


@lru_cache(maxsize=1024)
def _places(skate: str, part: str, dimension: str) -> tuple[str, str]:
    return f"{skate}.{dimension}", f"{part}.{dimension}"


@dataclass(frozen=True)
class Alike:
    """A feature that must be the same on both sides: the plane, the fastening, the hand.

    Parameters
    ----------
    code : str
    feature : str
    source : str
    if_recorded : bool
        Leave the check out, rather than open, while one side's feature is not known.
    """

    code: str
    feature: str
    source: str
    if_recorded: bool = False

    def __call__(self, joint: Joint) -> tuple[Check, ...]:
        """Give the check; its value counts the differences."""
        skate, part = joint.skate.features.get(self.feature), joint.part.features.get(self.feature)
        if skate is not None and part is not None:
            return _compared(self.code, skate, part, self.source)
        if self.if_recorded:
            return ()
        missing = tuple(f"{side.side}.{self.feature}" for side in joint.sides if self.feature not in side.features)
        return (Check(self.code, None, _NONE_DIFFER, "", self.source, missing=missing),)


@lru_cache(maxsize=4096)
def _compared(code: str, skate: str, part: str, source: str) -> tuple[Check, ...]:
    """Give the check of two features; there are few of them and they come again and again."""
    params = {"skate_has": skate, "part_has": part}
    return (Check(code, _SAME if skate == part else _OTHER, _NONE_DIFFER, "", source, params=params),)


_SAME, _OTHER, _NONE_DIFFER = Estimate(0, 0), Estimate(1, 0), Limits(0, 0)
