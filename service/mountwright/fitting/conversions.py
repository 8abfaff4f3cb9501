"""Known ways from one standard to another, where two sides do not go together as they are."""

from __future__ import annotations

from typing import NamedTuple

from mountwright.fitting.beliefs import Belief, Beliefs
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.weighing import answering_family, bounds, checks_of
from mountwright.mounts.joint import Joint
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Conversion


class Way(NamedTuple):
    """A conversion, the probability that it makes the joint, and the probability that it is needed to have."""

    conversion: Conversion
    probability: float
    threshold: float

    @property
    def certain(self) -> bool:
        """Tell whether the probability reaches what its stake asks for, inclusive."""
        return self.probability >= self.threshold


def way_between(
    position: str, skate: Beliefs, part: Beliefs, stake: Stake, registry: Registry, estimates: Estimates
) -> Way | None:
    """Give the likeliest conversion of a joint, or None below one half.

    What cannot be undone has to reach the threshold of irreversible work, whatever the stake.
    """
    found = [
        Way(c, _probability(c, position, skate, part, registry), _threshold(c, stake, estimates))
        for c in registry.conversions
    ]
    best = max(found, key=lambda way: (way.probability, way.conversion.key), default=None)
    return best if best is not None and best.probability >= 0.5 else None


def _threshold(conversion: Conversion, stake: Stake, estimates: Estimates) -> float:
    return estimates.threshold(stake) if conversion.reversible else estimates.irreversible


def _probability(conversion: Conversion, position: str, skate: Beliefs, part: Beliefs, registry: Registry) -> float:
    a, b = _belief_in(skate, conversion.from_standard), _belief_in(part, conversion.to_standard)
    if a is None or b is None:
        return 0.0
    checks = checks_of(Joint(position, a.side, b.side), answering_family(position, skate, part, registry))
    open_ones = (check for check in checks if check.code not in conversion.resolves)
    misses = sum(1 - bounds(check, trusted=True)[0] for check in open_ones)
    return a.weight * b.weight * max(0.0, 1 - misses)


def _belief_in(beliefs: Beliefs, key: str) -> Belief | None:
    return next((belief for belief in beliefs.each if belief.key == key), None)
