"""Whether a basket holds enough for a pair: a skate is one of two, and packs are counted by the piece.

How many of a kind a skate takes is common practice: one frame, two bearings a wheel, an axle and a spacer each, a plate
under the boot or a sleeve in each bearing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.meetings import Meeting, Role
from mountwright.checkout.set_up import SetUp

#: On one skate, whatever wheels it has.
_EACH = {"frame": 1, "liner": 1, "insole": 1, "cuff": 1, "lace": 1, "slider": 1}

#: For each wheel.
_BY_WHEEL = {"wheel": 1, "bearing": 2, "axle": 1, "spacer": 1}


class Fill(NamedTuple):
    """What fills a gap: an article of the basket, and how many packs more."""

    article: Article
    packs: int


class Count(NamedTuple):
    """How many pieces of a kind are wanted, and how many there are.

    Parameters
    ----------
    kind : str
    wanted : int
    in_basket : int or None
        None where a pack does not say what it holds.
    staying : int
        On the skates, and not replaced.
    fills : tuple of Fill
    """

    kind: str
    wanted: int
    in_basket: int | None
    staying: int
    fills: tuple[Fill, ...]

    @property
    def surplus(self) -> int:
        """Give how many there are beyond what is wanted, below 0 where some are missing; 0 where nobody knows."""
        return 0 if self.in_basket is None else self.in_basket + self.staying - self.wanted

    @property
    def missing(self) -> int:
        """Give how many are missing."""
        return max(0, -self.surplus)

    @property
    def too_many(self) -> int:
        """Give how many there are too many, none of them on the skates."""
        return max(0, min(self.surplus, self.in_basket or 0))


def counts_of(set_up: SetUp, meetings: Sequence[Meeting], counts: Counts) -> tuple[Count, ...]:
    """Give the counts of every kind in the basket that a skate takes a known number of, in order of kind."""
    if counts is Counts.SPARES:
        return ()
    skates = 2 if counts is Counts.PAIR else 1
    wanted = _wanted(set_up, meetings)
    return tuple([_count(kind, skates * wanted[kind], set_up, skates) for kind in sorted(wanted) if wanted[kind]])


def count_findings(count: Count) -> Iterator[Finding]:
    """Give what a count means for the lines of its kind."""
    params: dict[str, str | float] = {"kind": count.kind, "wanted": count.wanted}
    if count.in_basket is None:
        yield Finding(Decision.CONFIRM, "cart.pack_size_unknown", params, unknown=True)
        return
    params |= {"in_basket": count.in_basket, "staying": count.staying}
    if count.missing:
        yield Finding(Decision.CONFIRM, "cart.too_few", {**params, "missing": count.missing})
    elif count.too_many:
        yield Finding(Decision.CLEAR, "cart.too_many", {**params, "too_many": count.too_many})


def wheels_on_a_skate(set_up: SetUp) -> int | None:
    """Give how many wheels the finished skate has, None where nobody knows."""
    for frame in set_up.articles("frame"):
        counted = frame.specs.get("wheel_count") or len(frame.specs.get("axle_places", ()))
        if counted:
            return int(counted)
    if set_up.lots("frame"):
        return None
    standing = [fitted.pieces for fitted in set_up.version.fitted if fitted.article.kind == "wheel"]
    pieces = sum(count for count in standing if count is not None)
    return pieces // 2 if pieces and None not in standing else None


def _wanted(set_up: SetUp, meetings: Sequence[Meeting]) -> Mapping[str, int]:
    """Give how many pieces of each kind in the basket one skate takes, nought where nobody knows."""
    kinds = {lot.article.kind for lot in set_up.new}
    wheels = wheels_on_a_skate(set_up) or 0
    found = {kind: count for kind, count in _EACH.items() if kind in kinds}
    found |= {kind: each * wheels for kind, each in _BY_WHEEL.items() if kind in kinds}
    if "adapter" in kinds:
        found["adapter"] = _adapters(set_up, wheels)
    if "bolt" in kinds:
        found["bolt"] = _bolts(set_up, meetings)
    return found


def _adapters(set_up: SetUp, wheels: int) -> int:
    """Give how many adapters one skate takes: a plate under the boot, or a sleeve in each bearing; nought of both."""
    plates = set(set_up.lifting())
    are_plates = {lot.article in plates for lot in set_up.lots("adapter")}
    return (1 if True in are_plates else 2 * wheels) if len(are_plates) == 1 else 0


def _bolts(set_up: SetUp, meetings: Sequence[Meeting]) -> int:
    """Give how many bolts hold what they were found to hold: as many as it has holes."""
    positions = {each.joint.position for each in meetings if each.role is Role.LENDS and each.article.kind == "bolt"}
    holes = [len(piece.mount.patterns[0].holes) for piece in set_up.pieces if piece.mount.position in positions]
    return max(holes, default=0)


def _count(kind: str, wanted: int, set_up: SetUp, skates: int) -> Count:
    lots = set_up.lots(kind)
    pieces = [lot.pieces for lot in lots]
    known = [count for count in pieces if count is not None]
    in_basket = sum(known) if len(known) == len(pieces) else None
    on_both = sum(fitted.pieces or 0 for fitted in set_up.stays(kind) if kind in _BY_WHEEL)
    staying = on_both * skates // 2
    missing = 0 if in_basket is None else max(0, wanted - in_basket - staying)
    return Count(kind, wanted, in_basket, staying, _fills(lots, missing))


def _fills(lots: Sequence[Lot], missing: int) -> tuple[Fill, ...]:
    """Give what would fill a gap: each article of the basket by itself, the fewest pieces too many first."""
    named = [lot.article for lot in lots if lot.article.sku and lot.article.pieces_per_pack]
    fills = [Fill(each, -(-missing // (each.pieces_per_pack or 1))) for each in named] if missing else []
    return tuple(sorted(fills, key=lambda fill: (fill.packs * (fill.article.pieces_per_pack or 1), fill.article.sku)))
