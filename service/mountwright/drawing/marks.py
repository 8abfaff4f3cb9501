"""What a picture of a wheel line shows without words: wheels, deck, sole, contacts, loads, and what has no room."""

from __future__ import annotations

from collections.abc import Iterable
from math import hypot
from xml.etree.ElementTree import Element

from mountwright.drawing.scene import Clash, DrawnDeck, WheelLineScene
from mountwright.drawing.svg import Point, circle, line, polygon, polyline
from mountwright.drawing.view import Spot, View, axle, blocks, deck_line, deck_top, sole_line

#: Of the bearing and of the axle that nearly every skate has, hub-608 and axle-8.
_BEARING_MM, _AXLE_MM = 22.0, 8.0
#: A hub is no larger than so much of its wheel.
_HUB_SHARE = 0.6
#: Sizes in the picture's own units.
_CONTACT, _BADGE, _CROSS, _ARROW_HEAD, _LEAST_AXLE = 3.2, 7.0, 3.2, 7.0, 1.2
_BELOW_GROUND, _RIM, _CLASHING_RIM = 6.0, 1.8, 2.6
#: How long the arrow of the largest load is.
LONGEST_ARROW = 38.0


def draw_scene(
    parent: Element, scene: WheelLineScene, view: View, gap_factor: float, sides: tuple[float, float]
) -> None:
    """Draw everything that stands on the ground, and the ground between two sides."""
    if scene.deck is not None:
        _draw_frame(parent, scene, scene.deck, view, gap_factor)
    _draw_wheels(parent, scene, view, gap_factor)
    if scene.deck is not None:
        _draw_deck(parent, scene.deck, view)
    line(parent, "ground", Point(sides[0], view.origin.y), Point(sides[1], view.origin.y))
    _draw_contacts(parent, scene, view, gap_factor)
    for clash in scene.clashes:
        _draw_badge(parent, view.at(_clash_spot(scene, clash, gap_factor)))


def draw_load(parent: Element, scene: WheelLineScene, view: View, start_y: float) -> None:
    """Draw the load from above, from ``start_y`` down to the deck, and where it would reach the ground."""
    if scene.load_along_mm is None:
        return
    along = scene.load_along_mm
    highest = max(wheel.diameter_mm for wheel in scene.wheels)
    end = view.at(deck_top(scene.deck, along) if scene.deck is not None else Spot(along, highest))
    ground = view.at(Spot(along, 0))
    line(parent, "plumb", end, ground, 1.2)
    _draw_arrow(parent, Point(end.x, start_y), end)


def draw_loads(parent: Element, scene: WheelLineScene, view: View, ground_y: float) -> None:
    """Draw what the ground carries under each wheel, below ``ground_y``: arrows as long as the loads are large."""
    loads = [wheel.load_n or 0.0 for wheel in scene.wheels]
    most = max(loads)
    for wheel, load in zip(scene.wheels, loads, strict=True):
        if load > 0:
            x, tip = view.at(Spot(wheel.along_mm, 0)).x, ground_y + _BELOW_GROUND
            _draw_arrow(parent, Point(x, tip + LONGEST_ARROW * load / most), Point(x, tip))


def _draw_frame(parent: Element, scene: WheelLineScene, deck: DrawnDeck, view: View, gap_factor: float) -> None:
    axles = [axle(wheel, gap_factor) for wheel in scene.wheels]
    polygon(parent, "frame", map(view.at, (*axles, *reversed(deck_line(deck)))))


def _draw_wheels(parent: Element, scene: WheelLineScene, view: View, gap_factor: float) -> None:
    """Draw all tyres before any rim: where wheels overlap, both rims are seen."""
    clashing = _clashing(scene.clashes)
    seen = [(wheel, view.at(axle(wheel, gap_factor)), wheel.diameter_mm * view.scale / 2) for wheel in scene.wheels]
    for _, centre, radius in seen:
        circle(parent, "tyre", centre, radius)
    for index, (wheel, centre, radius) in enumerate(seen):
        kind = "rim" + " lifted" * (wheel.gap_mm > 0) + " clashing" * (index in clashing)
        circle(parent, kind, centre, radius, _CLASHING_RIM if index in clashing else _RIM)
    for wheel, centre, _ in seen:
        circle(parent, "hub", centre, min(_BEARING_MM, wheel.diameter_mm * _HUB_SHARE) / 2 * view.scale, 1)
        circle(parent, "axle", centre, max(_AXLE_MM / 2 * view.scale, _LEAST_AXLE))


def _draw_deck(parent: Element, deck: DrawnDeck, view: View) -> None:
    for corners in blocks(deck):
        polygon(parent, "block", map(view.at, corners), 1)
    polyline(parent, "deck", map(view.at, deck_line(deck)), 2.6)
    if deck.sole:
        polyline(parent, "sole", map(view.at, sole_line(deck)), 1.8)


def _draw_contacts(parent: Element, scene: WheelLineScene, view: View, gap_factor: float) -> None:
    for wheel in scene.wheels:
        foot = view.at(Spot(wheel.along_mm, 0))
        if wheel.gap_mm > 0:
            line(parent, "gap", view.at(Spot(wheel.along_mm, wheel.gap_mm * gap_factor)), foot, 1.2)
        else:
            circle(parent, "contact idle" if wheel.load_n == 0 else "contact", foot, _CONTACT, 1.4)


def _draw_arrow(parent: Element, start: Point, end: Point) -> None:
    """Draw a plumb arrow, its head no longer than most of it."""
    length = end.y - start.y
    head = min(_ARROW_HEAD, abs(length) * 0.7) * (1 if length > 0 else -1)
    line(parent, "shaft", start, Point(end.x, end.y - head), 2)
    half = abs(head) / 2
    polygon(parent, "arrow", (end, Point(end.x - half, end.y - head), Point(end.x + half, end.y - head)))


def _draw_badge(parent: Element, at: Point) -> None:
    """Draw a cross in a ring: a shape that says no without its colour."""
    circle(parent, "badge", at, _BADGE, 1.8)
    for rise in (_CROSS, -_CROSS):
        line(parent, "cross", Point(at.x - _CROSS, at.y - rise), Point(at.x + _CROSS, at.y + rise), 1.8)


def _clashing(clashes: Iterable[Clash]) -> frozenset[int]:
    """Give the wheels that have no room."""
    return frozenset(wheel for clash in clashes for wheel in (clash.wheel, clash.other) if wheel is not None)


def _clash_spot(scene: WheelLineScene, clash: Clash, gap_factor: float) -> Spot:
    """Give where a wheel has no room: between two of them, else where it comes closest to what is above it."""
    wheel = scene.wheels[clash.wheel]
    centre = axle(wheel, gap_factor)
    if clash.other is None:
        return Spot(centre.along_mm, centre.height_mm + wheel.diameter_mm / 2)
    other = scene.wheels[clash.other]
    far = axle(other, gap_factor)
    apart = hypot(far.along_mm - centre.along_mm, far.height_mm - centre.height_mm)
    share = (apart + (wheel.diameter_mm - other.diameter_mm) / 2) / (2 * apart)
    return Spot(
        centre.along_mm + share * (far.along_mm - centre.along_mm),
        centre.height_mm + share * (far.height_mm - centre.height_mm),
    )
