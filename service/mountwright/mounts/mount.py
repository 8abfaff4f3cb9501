"""Skates, parts and mounts as a request brings them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from mountwright.errors import InvalidMountError
from mountwright.measure.quantity import Adjustable, Quantity
from mountwright.mounts.holes import Hole


class Claimant(StrEnum):
    """Who says that a mount follows a standard, the most trusted first."""

    BENCH = "bench"
    MAKER = "maker"
    SELLER = "seller"
    CUSTOMER = "customer"


class Setting(NamedTuple):
    """Where an adjustable dimension was put, thousandths, and what holds it there."""

    dimension: str
    value: int
    lock: str


class Dispute(NamedTuple):
    """A piece in hand and its entry in the catalogue that do not agree.

    Parameters
    ----------
    what : str
        A dimension, a feature, ``standard`` or ``drawing_id``.
    found, expected : int or str
        On the piece, and by the catalogue: thousandths of the dimension's unit, or words.
    """

    what: str
    found: int | str
    expected: int | str


@dataclass(frozen=True)
class Pattern:
    """One way to use a mount: a set of holes, or a setting of a plate.

    Parameters
    ----------
    name : str
        Empty where a mount has only one.
    standard : str or None
        Key of the standard that it is claimed to follow.
    claimed_by : Claimant or None
        By whom; set if and only if a standard is.
    figures : Mapping[str, Quantity or Adjustable]
        By dimension name.
    seen : Mapping[str, str]
        Features that somebody looked at.
    holes : tuple of Hole
    drawing_id : str or None
    damage : tuple of str
    settings : tuple of Setting
        Of what can be adjusted, once it was put somewhere.
    disputes : tuple of Dispute
        Between the piece in hand and the catalogue; each holds a fit back until it is settled.

    Raises
    ------
    InvalidMountError
        For a claim without a claimant or the reverse.
    """

    name: str = ""
    standard: str | None = None
    claimed_by: Claimant | None = None
    figures: Mapping[str, Quantity | Adjustable] = field(default_factory=dict)
    seen: Mapping[str, str] = field(default_factory=dict)
    holes: tuple[Hole, ...] = ()
    drawing_id: str | None = None
    damage: tuple[str, ...] = ()
    settings: tuple[Setting, ...] = ()
    disputes: tuple[Dispute, ...] = ()

    def __post_init__(self) -> None:
        if (self.standard is None) != (self.claimed_by is None):
            found = f"standard {self.standard!r} claimed by {self.claimed_by!r}"
            raise InvalidMountError(f"pattern {self.name!r}", found, "both or neither")


@dataclass(frozen=True)
class Mount:
    """One side of a joint.

    Parameters
    ----------
    position : str
    side : str
        Which side of the position's standards it is.
    patterns : tuple of Pattern
        The alternatives, at least one.

    Raises
    ------
    InvalidMountError
        Without a pattern.
    """

    position: str
    side: str
    patterns: tuple[Pattern, ...]

    def __post_init__(self) -> None:
        if not self.patterns:
            raise InvalidMountError(f"mount at {self.position!r}", "no pattern", "at least one")


@dataclass(frozen=True, eq=False)
class Part:
    """A part, or a whole skate's own side, with its mounts.

    Two parts are the same only if they are one: nobody has to compare all of their figures.
    """

    kind: str
    mounts: tuple[Mount, ...]
    name: str = ""
