"""What of a set-up no mount tells: sizes, the wheels' room, the brake, the insole, the lace."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Counts, Lot, Owned, Status
from mountwright.checkout.brakes import brake_findings, staying_brake_findings
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.insoles import insole_findings
from mountwright.checkout.laces import lace_findings
from mountwright.checkout.set_up import SetUp
from mountwright.checkout.sizes import Wearer, size_findings
from mountwright.checkout.wheels import staying_wheel_findings, wheel_findings
from mountwright.mounts.mount import Part

#: What tells enough of a kind, by what its code begins with; whatever else has no mount may or may not go on.
_ENOUGH = {"liner": "cart.size_", "insole": "cart.size_", "lace": "cart.lace_", "brake": "cart.brake_"}

# A shop's parts come in the same sizes and stand beside each other in the same ways all day. What is given again is the
# same object, so that what is said of it is known, too.
_sizes = lru_cache(4096)(size_findings)
_rooms = lru_cache(4096)(wheel_findings)
_laces = lru_cache(1024)(lace_findings)
_insoles = lru_cache(4096)(insole_findings)
_brakes = lru_cache(1024)(brake_findings)

#: Work on these undoes the axles.
_UNDO_AXLES = frozenset(("frame", "wheel", "bearing", "spacer", "axle"))


def rule_findings(applied: SetUp, owned: Owned, counts: Counts) -> Iterator[tuple[Lot, Finding]]:
    """Give what the rules beside the joints say of each lot of a set-up.

    Parameters
    ----------
    applied : SetUp
    owned : Owned
    counts : Counts
        What the pieces in the basket are for.
    """
    wearer = _wearer(applied, owned)
    for lot in applied.new:
        found = (
            *_sizes(lot.article, wearer),
            *_by_kind(lot.article, applied),
            *_self_locking(lot.article, applied),
        )
        yield from ((lot, finding) for finding in found)
    yield from _wheel_room(applied, owned, counts)
    yield from _staying_brakes(applied)


def says_enough(article: Article, found: Sequence[Finding]) -> bool:
    """Tell whether what was found of an article without a joint tells whether it goes on."""
    telling = _ENOUGH.get(article.kind)
    return any(
        finding.decision is Decision.STOP or (telling is not None and finding.code.startswith(telling))
        for finding in found
    )


def whole_skate_findings(lot: Lot, version: Article, owned: Owned) -> Iterator[Finding]:
    """Give whether a skate in the basket is of a size for the feet, where these are known."""
    if lot.status is Status.WHOLE_SKATE and owned.foot_lengths_um is not None:
        yield from size_findings(lot.article, Wearer(None, owned.foot_lengths_um, version.sizes))


def _wearer(applied: SetUp, owned: Owned) -> Wearer:
    return Wearer(owned.eu_size, owned.foot_lengths_um, applied.skate.sizes)


def _by_kind(article: Article, applied: SetUp) -> tuple[Finding, ...]:
    match article.kind:
        case "insole":
            new = tuple([lot.article for lot in applied.lots("liner")])
            return _insoles(article, applied.skate, new, _staying("liner", applied))
        case "lace":
            laces = tuple([each.article for each in applied.version.fitted if each.article.kind == "lace"])
            return _laces(article, applied.skate, laces)
        case "brake":
            return _brakes(article, applied.articles("frame"), applied.articles("wheel"))
        case _:
            return ()


def _staying(kind: str, applied: SetUp) -> tuple[Article, ...]:
    return tuple([fitted.article for fitted in applied.stays(kind)])


def _wheel_room(applied: SetUp, owned: Owned, counts: Counts) -> Iterator[tuple[Lot, Finding]]:
    """Give what room the wheels of the finished skate have: of new wheels, and of those that stay for a new frame."""
    bought, frames = applied.lots("wheel"), applied.lots("frame")
    if not bought and not frames:
        return
    stay = applied.stays("wheel")
    wheels = [(_stand_in(lot.article), _on_a_pair(lot.pieces, counts)) for lot in bought]
    wheels += [(_stand_in(fitted.article), fitted.pieces) for fitted in stay]
    frame = next(iter(applied.articles("frame")), None)
    stood = () if frames else tuple([each.article for each in applied.version.fitted if each.article.kind == "wheel"])
    found = _rooms(_together(wheels), frame, applied.skate, owned.eu_size, applied.lifting(), stood)
    for lot in bought:
        yield from ((lot, finding) for finding in found[_stand_in(lot.article)])
    staying = {fitted.article: found[_stand_in(fitted.article)] for fitted in stay}
    for lot in frames:
        yield from ((lot, finding) for finding in staying_wheel_findings(lot.article, staying))


def _stand_in(wheel: Article) -> Article:
    """Give what stands for all wheels of one diameter: they have the same room."""
    return _wheel(wheel.specs.get("diameter_mm"))


@lru_cache(1024)
def _wheel(diameter_mm: float | None) -> Article:
    return Article("wheel", Part("wheel", ()), specs={} if diameter_mm is None else {"diameter_mm": diameter_mm})


def _together(wheels: Sequence[tuple[Article, int | None]]) -> tuple[tuple[Article, int | None], ...]:
    """Give the wheels of each diameter once, with all of their pieces; None where those of some are not known."""
    found: dict[Article, int | None] = {}
    for wheel, pieces in wheels:
        known = found.get(wheel, 0)
        found[wheel] = None if known is None or pieces is None else known + pieces
    return tuple(found.items())


def _on_a_pair(pieces: int | None, counts: Counts) -> int | None:
    if counts is Counts.SPARES or pieces is None:
        return None
    return 2 * pieces if counts is Counts.ONE_SKATE else pieces


def _staying_brakes(applied: SetUp) -> Iterator[tuple[Lot, Finding]]:
    """Give what new frames, or else new wheels, mean for the brake that stays."""
    lots = applied.lots("frame") or applied.lots("wheel")
    for brake in _staying("brake", applied) if lots else ():
        found = staying_brake_findings(brake, applied.articles("frame"), applied.articles("wheel"))
        yield from ((lot, finding) for lot in lots for finding in found)


def _self_locking(article: Article, applied: SetUp) -> Iterator[Finding]:
    """Say that nuts which lock themselves are replaced once undone (EN 13843 has the user told so)."""
    stay = _staying("axle", applied)
    if article.kind in _UNDO_AXLES and any(axle.specs.get("self_locking") for axle in stay):
        yield Finding(Decision.CLEAR, "cart.self_locking", {"kind": article.kind}, cautions=("caution.self_locking",))
