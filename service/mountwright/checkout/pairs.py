"""Whether what goes on the two skates of a pair matches: left and right, colours, sizes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterator, Sequence

from mountwright.checkout.article import Article, Hand
from mountwright.checkout.basket import Lot
from mountwright.checkout.finding import Decision, Finding

#: Figures by which two pieces of one kind are of one size.
_SIZES = ("diameter_mm", "length_mm", "height_mm", "thickness_mm", "wheel_count")

#: What is seen on both skates; nobody minds the colour of a bolt, and a brake stands on one.
_SEEN = frozenset(("frame", "wheel", "liner", "cuff", "lace", "buckle", "strap", "side_guard", "slider"))

#: What one skate may have by itself.
_BY_ITSELF = frozenset(("brake", "bolt", "adapter", "other", "spacer", "bearing", "axle"))

_Trait = Callable[[Article], Hashable]


def pair_findings(kind: str, lots: Sequence[Lot]) -> Iterator[tuple[Lot, Finding]]:
    """Give the lots of a kind that leave the two skates of a pair unlike, each with what does not match.

    Parameters
    ----------
    kind : str
    lots : sequence of Lot
        All of that kind for one pair.
    """
    for group in _groups(lots):
        if code := _unlike(kind, group):
            params = {"kind": kind, **_hands(group)}
            for lot in group:
                yield lot, Finding(Decision.CONFIRM, code, params)


def _unlike(kind: str, lots: Sequence[Lot]) -> str:
    if _is_even(lots) or any(lot.pieces is None for lot in lots):
        return ""
    if any(lot.article.hand for lot in lots) and not _match(lots, lambda _: ""):
        return "cart.hands_unmatched"
    if kind in _BY_ITSELF:
        return ""
    if not _match(lots, _size):
        return "cart.frames_differ" if kind == "frame" else "cart.sizes_unmatched"
    if kind in _SEEN and not _match(lots, _colour):
        return "cart.colours_unmatched"
    return "cart.frames_differ" if kind == "frame" and len(lots) > len({lot.article.hand for lot in lots}) else ""


def _is_even(lots: Sequence[Lot]) -> bool:
    """Tell whether there is but one article and as many of it for either skate."""
    return len(lots) == 1 and lots[0].article.hand is None and (lots[0].pieces or 0) % 2 == 0


def _match(lots: Sequence[Lot], trait: _Trait) -> bool:
    """Tell whether both skates can get the same pieces as far as a trait goes."""
    left, right, either = Counter[Hashable](), Counter[Hashable](), Counter[Hashable]()
    for lot in lots:
        by_hand = {Hand.LEFT: left, Hand.RIGHT: right, None: either}[lot.article.hand]
        by_hand[trait(lot.article)] += lot.pieces or 0
    if left or right:
        return left == right
    # One piece alone is missing its other, which the count says.
    return either.total() < 2 or all(count % 2 == 0 for count in either.values())


def _size(article: Article) -> Hashable:
    return (article.sizes, *(article.specs.get(name) for name in _SIZES))


def _colour(article: Article) -> Hashable:
    return article.colour.casefold() or article.colour_srgb


def _groups(lots: Sequence[Lot]) -> list[list[Lot]]:
    """Give the lots that belong together: those that go to the same place of a skate."""
    found: dict[Hashable, list[Lot]] = {}
    for lot in lots:
        found.setdefault(_place(lot.article), []).append(lot)
    return list(found.values())


def _place(article: Article) -> Hashable:
    hand = article.hand.value if article.hand else ""
    return frozenset(
        (mount.position, tuple(sorted(pair for pair in pattern.seen.items() if pair[1] != hand)))
        for mount in article.part.mounts
        for pattern in mount.patterns
    )


def _hands(lots: Sequence[Lot]) -> dict[str, str | float]:
    counted = {hand: sum(lot.pieces or 0 for lot in lots if lot.article.hand is hand) for hand in Hand}
    return {hand.value: count for hand, count in counted.items()}
