"""Lays what was measured on a piece in hand over what the catalogue has of it; where the two differ is kept as such."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from mountwright.errors import InvalidMountError
from mountwright.measure.quantity import Adjustable, Estimate, Quantity
from mountwright.measure.updating import is_contradicted, squared_distance, updated
from mountwright.mounts.mount import Claimant, Dispute, Mount, Part, Pattern
from mountwright.mounts.registry import Registry

Figure = Quantity | Adjustable

#: What a dispute over the claim, and one over the drawing, is called.
STANDARD, DRAWING = "standard", "drawing_id"

_TRUSTED_FIRST = tuple(Claimant)


def merged_part(catalogued: Part, found: Iterable[Mount], registry: Registry) -> Part:
    """Give a part of the catalogue as the one in hand is: its mounts updated, new ones added.

    Parameters
    ----------
    catalogued : Part
    found : iterable of Mount
        As measured, each with its side settled; matched by position and side.
    registry : Registry
    """
    places = {(mount.position, mount.side): mount for mount in catalogued.mounts}
    for mount in found:
        place = mount.position, mount.side
        known = places.get(place)
        places[place] = mount if known is None else measured_onto(known, mount, registry)
    return Part(catalogued.kind, tuple(places.values()), catalogued.name)


def measured_onto(catalogued: Mount, found: Mount, registry: Registry) -> Mount:
    """Give a mount of the catalogue with what was found on the piece in hand.

    Alternatives are matched by name, and new names added. A single one without a name speaks of every
    alternative that it agrees with; where it agrees with none, of all.

    Parameters
    ----------
    catalogued, found : Mount
        At the same position, of the same side.
    registry : Registry
        Tells what an alternative would read that is only claimed to follow a standard.

    Raises
    ------
    InvalidMountError
        For mounts of two places.
    """
    if (catalogued.position, catalogued.side) != (found.position, found.side):
        expected = f"{catalogued.position!r}, {catalogued.side!r}"
        raise InvalidMountError("mount in hand", f"found at {found.position!r}, {found.side!r}", expected)
    first, *more = found.patterns
    if first.name or more:
        return _by_name(catalogued, found)
    agreeing = [known for known in catalogued.patterns if _agree(known, first, catalogued.side, registry)]
    meant = agreeing or catalogued.patterns
    return replace(
        catalogued,
        patterns=tuple(_merged(known, first) if known in meant else known for known in catalogued.patterns),
    )


def _by_name(catalogued: Mount, found: Mount) -> Mount:
    patterns = {pattern.name: pattern for pattern in catalogued.patterns}
    for pattern in found.patterns:
        known = patterns.get(pattern.name)
        patterns[pattern.name] = pattern if known is None else _merged(known, pattern)
    return replace(catalogued, patterns=tuple(patterns.values()))


def _agree(known: Pattern, found: Pattern, side: str, registry: Registry) -> bool:
    """Tell whether what was found may be of this alternative, by its entry or by the standard that it is claimed to."""
    if known.standard and found.standard and known.standard != found.standard:
        return False
    if any(known.seen.get(feature, answer) != answer for feature, answer in found.seen.items()):
        return False
    return all(
        _meets(known.figures.get(name, _expected(known, name, side, registry)), figure)
        for name, figure in found.figures.items()
    )


def _expected(known: Pattern, dimension: str, side: str, registry: Registry) -> Estimate | None:
    """Give what a side reads that follows the claimed standard; None where nobody says."""
    standard = registry.standards.get(known.standard or "")
    if standard is None or dimension not in standard.nominals:
        return None
    return standard.nominals[dimension].met if side in standard.family.dimensions[dimension].sides else None


def _meets(known: Figure | Estimate | None, found: Figure) -> bool:
    """Tell whether a figure is explained by what was known; a range that can be set explains what lies within."""
    if known is None or isinstance(found, Adjustable):
        return True
    if isinstance(known, Adjustable):
        known = Estimate(min(max(found.value, known.low), known.high), 0)
    elif isinstance(known, Quantity):
        known = _estimate(known)
    return not is_contradicted(squared_distance(known, _estimate(found)), 1)


def _estimate(figure: Quantity) -> Estimate:
    return Estimate(figure.value, figure.standard_uncertainty)


def _merged(known: Pattern, found: Pattern) -> Pattern:
    standard, claimed_by = _claim(known, found)
    return replace(
        known,
        standard=standard,
        claimed_by=claimed_by,
        figures={**known.figures, **{name: _figure(known, name, figure) for name, figure in found.figures.items()}},
        seen={**known.seen, **found.seen},
        holes=found.holes or known.holes,
        drawing_id=found.drawing_id or known.drawing_id,
        damage=tuple(dict.fromkeys((*known.damage, *found.damage))),
        disputes=tuple(dict.fromkeys((*known.disputes, *found.disputes, *_disputes(known, found)))),
    )


def _claim(known: Pattern, found: Pattern) -> tuple[str | None, Claimant | None]:
    """Give the claim that stands: the one found; of two for the same standard, that of whom is trusted more."""
    if found.claimed_by is None or known.claimed_by is None or found.standard != known.standard:
        return (known if found.claimed_by is None else found).standard, found.claimed_by or known.claimed_by
    return known.standard, min(known.claimed_by, found.claimed_by, key=_TRUSTED_FIRST.index)


def _figure(known: Pattern, name: str, found: Figure) -> Figure:
    """Give the figure that stands: both together where they agree, else the one found.

    A drawing that a reading agrees with stays as it is, and so does a range that holds the reading: that a plate
    was measured where it stands now does not take its range away.
    """
    entry = known.figures.get(name)
    if entry is None or isinstance(found, Adjustable) or not _meets(entry, found):
        return found
    if isinstance(entry, Adjustable) or entry.standard_uncertainty == 0:
        return entry
    value, uncertainty = updated(_estimate(entry), _estimate(found))
    return Quantity(round(value), min(uncertainty, found.standard_uncertainty), found.instrument)


def _disputes(known: Pattern, found: Pattern) -> Iterator[Dispute]:
    for name, figure in found.figures.items():
        entry = known.figures.get(name)
        if isinstance(figure, Quantity) and entry is not None and not _meets(entry, figure):
            yield Dispute(name, figure.value, _nearest(entry, figure.value))
    if found.standard and known.standard not in (None, found.standard) and found.claimed_by is not Claimant.BENCH:
        yield Dispute(STANDARD, found.standard, str(known.standard))
    yield from _otherwise(known.seen, found.seen)
    if found.drawing_id and known.drawing_id not in (None, found.drawing_id):
        yield Dispute(DRAWING, found.drawing_id, str(known.drawing_id))


def _nearest(entry: Figure, value: int) -> int:
    return entry.value if isinstance(entry, Quantity) else min(max(value, entry.low), entry.high)


def _otherwise(known: Mapping[str, str], found: Mapping[str, str]) -> Iterator[Dispute]:
    for feature, answer in found.items():
        if known.get(feature, answer) != answer:
            yield Dispute(feature, answer, known[feature])
