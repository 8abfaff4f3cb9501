"""The rolling end of a skate: bearings in the wheel's hub, bearings on the axle, the axle in the frame."""

from __future__ import annotations

from collections.abc import Iterator

from mountwright.plugin import Check, Estimate, Joint, Limits, StandardSet, hookimpl, standards_of

_EITHER_SO_OR_NOT = Limits(0, 0)


@hookimpl
def mountwright_standards() -> tuple[StandardSet, ...]:
    """Give the hubs, the axles and the axles' places: three families, as each has sides of its own."""
    return (
        standards_of(__name__, own_rules=(seat_holds,), file="hub.toml"),
        standards_of(__name__, file="axle.toml"),
        standards_of(__name__, own_rules=(same_fastening,), file="axle_place.toml"),
    )


def seat_holds(joint: Joint) -> Iterator[Check]:
    """Ask whether the bearing stays in the hub by itself, where somebody tried it.

    Yields
    ------
    Check
        1 where it was found to fall out, else 0; only 0 passes. None while nobody tried.
    """
    tried = [side.features["seat"] for side in joint.sides if "seat" in side.features]
    if tried:
        yield Check(
            "seat_holds", Estimate(int("falls_out" in tried), 0), _EITHER_SO_OR_NOT, "", source="common practice"
        )


def same_fastening(joint: Joint) -> Iterator[Check]:
    """Ask whether axle and frame are held together in the same way, where both are known.

    A thread in the frame needs the axle that goes with it and no other. Plain holes may
    take a bolt with its nut as well as a two-piece axle: what holds the heads decides, so
    that pair stays open.

    Yields
    ------
    Check
        The number of differences; only 0 passes.
    """
    skate, part = (side.features.get("fastening") for side in joint.sides)
    if skate is None or part is None:
        return
    open_pair = skate != part and "threaded_frame" not in (skate, part)
    value = None if open_pair else Estimate(int(skate != part), 0)
    params = {"skate_has": skate.replace("_", " "), "part_has": part.replace("_", " ")}
    yield Check("same_fastening", value, _EITHER_SO_OR_NOT, "", source="geometry", params=params)
