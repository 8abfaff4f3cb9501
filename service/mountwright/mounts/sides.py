"""Which side of a position a mount is, where the request does not say."""

from __future__ import annotations

from collections.abc import Collection

from mountwright.mounts.registry import Registry


def side_of(
    position: str,
    given: str,
    standard: str | None,
    dimensions: Collection[str],
    registry: Registry,
    kind: str = "",
) -> str:
    """Give the side of a mount.

    Tried in turn: what was given; the kind of the part where a side is called so;
    the only side that has all of the dimensions; the skate's usual side for a
    skate (empty kind), the part's usual side otherwise.

    Parameters
    ----------
    position, given : str
    standard : str or None
        Claimed; its family's sides come first.
    dimensions : collection of str
    registry : Registry
    kind : str
        Of the part; empty for the skate.
    """
    if given:
        return given
    claimed = registry.standards.get(standard or "")
    families = (claimed.family,) if claimed else registry.families_at(position)
    if not families:
        return "part" if kind else "skate"
    sides = families[0].sides
    if kind in sides:
        return kind
    known = families[0].dimensions
    able = [side for side in sides if all(side in known[name].sides for name in dimensions if name in known)]
    if len(able) == 1 and dimensions:
        return able[0]
    return sides[-1] if kind else sides[0]
