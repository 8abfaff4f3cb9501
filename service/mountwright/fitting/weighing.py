"""Weighs a joint: every pair of beliefs is put through the rules, and the probabilities are bounded, not guessed.

Checks of one joint share measurements, so their probabilities are never multiplied: the
lower bound takes all failures as exclusive (Boole), the upper one as nested (Fréchet).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from mountwright.fitting.beliefs import Belief, Beliefs
from mountwright.measure.conformity import conformance_probability
from mountwright.measure.quantity import Limits
from mountwright.mounts.check import Check
from mountwright.mounts.joint import Joint
from mountwright.mounts.mount import Claimant, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Family

#: A pair of beliefs below this weight is not put through the rules; its weight widens the bounds instead.
NEGLIGIBLE = 5e-4

#: Whose claim of an interchange standard answers by itself.
_TRUSTED = frozenset((Claimant.BENCH, Claimant.MAKER))

#: A check that passes with no more than this ends the look at a pair.
_SURELY_FAILS = 1e-9

#: Damage is nobody's word: it stays open until somebody competent has looked.
UNDAMAGED = "undamaged"


class Judged(NamedTuple):
    """A check under the likeliest pair of beliefs, with bounds on its passing over all pairs that it was asked of."""

    check: Check
    low: float
    high: float


class Weighed(NamedTuple):
    """A joint with its probabilities.

    Parameters
    ----------
    low, high : float
        Bounds on the probability that every check passes.
    checks : tuple of Judged
    skate, part : Belief
        The likeliest pair.
    """

    low: float
    high: float
    checks: tuple[Judged, ...]
    skate: Belief
    part: Belief


class _Tally:
    """Sums over pairs of beliefs: of the whole, and of each check where it was come to."""

    def __init__(self) -> None:
        self.low, self.high, self.weight = 0.0, 0.0, 0.0
        self.by_code: dict[str, tuple[float, float, float]] = {}

    def add(self, weight: float, checks: Iterable[Check], trusted: bool, to_the_end: bool) -> None:
        """Add a pair; unless asked for to the end, one that surely fails is left at its first failing check."""
        misses, most, counted, by_code = 0.0, 1.0, 0, self.by_code
        for check in checks:
            low, high = bounds(check, trusted)
            misses += 1 - low
            counted += 1
            if high < most:
                most = high
            lows, highs, weights = by_code.get(check.code, _NOTHING_YET)
            by_code[check.code] = lows + weight * low, highs + weight * high, weights + weight
            if most <= _SURELY_FAILS and not to_the_end:
                break
        self.weight += weight
        if (counted or trusted) and misses < 1:
            self.low += weight * (1 - misses)
        self.high += weight * most

    def judged(self, checks: Iterable[Check]) -> tuple[Judged, ...]:
        """Give checks with their bounds."""
        found = []
        for check in checks:
            lows, highs, weight = self.by_code[check.code]
            found.append(Judged(check, lows / weight, highs / weight))
        return tuple(found)


_NOTHING_YET = (0.0, 0.0, 0.0)


def bounds(check: Check, trusted: bool = False) -> tuple[float, float]:
    """Give the least and the greatest probability that a check passes.

    Parameters
    ----------
    check : Check
    trusted : bool
        Both sides are claimed to one interchange standard by maker or bench: a figure
        that is merely absent does not hold the answer up.
    """
    if check.value is None:
        return (1.0, 1.0) if trusted and check.missing else (0.0, 1.0)
    low = conformance_probability(check.value, check.limits)
    return low, low if check.loosest is None else conformance_probability(check.value, check.loosest)


def weighed(
    position: str, skate: tuple[Pattern, Beliefs], part: tuple[Pattern, Beliefs], family: Family | None
) -> Weighed:
    """Put every pair of beliefs through the rules of the family that answers for the joint.

    Parameters
    ----------
    position : str
    skate, part : tuple of Pattern and Beliefs
    family : Family or None
        See :func:`answering_family`; None has no rules.

    Raises
    ------
    Exception
        Whatever a rule raises; the caller guards.
    """
    (skate_pattern, skates), (part_pattern, parts) = skate, part
    claims_hold = _claims_agree(skate_pattern, part_pattern)
    leading = checks_of(Joint(position, skates.leading.side, parts.leading.side), family)
    tally = _Tally()
    for a in skates.each:
        for b in parts.each:
            weight = a.weight * b.weight
            if weight < NEGLIGIBLE:
                break
            trusted = claims_hold and a.key == b.key == skate_pattern.standard and _sells_itself(a, b)
            leads = a is skates.leading and b is parts.leading
            tally.add(weight, leading if leads else _found(Joint(position, a.side, b.side), family), trusted, leads)
    # What was not weighed may have passed.
    high = tally.high + max(0.0, 1 - tally.weight)
    return Weighed(min(1.0, tally.low), min(1.0, high), tally.judged(leading), skates.leading, parts.leading)


def answering_family(position: str, skate: Beliefs, part: Beliefs, registry: Registry) -> Family | None:
    """Give the family whose rules judge a joint: of the part's likeliest standard, else the skate's, else the first."""
    for beliefs in (part, skate):
        if beliefs.leading.standard is not None:
            return beliefs.leading.standard.family
    families = registry.families_at(position)
    return families[0] if families else None


def checks_of(joint: Joint, family: Family | None) -> tuple[Check, ...]:
    """Give what a family's rules find to check in a joint, and whether anything is damaged."""
    return tuple(_found(joint, family))


def _found(joint: Joint, family: Family | None) -> Iterator[Check]:
    for rule in family.rules if family else ():
        yield from rule(joint)
    if joint.skate.damage or joint.part.damage:
        damage = ", ".join(f"{side.side}: {what}" for side in joint.sides for what in side.damage)
        yield Check(UNDAMAGED, None, Limits(0, 0), "", "common practice", params={"damage": damage})


def _claims_agree(skate: Pattern, part: Pattern) -> bool:
    same = skate.standard is not None and skate.standard == part.standard
    return same and skate.claimed_by in _TRUSTED and part.claimed_by in _TRUSTED


def _sells_itself(a: Belief, b: Belief) -> bool:
    if a.standard is not None and a.standard.interchange:
        return True
    return a.side.drawing_id is not None and a.side.drawing_id == b.side.drawing_id
