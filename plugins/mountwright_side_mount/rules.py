"""The directions of the bolts: holes that meet still do not take a bolt that comes in askew."""

from __future__ import annotations

import math
from collections.abc import Iterator

from mountwright.plugin import Check, Estimate, Hole, Joint, JointSide, Limits

#: One direction for all bolts of a side, where the holes carry none of their own.
AXIS = "axis_deg"

#: How far the axes of one bolt's two holes may differ, millidegrees, inclusive.
WITHIN_MDEG = 3000

#: Standard uncertainty of a direction read by hand: a protractor's 1 degree to either side (JCGM 100:2008, 4.3.7).
PROTRACTOR_MDEG = 1000 / math.sqrt(3)

SOURCE = "estimate, 2 to 5: a 6 mm bolt leans by 3.4 in a 6.6 mm hole 10 mm deep"


def axes_agree(joint: Joint) -> Iterator[Check]:
    """Yield whether every bolt comes in straight: of all bolts, the largest difference between its two holes' axes.

    A hole's own direction counts, else the one given for all bolts of its side. Nothing
    is asked before both sides have holes of one name; a direction that is then missing
    leaves the check open.
    """
    boot, frame = joint.side("boot"), joint.side("frame")
    if boot is None or frame is None:
        return
    axes = {side.side: {hole.name: _axis(side, hole) for hole in side.holes} for side in (boot, frame)}
    shared = [hole.name for hole in boot.holes if hole.name in axes["frame"]]
    if not shared:
        return
    missing = tuple(f"{side}.{AXIS}" for side, known in axes.items() if any(known[name] is None for name in shared))
    turns = {name: _between(axes["boot"][name], axes["frame"][name]) for name in shared}
    found = [(abs(turn.value), name, turn) for name, turn in turns.items() if turn is not None]
    _, worst, value = max(found, default=(0.0, "", None))
    yield Check(
        "axes_agree",
        None if missing else value,
        Limits(-WITHIN_MDEG, WITHIN_MDEG),
        "deg",
        SOURCE,
        magnitude=True,
        missing=missing,
        params={} if missing else {"hole": worst},
    )


def _axis(side: JointSide, hole: Hole) -> Estimate | None:
    if hole.axis_deg is None:
        return side.figures.get(AXIS)
    # A place that is known without doubt is off a drawing, and so is the direction that comes with it.
    drawn = hole.along_um is not None and hole.standard_uncertainty_um == 0
    return Estimate(round(hole.axis_deg * 1000), 0.0 if drawn else PROTRACTOR_MDEG)


def _between(boot: Estimate | None, frame: Estimate | None) -> Estimate | None:
    if boot is None or frame is None:
        return None
    return Estimate(boot.value - frame.value, math.hypot(boot.standard_uncertainty, frame.standard_uncertainty))
