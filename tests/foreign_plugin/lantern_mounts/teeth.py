"""Two teeth in a row of notches: a rule that no declaration can express."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountwright.plugin import Check, Estimate, Joint, Limits

#: How far a tooth may stand beside its notch, micrometres, inclusive.
WITHIN_UM = 500

SOURCE = "estimate, 0.3 to 0.8 mm: an invented lantern's teeth"


def teeth_meet_notches(joint: Joint) -> Iterator[Check]:
    """Yield how far the second tooth stands from the nearest notch while the first sits in one.

    The value is the remainder of the teeth's gap over the notches' pitch, signed, at most half a
    pitch; the doubt of a pitch counts once for every notch between the teeth (JCGM 100:2008, 5.1.2).
    """
    cuff, lantern = joint.side("cuff"), joint.side("lantern")
    if cuff is None or lantern is None:
        return
    pitch, gap = cuff.figures.get("notch_pitch_mm"), lantern.figures.get("tooth_gap_mm")
    limits = Limits(-WITHIN_UM, WITHIN_UM)
    if pitch is None or gap is None:
        known = {"cuff.notch_pitch_mm": pitch, "lantern.tooth_gap_mm": gap}
        missing = tuple(place for place, figure in known.items() if figure is None)
        yield Check("teeth_meet_notches", None, limits, "mm", SOURCE, missing=missing)
        return
    notches = round(gap.value / pitch.value)
    doubt = math.hypot(gap.standard_uncertainty, notches * pitch.standard_uncertainty)
    value = Estimate(gap.value - notches * pitch.value, doubt)
    yield Check("teeth_meet_notches", value, limits, "mm", SOURCE, magnitude=True, params={"notches": notches})
