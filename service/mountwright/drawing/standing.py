"""From what is worked out about a wheel line to what is drawn of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from mountwright.drawing.scene import Against, Clash, DrawnDeck, DrawnWheel, WheelLineScene
from mountwright.riding.line import Load, Skate
from mountwright.riding.obstacles import TO_BLOCK, TO_FRAME, TO_SOLE, TO_TIP, TO_WHEEL
from mountwright.riding.room import Clearance
from mountwright.riding.stands import Stand, circles, depths_at_mm
from mountwright.riding.wheel_line import WheelLine

#: Where nobody knows the bolts, the boot is drawn to stand over so much of the wheels, either way.
_BOLTS_SHARE = 0.25
#: A skate on wheels of all sizes may lean by more, and is then drawn as far.
_STEEPEST_DEG = 30.0
_AGAINST: Mapping[str, Against] = MappingProxyType(
    {
        TO_WHEEL: Against.WHEEL,
        TO_FRAME: Against.FRAME,
        TO_TIP: Against.BOLT,
        TO_BLOCK: Against.BLOCK,
        TO_SOLE: Against.SOLE,
    }
)


def standing_scene(
    skate: Skate,
    load: Load,
    found: WheelLine,
    *,
    conflicts: Sequence[Clearance] = (),
    name: str = "",
    notes: Sequence[str] = (),
) -> WheelLineScene:
    """Give the picture's figures for a skate under its load; where it tips, for the stand that it tips over.

    A wheel that touches only since the tyres give has no gap in the picture, and one that carries next to nothing
    carries nothing. Places along stay those of the skate: it
    leans by so little that the ground has the same.

    Parameters
    ----------
    skate : Skate
    load : Load
    found : WheelLine
        Of this skate and this load.
    conflicts : sequence of Clearance
        The gaps that are not kept, which are drawn as they are at most.
    name : str
    notes : sequence of str
        Sentences to stand under the picture.
    """
    stand = _stand(skate, found)
    along = circles(skate.line).along_mm.tolist()
    return WheelLineScene(
        wheels=_wheels(skate, found, stand),
        deck=_deck(skate, stand),
        load_along_mm=found.load_along_mm,
        load_n=load.newtons,
        effective_mm=(along[stand.touching[0]], along[stand.touching[-1]]),
        rocker_mm=found.rocker_mm if len(along) > 2 else None,
        rocker_radius_mm=found.rocker_radius_mm,
        clashes=tuple(clash for each in conflicts for clash in _clash(each)),
        name=name,
        notes=tuple(notes),
    )


def _stand(skate: Skate, found: WheelLine) -> Stand:
    """Give the stand that the load holds, or the last one before it tips."""
    if found.under_load is not None:
        return found.under_load.stand
    return found.stands[-1] if _tips_forward(skate, found) else found.stands[0]


def _tips_forward(skate: Skate, found: WheelLine) -> bool:
    """Tell whether a load that tips the skate stands ahead of all wheels that can touch."""
    axles = skate.line.axles
    furthest = max(axles[index].along_mm for stand in found.stands for index in stand.touching)
    return found.load_along_mm >= furthest


def _clash(clearance: Clearance) -> tuple[Clash, ...]:
    """Give a gap that is not kept, nothing where nobody knows it."""
    wheel, gap_mm = clearance.wheel, clearance.gap_at_most_mm
    if wheel is None or gap_mm is None:
        return ()
    against = _AGAINST[clearance.code]
    return (Clash(against, wheel, gap_mm, clearance.other if against is Against.WHEEL else None),)


def _wheels(skate: Skate, found: WheelLine, stand: Stand) -> tuple[DrawnWheel, ...]:
    along, _, diameters = (each.tolist() for each in circles(skate.line))
    if found.under_load is None:
        return tuple(map(DrawnWheel, along, diameters, stand.gaps_mm))
    return tuple(
        DrawnWheel(at, diameter, 0.0 if wheel.touches else wheel.gap_mm, wheel.load_n if wheel.touches else 0.0)
        for at, diameter, wheel in zip(along, diameters, found.under_load.wheels, strict=True)
    )


def _deck(skate: Skate, stand: Stand) -> DrawnDeck:
    """Give what stands above the wheels, the outline lifted by the front block as nobody knows which it holds."""
    front, rear = _bolts_mm(skate)
    sole, deck = skate.sole, skate.deck
    lift = sole.front_block_depth_mm or 0.0
    return DrawnDeck(
        height_mm=float(depths_at_mm(circles(skate.line), stand.tilt_deg).max()),
        front_along_mm=front,
        rear_along_mm=rear,
        heel_step_mm=deck.heel_step_mm or 0.0,
        front_block_mm=lift,
        rear_block_mm=sole.rear_block_depth_mm or 0.0,
        sole=tuple((place.along_um / 1000, place.down_um / 1000 - lift) for place in sole.outline),
        pitch_deg=max(-_STEEPEST_DEG, min(_STEEPEST_DEG, -stand.tilt_deg)),
    )


def _bolts_mm(skate: Skate) -> tuple[float, float]:
    front, rear = skate.deck.front_bolt_along_mm, skate.deck.rear_bolt_along_mm
    if front is not None and rear is not None and front > rear:
        return front, rear
    along, _, diameters = circles(skate.line)
    middle, span = float(along[0] + along[-1]) / 2, float(along[0] - along[-1] + diameters.max())
    return middle + _BOLTS_SHARE * span, middle - _BOLTS_SHARE * span
