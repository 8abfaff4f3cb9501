"""Known ways from one standard to another, where two sides do not go together as they are."""

from __future__ import annotations

from typing import NamedTuple

from mountwright.fitting.beliefs import Belief, Beliefs
from mountwright.fitting.bench import Bench
from mountwright.fitting.weighing import bounds, checks_of
from mountwright.mounts.joint import Joint
from mountwright.mounts.standard import Conversion, Family


class Way(NamedTuple):
    """A conversion, the probability that it makes the joint, and the probability that it is needed to have."""

    conversion: Conversion
    probability: float
    threshold: float

    @property
    def certain(self) -> bool:
        """Tell whether the probability reaches what its stake asks for, inclusive."""
        return self.probability >= self.threshold


def way_between(position: str, skate: Beliefs, part: Beliefs, family: Family | None, bench: Bench) -> Way | None:
    """Give the likeliest conversion of a joint, or None below one half.

    What cannot be undone has to reach the threshold of irreversible work, whatever the stake.
    """
    best: Way | None = None
    for conversion in bench.registry.conversions:
        a, b = _belief_in(skate, conversion.from_standard), _belief_in(part, conversion.to_standard)
        if a is None or b is None or a.weight * b.weight < 0.5:
            continue
        passing = _rest_passes(conversion, Joint(position, a.side, b.side), family)
        way = Way(conversion, a.weight * b.weight * passing, _threshold(conversion, bench))
        if best is None or way.probability > best.probability:
            best = way
    return best if best is not None and best.probability >= 0.5 else None


def _threshold(conversion: Conversion, bench: Bench) -> float:
    return bench.estimates.threshold(bench.stake) if conversion.reversible else bench.estimates.irreversible


def _rest_passes(conversion: Conversion, joint: Joint, family: Family | None) -> float:
    """Give the least probability that the checks which the conversion does not answer for all pass."""
    rest = (check for check in checks_of(joint, family) if check.code not in conversion.resolves)
    return max(0.0, 1 - sum(1 - bounds(check, trusted=True)[0] for check in rest))


def _belief_in(beliefs: Beliefs, key: str) -> Belief | None:
    return next((belief for belief in beliefs.each if belief.key == key), None)
