"""The toolkit of declared rules: chains of lengths, planes that must meet, features that must agree."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.measure.quantity import Estimate, Limits
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

    def doubt(self, figure: Estimate) -> float:
        """Give the standard uncertainty that a figure brings into the chain; like pieces vary on their own."""
        return abs(self.times) * math.sqrt(self.pieces) * figure.standard_uncertainty


def chained(links: Iterable[tuple[Term, Estimate]]) -> Estimate:
    """Give the sum of a chain with its combined uncertainty (JCGM 100:2008, 5.1.2)."""
    value, variance = 0.0, 0.0
    for term, figure in links:
        value += term.times * term.pieces * figure.value
        variance += term.doubt(figure) ** 2
    return Estimate(value, math.sqrt(variance))


@dataclass(frozen=True)
class Stack:
    """A one-dimensional chain of lengths that must end within limits.

    A single difference is a chain of two links. The rule applies to a joint of
    just the sides that its terms name.

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

    def __call__(self, joint: Joint) -> Iterator[Check]:
        """Yield the check."""
        if {term.side for term in self.terms} - {joint.skate.side, joint.part.side}:
            return
        figures = [_figure(joint, term) for term in self.terms]
        missing = tuple(term.place for term, figure in zip(self.terms, figures, strict=True) if figure is None)
        if missing and self.if_recorded and not self._is_recorded(joint):
            return
        links = [(term, figure) for term, figure in zip(self.terms, figures, strict=True) if figure is not None]
        value = None if missing else chained(links)
        unit = self.terms[0].dimension.rpartition("_")[2]
        doubts = tuple((term.place, term.doubt(figure)) for term, figure in links)
        yield Check(self.code, value, self.limits, unit, self.source, self.loosest, missing=missing, doubts=doubts)

    def _is_recorded(self, joint: Joint) -> bool:
        sides = {side.side: side.recorded for side in joint.sides}
        return any(term.dimension in sides[term.side] for term in self.terms)


def _figure(joint: Joint, term: Term) -> Estimate | None:
    side = joint.side(term.side)
    return side.figures.get(term.dimension) if side else None


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

    def __call__(self, joint: Joint) -> Iterator[Check]:
        """Yield the check, naming the end that a shim would go under."""
        steps = [side.figures.get(self.height) for side in joint.sides]
        missing = tuple(f"{s.side}.{self.height}" for s, f in zip(joint.sides, steps, strict=True) if f is None)
        skate, part = steps
        value = chained(((Term("", "", 1), skate), (Term("", "", -1), part))) if skate and part else None
        params = {"shim_end": "rear" if value.value > 0 else "front"} if value and value.value else {}
        doubts = tuple(
            (f"{side.side}.{self.height}", step.standard_uncertainty)
            for side, step in zip(joint.sides, steps, strict=True)
            if step is not None
        )
        unit = self.height.rpartition("_")[2]
        limits = Limits(-self.within, self.within)
        yield Check(self.code, value, limits, unit, self.source, missing=missing, doubts=doubts, params=params)


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

    def __call__(self, joint: Joint) -> Iterator[Check]:
        """Yield the check; its value counts the differences."""
        skate, part = (side.features.get(self.feature) for side in joint.sides)
        missing = tuple(f"{side.side}.{self.feature}" for side in joint.sides if self.feature not in side.features)
        if missing and self.if_recorded:
            return
        params = {} if missing else {"skate_has": str(skate), "part_has": str(part)}
        value = None if missing else Estimate(0 if skate == part else 1, 0)
        yield Check(self.code, value, Limits(0, 0), "", self.source, missing=missing, params=params)
