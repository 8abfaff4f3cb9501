"""On which other kinds of parts a finding about a new part hangs, so that it falls once one of these is changed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from mountwright.checkout.article import Article
from mountwright.checkout.finding import Finding
from mountwright.checkout.judging import Judgement
from mountwright.mounts.registry import Registry
from mountwright.upgrading.interfaces import linked

#: What is compared with a part of another kind even where the finding names the skate, or nothing at all.
_BY_CHECK: Mapping[tuple[str, str], str] = MappingProxyType(
    {
        ("wheel", "largest_wheel"): "frame",
        ("wheel", "wheel_gap"): "frame",
        ("wheel", "sole_gap"): "frame",  # where a wheel stands under the sole is the frame's
        ("brake", "takes_brake"): "frame",
        ("brake", "brake_wheel_range"): "wheel",
        ("insole", "insole_room"): "liner",
    }
)

#: Findings that a joint is the reason of.
_OF_JOINTS = frozenset(("cart.cannot_tell", "cart.does_not_fit", "cart.needs_adapter", "cart.needs_bench_work"))


def hangs_on(finding: Finding, article: Article, found: Judgement, registry: Registry) -> frozenset[str]:
    """Give the kinds that a finding hangs on, of those that the article's is linked with.

    Parameters
    ----------
    finding : Finding
        About the article.
    article : Article
    found : Judgement
        In which the finding is.
    registry : Registry

    Returns
    -------
    frozenset of str
        Empty for what no other linked part changes: the skate itself is the reason, or the article.
    """
    by_check = _BY_CHECK.get((article.kind, finding.check.code)) if finding.check else None
    if by_check is not None:
        return frozenset((by_check,))
    kinds = {each.kind for each in finding.against}
    if finding.code == "cart.no_mounts":
        kinds |= set(_counterparts(article, registry))
    elif finding.code in _OF_JOINTS and (not finding.against or found.applied.skate in finding.against):
        kinds |= set(_sides(finding, article, found, registry))
    return frozenset(kinds) & frozenset(linked(article.kind))


def _counterparts(article: Article, registry: Registry) -> Iterator[str]:
    """Give the sides that the article's mounts would meet if there were anything."""
    for mount in article.part.mounts:
        for family in registry.families_at(mount.position):
            yield from (side for side in family.sides if side != mount.side)


def _sides(finding: Finding, article: Article, found: Judgement, registry: Registry) -> Iterator[str]:
    """Give what stands on the other side of the joints that a finding is about, where no article there is known.

    A skate that is told by its mounts has those of its parts, too, and each such side is called after a kind.
    """
    skate = found.applied.skate
    others = (skate,) if finding.against else (None,)
    positions = {each.joint.position for each in found.meetings if each.article is article and each.other in others}
    if finding.check and finding.check.position in positions:
        positions = {finding.check.position}
    if finding.against:
        pieces = [piece.mount for piece in found.applied.pieces if piece.article is skate]
        yield from (mount.side for mount in pieces if mount.position in positions)
    else:
        yield from (family.sides[0] for position in positions for family in registry.families_at(position))
