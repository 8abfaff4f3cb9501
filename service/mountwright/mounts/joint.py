"""The two sides of a joint as a rule sees them: figures with doubt, holes, and what was seen."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from mountwright.measure.quantity import Estimate
from mountwright.mounts.holes import Hole


class JointSide(NamedTuple):
    """One side of a joint, under one belief about which standard it follows.

    Parameters
    ----------
    side : str
        The side's name in its standard: ``boot``, ``frame``, ``bearing``.
    figures : Mapping[str, Estimate]
        By dimension name, thousandths of the unit that the name ends in; absent where nothing is known.
    features : Mapping[str, str]
        What was seen or what the standard says would be seen.
    holes : tuple of Hole
        As recorded; empty where nobody did.
    drawing_id : str or None
        The drawing that the side is said to be made to.
    damage : tuple of str
        What is worn or broken, as seen.
    recorded : frozenset of str
        The dimensions that somebody gave a figure for; others rest on a standard's word.
    """

    side: str
    figures: Mapping[str, Estimate]
    features: Mapping[str, str]
    holes: tuple[Hole, ...] = ()
    drawing_id: str | None = None
    damage: tuple[str, ...] = ()
    recorded: frozenset[str] = frozenset()


class Joint(NamedTuple):
    """A skate-side and a part-side mount brought together at one position."""

    position: str
    skate: JointSide
    part: JointSide

    @property
    def sides(self) -> tuple[JointSide, JointSide]:
        """Give both sides, the skate's first."""
        return self.skate, self.part

    def between(self, *names: str) -> bool:
        """Tell whether the joint has exactly these sides, in either order."""
        return {self.skate.side, self.part.side} == set(names)

    def side(self, name: str) -> JointSide | None:
        """Give the side of that name, or None where the joint has no such side."""
        if self.skate.side == name:
            return self.skate
        return self.part if self.part.side == name else None
