"""Rules out what cannot go on a skate's mount, in the plain words of an index (:mod:`mountwright.fitting.narrowing`).

A claim is ruled out by judging it: a mount of which no more is known than the claim is put to the skate's. A figure is
ruled out by the reach that the author of the standards vouches for.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from mountwright.fitting.beliefs import Belief, Beliefs
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.joints import judged
from mountwright.fitting.narrowing import (
    IN_A_PAIR,
    PLACED,
    SPREADS,
    USUAL_HOLE_UM,
    Chance,
    Reach,
    ends,
    placed_apart,
    play_um,
)
from mountwright.fitting.settings import nominal_of
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Adjustable, Estimate
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.bolt_rule import spacings_at
from mountwright.mounts.holes import Hole
from mountwright.mounts.installed import judgeable
from mountwright.mounts.mount import Claimant, Mount, Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Dimension, Family, Standard

Range = tuple[float, float]

#: A conversion is thought of from this weight of its standard on.
_HALF = 0.5


def wanted(skate: Mount, registry: Registry, estimates: Estimates) -> Chance:
    """Give what a part's mount must look like to have a chance beside a skate's.

    Only standards whose family declares a ``reach`` are ruled out, and only figures of dimensions that have one.

    Parameters
    ----------
    skate : Mount
    registry : Registry
    estimates : Estimates
    """
    usable = judgeable(skate, registry)
    if usable is None or not registry.at(skate.position) or _can_be_set(usable, registry):
        return Chance()
    question = _Question(usable, Bench(registry, estimates, Stake.SHIPPING))
    reaches, claimants = tuple(question.reaches()), _believed(estimates)
    unwanted = frozenset(question.refused(claimants, alone=bool(reaches)))
    if not (unwanted or reaches):
        return Chance()
    return Chance(False, unwanted, frozenset(map(str, claimants)), reaches)


def _believed(estimates: Estimates) -> tuple[Claimant, ...]:
    """Give whose claims rule out: those who are wrong no oftener than a part that is refused would have fitted."""
    return tuple(who for who in Claimant if 1 - estimates.claim_is_right[who] <= estimates.does_not_fit)


def _can_be_set(mount: Mount, registry: Registry) -> bool:
    """Tell whether a mount can be set in what tells standards apart: then it is what the part makes of it."""
    standards = registry.at(mount.position)
    telling = {name for standard in standards for name in (*standard.nominals, *standard.without)}
    return any(
        isinstance(figure, Adjustable) and name in telling
        for pattern in mount.patterns
        for name, figure in pattern.figures.items()
    )


class _Question:
    """A skate's mount with what is believed of each of its patterns."""

    def __init__(self, skate: Mount, bench: Bench) -> None:
        self._skate, self._bench, self._registry = skate, bench, bench.registry
        self._believed = [bench.believed(pattern, skate) for pattern in skate.patterns]
        self._standards = self._registry.at(skate.position)

    def refused(self, claimants: Sequence[Claimant], alone: bool) -> Iterator[str]:
        """Yield the standards that do not go on, whoever of these claims them.

        Of the answering family alone, or of every one that declares a reach: only there its author vouches for more
        than the rules say.
        """
        family = self._family()
        for standard in self._standards if claimants else ():
            asked = standard.family is family if alone else _has_reach(standard.family)
            if asked and self._refuses(standard, claimants):
                yield standard.key

    def _refuses(self, standard: Standard, claimants: Iterable[Claimant]) -> bool:
        sides = [side for side in standard.family.sides if side != self._skate.side]
        claimed = (self._claimed(standard, side, who) for who in claimants for side in sides)
        return all(judged(self._skate, mount, self._bench).verdict is Verdict.DOES_NOT_FIT for mount in claimed)

    def _claimed(self, standard: Standard, side: str, who: Claimant) -> Mount:
        """Give a mount of which no more is known than its claim; beside it one with the largest of usual holes."""
        names = {tuple(hole.name for hole in pattern.holes) for pattern in self._skate.patterns}
        pairs = sorted(pair for pair in names if len(pair) == IN_A_PAIR) or [("front", "rear")]
        holes = [(), *(tuple(Hole(name, None, 0, USUAL_HOLE_UM) for name in pair) for pair in pairs)]
        patterns = [Pattern(str(number), standard.key, who, holes=each) for number, each in enumerate(holes)]
        return Mount(self._skate.position, side, tuple(patterns))

    def reaches(self) -> Iterator[Reach]:
        """Yield where a part's figures must lie, for each dimension that the answering family declares a reach of."""
        family = self._family()
        for dimension in family.dimensions.values() if family else ():
            if family is not None and self._decides(dimension, family):
                placed = dimension.name in spacings_at((family,))
                found = [*self._as_it_is(dimension, placed), *self._by_way(dimension)]
                ranges = [each for each in found if each is not None]
                if len(ranges) == len(found):
                    names = (dimension.name, PLACED) if placed else (dimension.name,)
                    yield Reach(names, _joined(ranges, self._setting_um))

    def _family(self) -> Family | None:
        """Give the family that answers while nothing is known of the part; None where the patterns differ in it."""
        leading = [beliefs.leading.standard or self._standards[0] for _, beliefs in self._believed]
        family = leading[0].family
        return family if all(standard.family is family for standard in leading) else None

    def _decides(self, dimension: Dimension, family: Family) -> bool:
        """Tell whether a figure decides, whatever else a part may be: no other family's mounts have such a figure."""
        others = [standard for standard in self._standards if standard.family is not family]
        if dimension.reach is None or self._skate.side not in dimension.sides:
            return False
        return all(dimension.name in standard.without for standard in others) and all(
            # What can be set on a part is set by the skate's nominal figure, and stays open without one.
            len(pattern.holes) in (0, IN_A_PAIR) and nominal_of(pattern, dimension.name, self._registry) is not None
            for pattern in self._skate.patterns
        )

    def _as_it_is(self, dimension: Dimension, placed: bool) -> Iterator[Range | None]:
        """Yield the skate's own figure with its reach, under each belief that counts; None where one has no figure."""
        for pattern, beliefs in self._believed:
            more = (dimension.reach or 0) + (play_um(pattern.holes) if placed else 0)
            for belief in _likeliest(beliefs, self._bench.estimates.does_not_fit / 2):
                found = _figure(belief, dimension.name, placed)
                yield None if found is None else (found[0] - more, found[1] + more)

    def _by_way(self, dimension: Dimension) -> Iterator[Range | None]:
        """Yield the figure of what a conversion makes the skate take; None where its standard says none."""
        for conversion in self._registry.conversions:
            target = self._registry.standards.get(conversion.to_standard)
            if target in self._standards and self._may_be(conversion.from_standard):
                nominal = target.nominals.get(dimension.name)
                yield None if nominal is None else _around(nominal.conforming)

    def _may_be(self, key: str) -> bool:
        """Tell whether some pattern follows a standard likely enough for a conversion from it."""
        each = (belief for _, beliefs in self._believed for belief in beliefs.each)
        return any(belief.key == key and belief.weight >= _HALF for belief in each)

    @property
    def _setting_um(self) -> float:
        """Give how far a part that can be set may stand from where its scale says."""
        return SPREADS * rectangular(self._bench.estimates.setting_half_width_um)


def _has_reach(family: Family) -> bool:
    return any(dimension.reach is not None for dimension in family.dimensions.values())


def _likeliest(beliefs: Beliefs, rest: float) -> Iterator[Belief]:
    """Yield the likeliest beliefs, until all others together weigh no more than a rest."""
    left = 1.0
    for belief in beliefs.each:
        if left <= rest:
            return
        yield belief
        left -= belief.weight


def _figure(belief: Belief, dimension: str, placed: bool) -> Range | None:
    """Give between which ends a figure lies: by the holes' places where they have them, else as it is believed."""
    found = placed_apart(belief.side.holes) if placed else None
    figure = belief.side.figures.get(dimension)
    return found or (None if figure is None else _around(figure))


def _around(figure: Estimate) -> Range:
    return ends(figure.value, figure.value, figure.standard_uncertainty)


def _joined(ranges: Iterable[Range], more: float) -> tuple[tuple[int, int], ...]:
    """Give ranges, widened to either side, those that touch made one, in order."""
    found: list[tuple[int, int]] = []
    for low, high in sorted((math.floor(low - more), math.ceil(high + more)) for low, high in ranges):
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(high, found[-1][1])
        else:
            found.append((low, high))
    return tuple(found)
