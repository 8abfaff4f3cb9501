"""Lengths read off a photo with an ID-1 card in the plane of the holes, each with its doubt, or refused.

The card's corners settle the plane and leave nothing over: a card in another plane gives other lengths and no residual,
so that nobody can detect it. What can be checked is that the card is as long for its width as an ID-1 card is, seen at
the focal length that was told.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.measure.instruments import instruments
from mountwright.measure.photo_answer import PhotoAnswer, PhotoLength, Said
from mountwright.measure.photo_faults import photo_faults
from mountwright.measure.photo_limits import photo_limits
from mountwright.measure.photo_places import Clicks, Doubts, Length, Places, Placing, length_between
from mountwright.measure.photo_question import Heel, Known, Mark, Photo
from mountwright.measure.photo_view import View, card_seen, viewed
from mountwright.measure.uncertainty import rectangular

#: What a reading off a photo is called among the instruments.
PHOTO = "photo"

#: A mark that lies a hundred times deeper in the picture than the card is taken to lie beyond the horizon.
_LEAST_NEARNESS = 0.01

#: How far out of the holes' plane a card is supposed to be where the answer says what that would do, mm.
_SUPPOSED_OUT_MM = 3.0

#: What narrows a doubt, by what most of it comes from; spelt out, so that each is found where messages are looked for.
_STEPS = {
    "card": "photo.step_card",
    "marks": "photo.step_marks",
    "heights": "photo.step_heights",
    "focal_length": "photo.step_focal_length",
}


def measured(photo: Photo) -> PhotoAnswer:
    """Give the lengths that a photo tells.

    Raises
    ------
    InvalidQuantityError
        For a photo with faults; the first is named.
    """
    if faults := photo_faults(photo):
        raise InvalidQuantityError(faults[0], "clicks on the four edges of a card, and marks within the picture")
    view = viewed(photo)
    return PhotoAnswer(tuple(_lengths(view)), card_seen(view), tuple(_assumptions(view)))


def half_width_of(standard_uncertainty_mm: float) -> float:
    """Give the rectangular half-width, mm, that a fit check takes for a photo's standard uncertainty.

    No less than the photo's ``least_half_width_mm`` of ``instruments.toml``: some of its errors leave no trace.
    """
    return max(standard_uncertainty_mm * math.sqrt(3), instruments()[PHOTO].least["mm"] / 1000)


def _lengths(view: View) -> Iterator[PhotoLength]:
    photo, reason = view.photo, _reason_against(view)
    against = [reason or each for each in _reasons_against_marks(view)]
    usable = [place for place, each in enumerate(against) if each is None]
    places = _places(view, [photo.marks[place] for place in usable]) if usable else None
    for first, second in photo.wanted:
        between = photo.marks[first].name, photo.marks[second].name
        why_not = against[first] or against[second]
        if why_not is None and places is not None:
            yield _judged(between, length_between(places, usable.index(first), usable.index(second)))
        elif why_not is not None:
            yield PhotoLength(between, why_not)


def _reason_against(view: View) -> Said | None:
    """Give why nothing can be measured in this picture, None where something can."""
    steepest = photo_limits().steepest_tilt_deg
    if view.tilt_deg > steepest:
        return Said("photo.too_steep", {"tilt_deg": view.tilt_deg, "steepest_deg": steepest})
    return None if view.is_a_card() else Said("photo.no_card_shape")


def _reasons_against_marks(view: View) -> Iterator[Said | None]:
    """Give, mark by mark, why nothing can be measured from it."""
    for mark, nearness in zip(view.photo.marks, view.nearness(), strict=True):
        height = _height_of(mark, view.photo.heel)
        if height is None:
            yield Said("photo.heel_without_heights", {"mark": mark.name})
        elif nearness < _LEAST_NEARNESS:
            yield Said("photo.beyond_horizon", {"mark": mark.name})
        elif height.value >= abs(view.camera_mm[2]):
            yield Said("photo.above_camera", {"mark": mark.name, "height_mm": height.value})
        else:
            yield None


def _height_of(mark: Mark, heel: Heel | None) -> Known | None:
    """Give a mark's height as told or taken; None where the heel is raised, and nobody told by how much."""
    limits = photo_limits()
    if mark.height_mm is not None:
        return mark.height_mm
    if heel is Heel.RAISED:
        return None
    near = limits.untold_height_half_width_mm if heel is None else limits.level_height_half_width_mm
    return Known(0.0, rectangular(near))


def _places(view: View, marks: Sequence[Mark]) -> Places:
    photo = view.photo
    heights = [height for mark in marks if (height := _height_of(mark, photo.heel)) is not None]
    clicks = Clicks(
        view.corners,
        np.array([mark.at for mark in marks]),
        np.array([height.value for height in heights]),
        np.array(photo.focal_px.value),
    )
    doubts = Doubts(
        np.array([mark.standard_uncertainty_px for mark in marks]),
        np.array([height.standard_uncertainty for height in heights]),
        photo.focal_px.standard_uncertainty,
    )
    return Placing(view.card_mm, view.centre_px).places(clicks, doubts)


def _judged(between: tuple[str, str], found: Length) -> PhotoLength:
    length, doubt = float(found.length_mm), float(found.standard_uncertainty_mm)
    limits = photo_limits()
    # Two marks on one spot have no direction, and no doubt along it.
    if not doubt <= limits.most_share_of_length * length:
        return PhotoLength(between, Said("photo.too_short"))
    shares = {source: float(variance) / doubt**2 for source, variance in found.variances.items()}
    step = Said(_STEPS[max(shares, key=lambda source: shares[source])])
    if doubt > limits.most_standard_uncertainty_mm:
        most = {"standard_uncertainty_mm": doubt, "most_mm": limits.most_standard_uncertainty_mm}
        return PhotoLength(between, Said("photo.too_doubtful", most), None, None, doubt, shares, step)
    half_width = half_width_of(doubt)
    said = Said("photo.measured", {"length_mm": length, "half_width_mm": half_width})
    is_at_best = half_width > doubt * math.sqrt(3)
    step = Said("photo.step_other_instrument") if is_at_best else step
    return PhotoLength(between, said, length, half_width, doubt, shares, step)


def _assumptions(view: View) -> Iterator[Said]:
    photo = view.photo
    share = 100 * _SUPPOSED_OUT_MM / abs(float(view.camera_mm[2]))
    yield Said("photo.assumes_plane", {"out_mm": _SUPPOSED_OUT_MM, "percent": share})
    untold = any(mark.height_mm is None for mark in photo.marks)
    if untold and photo.heel is Heel.LEVEL:
        yield Said("photo.assumes_level", {"near_mm": photo_limits().level_height_half_width_mm})
    elif untold and photo.heel is None:
        yield Said("photo.assumes_any_height", {"near_mm": photo_limits().untold_height_half_width_mm})
    yield Said("photo.assumes_id1_card")
    yield Said("photo.assumes_straight_lens")
    yield Said("photo.assumes_whole_picture")
    if all(len(edge) == 2 for edge in photo.card.points):
        yield Said("photo.edges_unchecked")
    yield Said("photo.along_the_card")
    yield Said("photo.never_2_mm")
