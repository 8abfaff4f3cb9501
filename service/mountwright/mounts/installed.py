"""Standards that mounts claim and nobody installed: kept, and not judged by until their plugin is there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry


class Absent(NamedTuple):
    """A standard that is claimed at a position and not installed there."""

    position: str
    standard: str


def is_installed(standard: str, position: str, registry: Registry) -> bool:
    """Tell whether a standard is installed and serves a position."""
    known = registry.standards.get(standard)
    return known is not None and position in known.family.positions


def not_installed(mounts: Iterable[Mount], registry: Registry) -> tuple[Absent, ...]:
    """Give the standards that mounts claim and nobody installed, each once a position, in the mounts' order."""
    claims = (
        Absent(mount.position, pattern.standard)
        for mount in mounts
        for pattern in mount.patterns
        if pattern.standard is not None
    )
    return tuple(dict.fromkeys(claim for claim in claims if not is_installed(claim.standard, claim.position, registry)))


def judgeable(mount: Mount, registry: Registry) -> Mount | None:
    """Give a mount without the alternatives whose standard is not installed; None where no other is left.

    A mount of which every standard is installed, or that claims none, is given as it is.
    """
    kept = tuple([pattern for pattern in mount.patterns if _is_judgeable(pattern, mount.position, registry)])
    if len(kept) == len(mount.patterns):
        return mount
    return replace(mount, patterns=kept) if kept else None


def _is_judgeable(pattern: Pattern, position: str, registry: Registry) -> bool:
    return pattern.standard is None or is_installed(pattern.standard, position, registry)
