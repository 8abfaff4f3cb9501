"""Where a mount's set of holes puts the part, against another set of the same mount."""

from __future__ import annotations

from mountwright.fitting.settings import nominal_of
from mountwright.mounts.bolt_rule import BoltsPass
from mountwright.mounts.mount import Pattern
from mountwright.mounts.registry import Registry


def shift_between(first: Pattern, used: Pattern, position: str, registry: Registry) -> float | None:
    """Give how far forward of the first set's middle the used set's lies, micrometres; None where it is not known.

    From the holes' places where both sets have them; else the rear hole is taken as
    shared (common practice), so that the middle moves by half of the difference in spacing.
    """
    middles = [_middle(pattern, position, registry) for pattern in (first, used)]
    before, after = middles
    return None if before is None or after is None else after - before


def _middle(pattern: Pattern, position: str, registry: Registry) -> float | None:
    places = [hole.along_um for hole in pattern.holes if hole.along_um is not None]
    if places and len(places) == len(pattern.holes):
        return (min(places) + max(places)) / 2
    spacings = (nominal_of(pattern, dimension, registry) for dimension in _spacings(position, registry))
    return next((spacing / 2 for spacing in spacings if spacing is not None), None)


def _spacings(position: str, registry: Registry) -> list[str]:
    rules = [rule for family in registry.families_at(position) for rule in family.rules]
    return [rule.spacing for rule in rules if isinstance(rule, BoltsPass) and rule.spacing]
