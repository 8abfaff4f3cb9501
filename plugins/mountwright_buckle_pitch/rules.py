"""The ladder and the receiver: which of the two is new decides which figures belong together."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from mountwright.plugin import Check, Estimate, Joint, JointSide, Limits

#: The widths that must go together, the opening first.
OPENING, LADDER = "receiver_width_mm", "ladder_width_mm"

#: Which of the two a piece brings with it.
BROUGHT_BY = {"anchor": LADDER, "receiver": OPENING}

#: How much wider than the ladder the opening has to be, micrometres.
LEAST_PLAY_UM = 200


def ladder_enters(joint: Joint) -> Iterator[Check]:
    """Yield whether the ladder slides in the receiver: the opening less the ladder's width, at least 0.2 mm.

    Anchor and receiver are replaced each on its own. What the new piece brings is
    taken from the buckle's side, what stays on the skate from the shell's; a piece that
    was not named is known by the width that was given for it. Nothing is asked while
    neither piece nor width is known, or while nobody recorded a width.
    """
    shell, buckle = joint.side("shell"), joint.side("buckle")
    if shell is None or buckle is None:
        return
    brought = {LADDER, OPENING} & (buckle.recorded | {BROUGHT_BY.get(buckle.features.get("piece", ""), "")})
    owners = {name: buckle if name in brought else shell for name in (OPENING, LADDER)}
    if not brought or not any(name in owner.recorded for name, owner in owners.items()):
        return
    missing = tuple(f"{owner.side}.{name}" for name, owner in owners.items() if name not in owner.figures)
    value = None if missing else _play(owners)
    source = "estimate, 0.1 to 0.5: room for the ladder to slide"
    yield Check("ladder_enters", value, Limits(LEAST_PLAY_UM, None), "mm", source, missing=missing)


def _play(owners: Mapping[str, JointSide]) -> Estimate:
    opening, ladder = (owners[name].figures[name] for name in (OPENING, LADDER))
    spread = math.hypot(opening.standard_uncertainty, ladder.standard_uncertainty)
    return Estimate(opening.value - ladder.value, spread)
