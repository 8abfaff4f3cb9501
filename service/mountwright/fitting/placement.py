"""Where a mount's set of holes puts the part, against another set of the same mount."""

from __future__ import annotations

from mountwright.fitting.settings import nominal_of
from mountwright.mounts.bolt_rule import spacings_at
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
    dimensions = spacings_at(registry.families_at(position))
    spacings = (nominal_of(pattern, dimension, registry) for dimension in dimensions)
    return next((spacing / 2 for spacing in spacings if spacing is not None), None)
