"""A mount standard as frozen data: what it measures, how far sides that follow it spread, and its rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import Any, NamedTuple

from mountwright.errors import InvalidSpecError
from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.mounts.check import Rule
from mountwright.mounts.kinds import kinds
from mountwright.mounts.specs import SpecType


def numbers_of(kind: str) -> tuple[str, ...]:
    """Give the names of the numbers among the specs of a kind of articles; none where there is no such kind."""
    known = kinds().get(kind)
    return () if known is None else tuple(name for name, spec in known.specs.items() if spec.type is SpecType.NUMBER)


@dataclass(frozen=True)
class Loan:
    """Another article of the same set-up that a dimension really belongs to: the length of a bolt, to the bolt.

    Parameters
    ----------
    kind : str
        The article's, one of :func:`mountwright.mounts.kinds.kinds`.
    spec : str
        The number among its specs that the dimension is.
    where : Mapping[str, Limits]
        By spec, thousandths, inclusive: an article that lies outside, or does not say, lends nothing.
    conforming : Estimate or None
        How pieces deviate from the figure that the catalogue has, thousandths; None for a length of which
        no more is known than that it is nominal.

    Raises
    ------
    InvalidSpecError
        For a kind that there is not, and for what is no number among its specs.
    """

    kind: str
    spec: str
    where: Mapping[str, Limits]
    conforming: Estimate | None = None

    def __post_init__(self) -> None:
        known = numbers_of(self.kind)
        for name in (self.spec, *self.where):
            if name not in known:
                raise InvalidSpecError(self.kind, name, f"one of {', '.join(known) or 'no kind at all'}")


class DrawnAs(StrEnum):
    """What a length is on a printed gauge: two holes so far apart, a circle so wide, a stair of a comb so high."""

    HOLES = "holes"
    CIRCLE = "circle"
    COMB = "comb"


@dataclass(frozen=True)
class Dimension:
    """Something that one can measure on a mount.

    Parameters
    ----------
    name : str
        Ends in its unit, ``hole_spacing_mm``.
    sides : tuple of str
        The sides that have it.
    plausible : Limits
        Thousandths, inclusive; a figure beyond is a slip of the pen.
    measure : str
        How to take it.
    reach : int or None
        Thousandths: sides whose figures differ by more never go together, whatever holes of ordinary size they
        have and whichever standard they follow; None where nobody vouches for such a bound.
    lent_by : Loan or None
        Whose figure it is, where it belongs to another article of the set-up than the mount does.
    drawn_as : DrawnAs or None
        On a printed gauge; None where nobody says, and the rules alone can tell.
    """

    name: str
    sides: tuple[str, ...]
    plausible: Limits
    measure: str
    reach: int | None = None
    lent_by: Loan | None = None
    drawn_as: DrawnAs | None = None


class Nominal(NamedTuple):
    """What one standard says of one dimension, thousandths of its unit.

    ``conforming`` is how sides that keep to the standard spread and decides a fit;
    ``met`` is what old and moulded mounts show on the bench and decides the family.
    """

    stated: int
    conforming: Estimate
    met: Estimate
    source: str


@dataclass(frozen=True)
class Look:
    """A question that a look answers.

    Parameters
    ----------
    feature : str
        What is looked at: ``heel``, ``fastening``.
    answers : Mapping[str, tuple of (str, Quantity) or None]
        Each answer with the dimension that it reads coarsely, or None where it only tells standards apart.
    sides : tuple of str
        The sides that can be looked at.
    """

    feature: str
    answers: Mapping[str, tuple[str, Quantity] | None]
    sides: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Family:
    """What the standards of one file share.

    Parameters
    ----------
    name : str
        Namespace of its messages and the plugin's name for a reader.
    positions : tuple of str
        Where on a skate such mounts are met.
    sides : tuple of str
        The skate's usual side first, a part's usual side last.
    dimensions : Mapping[str, Dimension]
    looks : Mapping[str, Look]
    rules : tuple of Rule
    """

    name: str
    positions: tuple[str, ...]
    sides: tuple[str, ...]
    dimensions: Mapping[str, Dimension]
    looks: Mapping[str, Look]
    rules: tuple[Rule, ...]


@dataclass(frozen=True, eq=False)
class Standard:
    """One mount standard.

    Parameters
    ----------
    key : str
        What it is by dimension, ``two-bolt-165``.
    family : Family
    title : str
    interchange : bool
        Sides claimed to it by maker or bench go together by that alone.
    nominals : Mapping[str, Nominal]
        By dimension name; a dimension that is not known is left out.
    features : Mapping[str, str]
        What a look would find.
    mark : str
        How to tell it from its neighbours by eye.
    source : str
    also_known_as : tuple of str
    cautions : tuple of str
        Message codes, given with every answer that involves the standard.
    without : frozenset of str
        Dimensions that such a mount does not have: who read one was hardly looking at it.
    """

    key: str
    family: Family
    title: str
    interchange: bool
    nominals: Mapping[str, Nominal]
    features: Mapping[str, str]
    mark: str
    source: str
    also_known_as: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    without: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Conversion:
    """A known way from one standard to another.

    Parameters
    ----------
    key : str
    from_standard, to_standard : str
        The skate's side as it is, and what it then takes.
    kind : str
        ``adapter`` (a part) or ``bench`` (work).
    reversible : bool
    resolves : tuple of str
        Codes of the checks that it answers for; all others still have to pass.
    added_height : Limits or None
        Micrometres that it raises the boot; None where no figure is known.
    cautions : tuple of str
        Message codes.
    source : str
    """

    key: str
    from_standard: str
    to_standard: str
    kind: str
    reversible: bool
    resolves: tuple[str, ...]
    added_height: Limits | None
    cautions: tuple[str, ...]
    source: str


@dataclass(frozen=True)
class StandardSet:
    """What one plugin hands over at start-up.

    Parameters
    ----------
    family : Family
    standards : tuple of Standard
    conversions : tuple of Conversion
    messages : Mapping[str, str]
        Templates by code, the family's name and a dot in front.
    version : str
        Digest of the file and of the names of the rules beside it, and the version of its distribution.
    bench_jobs : Mapping[str, Mapping]
        Jobs of the bench by key, as the file has them; what a job is, the bench knows and no standard.
    translations : Mapping[str, Mapping[str, str]]
        By language: what codes of the messages, and texts of the file, are in it.
    """

    family: Family
    standards: tuple[Standard, ...]
    conversions: tuple[Conversion, ...]
    messages: Mapping[str, str]
    version: str
    bench_jobs: Mapping[str, Mapping[str, Any]] = field(default_factory=lambda: MappingProxyType({}))
    translations: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: MappingProxyType({}))
