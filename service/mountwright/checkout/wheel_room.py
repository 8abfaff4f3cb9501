"""What gaps the wheels of a frame may have, whichever of them stands where and however its axles are set."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Any, NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.estimates import checkout_estimates
from mountwright.measure.quantity import thousandths
from mountwright.riding.clearance import Overhang, Place, Wheel, gap_to_outline, gaps_between, overhang


class Span(NamedTuple):
    """What a gap may be, micrometres; ``high_um`` is None where nobody knows how large it may be."""

    low_um: float
    high_um: float | None


class AxlePlace(NamedTuple):
    """Where an axle is, micrometres below the deck, once for each of its settings."""

    along_um: int
    downs_um: tuple[int, ...]

    def wheels(self, diameter_um: int) -> tuple[Wheel, ...]:
        """Give a wheel here, once for each setting."""
        return tuple([Wheel(self.along_um, down, diameter_um) for down in self.downs_um])


class Sole(NamedTuple):
    """A sole from the side, and how far its front block lifts it off the deck, None where nobody gave it."""

    outline: tuple[Place, ...]
    block_depth_um: int | None


@dataclass(frozen=True)
class WheelLine:
    """Axle places from the front, and the diameters that may stand at each.

    Parameters
    ----------
    places : tuple of AxlePlace
    diameters_um : tuple of frozenset of int
        One for each place.
    on_a_skate : Mapping[int, int]
        How many places take a diameter at least.
    """

    places: tuple[AxlePlace, ...]
    diameters_um: tuple[frozenset[int], ...]
    on_a_skate: Mapping[int, int]

    @property
    def is_open(self) -> bool:
        """Tell whether it is open which wheel stands where, or how an axle is set."""
        return any(len(each) > 1 for each in self.diameters_um) or any(len(each.downs_um) > 1 for each in self.places)

    def spots(self, diameter_um: int) -> tuple[int, ...]:
        """Give the places where a diameter may stand."""
        return tuple([index for index, sizes in enumerate(self.diameters_um) if diameter_um in sizes])


def axle_places(frame: Article) -> tuple[AxlePlace, ...]:
    """Give the axle places of a frame from the front; none where nobody gave them."""
    rows: Sequence[Mapping[str, Any]] = frame.specs.get("axle_places", ())
    return tuple(sorted(map(_place, rows), reverse=True))


def _place(row: Mapping[str, Any]) -> AxlePlace:
    down = thousandths(row["down_mm"])
    settings = sorted({thousandths(each) for each in row.get("down_settings_mm", ())}) or [0]
    return AxlePlace(thousandths(row["along_mm"]), tuple([down + each for each in settings]))


def wheel_line(places: Sequence[AxlePlace], pieces: Mapping[int, int]) -> WheelLine:
    """Give the wheels at their places as far as one can tell.

    Wheels of one diameter stand everywhere. Of several, the larger belong where the axles are higher if that puts all
    of them on one plane and leaves no choice; else each may stand anywhere.

    Parameters
    ----------
    places : sequence of AxlePlace
    pieces : Mapping[int, int]
        By diameter in micrometres, how many of them one skate gets.
    """
    settled = _settled(places, pieces)
    if settled:
        counted = {size: settled.count(size) for size in pieces}
        return WheelLine(tuple(places), tuple([frozenset((size,)) for size in settled]), counted)
    anything = frozenset(pieces)
    on_a_skate = {size: min(max(count, 1), len(places)) for size, count in pieces.items()}
    return WheelLine(tuple(places), (anything,) * len(places), on_a_skate)


def _settled(places: Sequence[AxlePlace], pieces: Mapping[int, int]) -> list[int]:
    """Give the diameter of each place where there is no choice, nothing else."""
    if len(pieces) == 1:
        return list(pieces) * len(places)
    is_whole = sum(pieces.values()) == len(places) and all(pieces.values())
    if not is_whole or any(len(place.downs_um) > 1 for place in places):
        return []
    highest_first = sorted(range(len(places)), key=lambda index: places[index].downs_um)
    largest_first = sorted((size for size, count in pieces.items() for _ in range(count)), reverse=True)
    stands = dict(zip(highest_first, largest_first, strict=True))
    bottoms = [places[index].downs_um[0] + size / 2 for index, size in stands.items()]
    by_depth = {(places[index].downs_um, size) for index, size in stands.items()}
    is_level = max(bottoms) - min(bottoms) <= checkout_estimates().level_within_um
    has_choice = len(by_depth) > len({depth for depth, _ in by_depth})
    return [stands[index] for index in range(len(places))] if is_level and not has_choice else []


def soles_worn(skate: Article, eu_size: float | None) -> tuple[Sole, ...]:
    """Give the soles that a size may have: its own, else those of the sizes around it, all where it is not known."""
    rows: Sequence[Mapping[str, Any]] = sorted(skate.specs.get("soles", ()), key=lambda row: float(row["eu_size"]))
    if eu_size is not None:
        below = [row for row in rows if row["eu_size"] <= eu_size][-1:]
        above = [row for row in rows if row["eu_size"] >= eu_size][:1]
        rows = below + [row for row in above if row not in below] if below and above else []
    soles = [_sole(row) for row in rows]
    return tuple(soles) if all(len(sole.outline) > 1 for sole in soles) else ()


def _sole(row: Mapping[str, Any]) -> Sole:
    outline = zip(row.get("outline_along_mm", ()), row.get("outline_down_mm", ()), strict=True)
    depth = row.get("front_block_depth_mm")
    places = tuple([Place(thousandths(along), thousandths(down)) for along, down in outline])
    return Sole(places, None if depth is None else thousandths(depth))


def gaps_to_next(line: WheelLine, diameter_um: int) -> Span | None:
    """Give the least gap that a wheel of a diameter has to the wheels beside it, None where there are none."""
    if len(line.places) < 2:
        return None
    return _over_places([_beside(line, index, diameter_um) for index in line.spots(diameter_um)], line, diameter_um)


def _beside(line: WheelLine, index: int, diameter_um: int) -> Span:
    neighbours = [beside for beside in (index - 1, index + 1) if 0 <= beside < len(line.places)]
    spans = [_to_neighbour(line, index, diameter_um, beside) for beside in neighbours]
    return _narrowest(spans)


def _to_neighbour(line: WheelLine, index: int, diameter_um: int, beside: int) -> Span:
    place, other = line.places[index], line.places[beside]
    return _any_of([_between(place, diameter_um, other, size) for size in line.diameters_um[beside]])


# A shop has a few frames and diameters, which every basket brings again.
@lru_cache(maxsize=4096)
def _between(place: AxlePlace, diameter_um: int, other: AxlePlace, other_diameter_um: int) -> Span:
    gaps = [gaps_between(pair)[0] for pair in product(place.wheels(diameter_um), other.wheels(other_diameter_um))]
    return Span(min(gaps), max(gaps))


def gaps_to_sole(line: WheelLine, diameter_um: int, soles: Sequence[Sole], adapters_um: int | None) -> Span:
    """Give the least gap that a wheel of a diameter has to the sole above it.

    A frame's axles are known from the deck, which touches the blocks. Whether an outline holds the blocks or the bare
    sole cannot be seen from it, so that the low end leaves them out and the high end lifts the sole by them.

    Parameters
    ----------
    line : WheelLine
    diameter_um : int
    soles : sequence of Sole
        One at least.
    adapters_um : int or None
        How far what stands between boot and frame lifts the boot, None where nobody knows.
    """
    return _any_of([_under(line, diameter_um, sole, adapters_um) for sole in soles])


def _under(line: WheelLine, diameter_um: int, sole: Sole, adapters_um: int | None) -> Span:
    bare = _lifted(line, diameter_um, sole, adapters_um or 0)
    if adapters_um is None or sole.block_depth_um is None:
        return Span(bare.low_um, None)
    return Span(bare.low_um, _lifted(line, diameter_um, sole, adapters_um + sole.block_depth_um).high_um)


def _lifted(line: WheelLine, diameter_um: int, sole: Sole, lift_um: int) -> Span:
    """Give the gap to a sole that stands so high above the deck."""
    spans = [_to_outline(line.places[index].wheels(diameter_um), sole, lift_um) for index in line.spots(diameter_um)]
    return _over_places(spans, line, diameter_um)


def _to_outline(standing: Iterable[Wheel], sole: Sole, lift_um: int) -> Span:
    lowered = [Wheel(each.along_um, each.down_um + lift_um, each.diameter_um) for each in standing]
    gaps = [gap_to_outline(wheel, sole.outline) for wheel in lowered]
    return Span(min(gaps), max(gaps))


def line_overhang(line: WheelLine, soles: Sequence[Sole]) -> Overhang | None:
    """Give how far the wheels reach beyond the sole, None unless both wheels and sole are settled."""
    if len(soles) != 1 or line.is_open or not line.places:
        return None
    standing = [place.wheels(min(sizes))[0] for place, sizes in zip(line.places, line.diameters_um, strict=True)]
    return overhang(standing, soles[0].outline)


def _narrowest(spans: Sequence[Span]) -> Span:
    """Give the least of several gaps that are all there."""
    highs = [span.high_um for span in spans if span.high_um is not None]
    return Span(min(span.low_um for span in spans), min(highs, default=None))


def _any_of(spans: Sequence[Span]) -> Span:
    """Give what a gap may be that is one of several."""
    highs = [span.high_um for span in spans if span.high_um is not None]
    return Span(min(span.low_um for span in spans), max(highs) if len(highs) == len(spans) else None)


def _over_places(spans: Sequence[Span], line: WheelLine, diameter_um: int) -> Span:
    """Give the least gap over the places that a diameter takes: at worst any of them, at best the widest."""
    highs = sorted((span.high_um for span in spans if span.high_um is not None), reverse=True)
    return Span(min(span.low_um for span in spans), highs[line.on_a_skate[diameter_um] - 1])
