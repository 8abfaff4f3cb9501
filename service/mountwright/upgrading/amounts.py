"""How many pieces of a kind a pair of skates takes, in how many packs, and for how many wheels that is enough."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot, Owned, Version
from mountwright.checkout.counts import counts_of, wheels_on_a_skate
from mountwright.checkout.set_up import set_up
from mountwright.mounts.mount import Part

#: Kinds that the basket's rules do not count by themselves: a brake stands on one skate, and two bolts hold each frame
#: or cuff (common practice); of the others one goes on either skate.
_UNCOUNTED = {"brake": 1, "bolt": 4}

_EITHER_SKATE = 2


class Amount(NamedTuple):
    """So much of an article is bought.

    Parameters
    ----------
    packs : int
        The fewest that hold what a pair takes.
    pieces : int
        In these.
    spare : int
        Pieces that go on neither skate.
    """

    packs: int
    pieces: int
    spare: int


@lru_cache(maxsize=256)
def pieces_for_pair(kind: str, wheels: int) -> int:
    """Give how many pieces of a kind a pair of skates takes that has so many wheels on each."""
    frame = Article("frame", Part("frame", ()), specs={"wheel_count": wheels})
    one = Article(kind, Part(kind, ()), specs=frame.specs if kind == "frame" else {})
    lots = [Lot(each.kind, each) for each in ({frame.kind: frame} | {kind: one}).values()]
    skate = Version(Article("skate", Part("", ())))
    counts = {count.kind: count.wanted for count in counts_of(set_up(skate, frozenset(), lots), (), Counts.PAIR)}
    return counts.get(kind) or _UNCOUNTED.get(kind, _EITHER_SKATE)


@lru_cache(maxsize=64)
def goes_by_wheel(kind: str) -> bool:
    """Tell whether a skate with more wheels takes more of a kind."""
    return pieces_for_pair(kind, 1) != pieces_for_pair(kind, 2)


def amount(article: Article, wheels: int) -> Amount | None:
    """Give what is bought for a pair with so many wheels on each skate, None where nobody said what a pack holds."""
    per_pack = article.pieces_per_pack
    if per_pack is None:
        return None
    wanted = pieces_for_pair(article.kind, wheels)
    packs = -(-wanted // per_pack)
    return Amount(packs, packs * per_pack, packs * per_pack - wanted)


def wheels_of_frame(frame: Article) -> int | None:
    """Give how many wheels a frame holds, None where nobody said."""
    counted = frame.specs.get("wheel_count") or len(frame.specs.get("axle_places", ()))
    return int(counted) or None


def standing_wheels(owned: Owned) -> int | None:
    """Give how many wheels each skate has as it is, None where nobody knows or its versions differ."""
    found = {wheels_on_a_skate(set_up(version, owned.measured, ())) for version in owned.versions}
    return found.pop() if len(found) == 1 else None


def enough_for(owned: Owned, kind: str) -> int | None:
    """Give for how many wheels on each skate what stands of a kind is enough, None where nobody told of any.

    Parts that stand there and were not counted are taken to be enough for the wheels that the skate has.

    Parameters
    ----------
    owned : Owned
        Of several versions the one with the fewest counts.
    kind : str
        One that goes by the wheel.
    """
    each = [_enough_on(version, owned, kind) for version in owned.versions]
    return _least(each)


def _enough_on(version: Version, owned: Owned, kind: str) -> int | None:
    pieces = [fitted.pieces for fitted in version.fitted if fitted.article.kind == kind]
    known = [count for count in pieces if count is not None]
    if pieces and len(known) == len(pieces):
        return sum(known) // pieces_for_pair(kind, 1)
    is_told = pieces or any(mount.side == kind for mount in version.skate.part.mounts)
    return wheels_on_a_skate(set_up(version, owned.measured, ())) if is_told else None


def _least(counts: Iterable[int | None]) -> int | None:
    found = list(counts)
    known = [count for count in found if count is not None]
    return min(known) if len(known) == len(found) else None
