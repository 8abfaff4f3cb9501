"""What to do next: a look, then a trial fit by hand, then a measurement; what tells most for least trouble."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from mountwright.fitting.answers import NextStep, StepKind
from mountwright.fitting.beliefs import Beliefs
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.information import drop_by_look, drop_by_reading
from mountwright.fitting.weighing import UNDAMAGED, Weighed, answering_family, bounds
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.mount import Pattern
from mountwright.mounts.registry import Registry

#: Reading a dimension that was already taken has to tell this much more, in nat, than a new one.
NEW_DIMENSION_BONUS = 0.05

#: What a reading is asked for with, from the one at hand to the one that tells more.
_FINER = {"photo": "steel_rule", "look": "steel_rule", "steel_rule": "caliper", "printed_gauge": "caliper"}


def best_look(
    beliefs: Beliefs, pattern: Pattern, position: str, side: str, registry: Registry, estimates: Estimates
) -> NextStep | None:
    """Give the look that tells most, or None where none is worth it."""
    found = [
        (drop_by_look(beliefs, look, estimates.look_reliability), look.feature, family.name)
        for family in registry.families_at(position)
        for look in family.looks.values()
        if side in look.sides and look.feature not in pattern.seen
    ]
    drop, feature, family = max(found, key=lambda entry: (entry[0], entry[1]), default=(0.0, "", ""))
    if drop < estimates.least_information_nat:
        return None
    return NextStep(StepKind.LOOK, f"{family}.look.{feature}", side, feature, "", {"information": drop})


def best_reading(
    beliefs: Beliefs, pattern: Pattern, position: str, side: str, registry: Registry, estimates: Estimates
) -> NextStep | None:
    """Give the measurement that tells most, or None where none is worth it.

    The instrument is the finest that was used so far, or the next finer one for a
    dimension that was already taken.
    """
    found: list[tuple[float, str, str]] = []
    for dimension, instrument, is_new in _readings_to_take(pattern, position, side, registry):
        plausible = registry.plausible(position, dimension)
        width = instruments()[instrument].half_widths.get(dimension.rpartition("_")[2])
        if plausible is None or width is None:
            continue
        drop = drop_by_reading(beliefs, dimension, rectangular(width), plausible)
        found.append((drop + (NEW_DIMENSION_BONUS if is_new else 0.0), dimension, instrument))
    drop, dimension, instrument = max(found, default=(0.0, "", ""))
    if drop < estimates.least_information_nat + NEW_DIMENSION_BONUS:
        return None
    return _measure(dimension, side, instrument, {"information": drop})


def _readings_to_take(
    pattern: Pattern, position: str, side: str, registry: Registry
) -> Iterator[tuple[str, str, bool]]:
    taken = {name: f.instrument for name, f in pattern.figures.items() if isinstance(f, Quantity)}
    at_hand = next(iter(taken.values()), "steel_rule")
    at_hand = at_hand if at_hand in instruments() else "caliper"
    told = {name for standard in registry.at(position) for name in standard.nominals}
    for family in registry.families_at(position):
        for dimension in family.dimensions.values():
            if side in dimension.sides and dimension.name in told:
                new = dimension.name not in taken
                yield dimension.name, at_hand if new else _FINER.get(taken[dimension.name], "caliper"), new


def _measure(dimension: str, side: str, instrument: str, params: dict[str, str | float]) -> NextStep:
    return NextStep(
        StepKind.MEASURE, "step.measure", side, dimension, instrument, {**params, "dimension": dimension, "side": side}
    )


def step_for_joint(
    weighed: Weighed,
    skate: tuple[Pattern, Beliefs],
    part: tuple[Pattern, Beliefs],
    position: str,
    stake: Stake,
    registry: Registry,
    estimates: Estimates,
) -> NextStep:
    """Give the step for a joint that cannot be told.

    A trial fit is asked for only where the part is at hand, at the counter; before a
    parcel is sent or a cut is made it would come too late.
    """
    damage = next((check for check in weighed.checks if check.code == UNDAMAGED), None)
    if damage is not None:
        return NextStep(StepKind.LOOK, "step.look_at_damage", "", "damage", "", dict(damage.params))
    answering = answering_family(position, skate[1], part[1], registry)
    family = answering.name if answering else ""
    sides = ((skate[1], skate[0], weighed.skate.side.side), (part[1], part[0], weighed.part.side.side))
    looks = [best_look(b, p, position, side, registry, estimates) for b, p, side in sides]
    told = [look for look in looks if look is not None]
    if told:
        return max(told, key=lambda step: float(step.params["information"]))
    return (
        _look_at_holes(weighed)
        or _trial_fit(weighed, stake, estimates)
        or _measure_missing(weighed)
        or _best_of_both(sides, position, registry, estimates)
        or _measure_doubtful(weighed, registry, family)
        or finer_reading((pattern, side) for _, pattern, side in sides)
        or NextStep(StepKind.TRIAL_FIT, "step.trial_fit", "", "", "", {})
    )


def _look_at_holes(weighed: Weighed) -> NextStep | None:
    for check in weighed.checks:
        side = check.params.get("holes_not_seen")
        low, high = bounds(check)
        if side and check.value is not None and high - low > 0.05:
            return NextStep(StepKind.LOOK, "step.look_at_holes", str(side), "holes", "", {"side": str(side)})
    return None


def _trial_fit(weighed: Weighed, stake: Stake, estimates: Estimates) -> NextStep | None:
    if stake is not Stake.COUNTER or weighed.high <= estimates.does_not_fit:
        return None
    code = "step.try_it" if weighed.low >= estimates.try_it else "step.trial_fit"
    return NextStep(StepKind.TRIAL_FIT, code, "", "", "", {})


def _measure_doubtful(weighed: Weighed, registry: Registry, family: str) -> NextStep | None:
    """Ask for the figure that brings most doubt into a check that is not settled."""
    found = [
        (doubt, place, check.code)
        for check in weighed.checks
        if check.value is not None and weighed.check_low[check.code] < 0.95
        for place, doubt in check.doubts
        if doubt > 0
    ]
    if not found:
        return None
    _, place, code = max(found)
    side, _, dimension = place.partition(".")
    step = _measure(dimension, side, "caliper" if dimension.endswith("_mm") else "protractor", {})
    own = f"{family}.{code}.step"
    return replace(step, code=own) if own in registry.messages else step


def _measure_missing(weighed: Weighed) -> NextStep | None:
    for check in weighed.checks:
        for place in check.missing if check.value is None else ():
            side, _, what = place.partition(".")
            if what.endswith(("_mm", "_deg")):
                return _measure(what, side, "caliper" if what.endswith("_mm") else "protractor", {})
            return NextStep(StepKind.LOOK, f"step.look_at_{what}", side, what, "", {"side": side, "feature": what})
    return None


def _best_of_both(
    sides: tuple[tuple[Beliefs, Pattern, str], ...], position: str, registry: Registry, estimates: Estimates
) -> NextStep | None:
    found = [best_reading(b, p, position, side, registry, estimates) for b, p, side in sides]
    told = [step for step in found if step is not None]
    return max(told, key=lambda step: float(step.params["information"]), default=None)


def finer_reading(sides: Iterable[tuple[Pattern, str]]) -> NextStep | None:
    """Ask for the reading with the greatest doubt again, with a finer instrument; None where there is none finer."""
    coarse = [
        (figure.standard_uncertainty, name, side, _FINER[figure.instrument])
        for pattern, side in sides
        for name, figure in pattern.figures.items()
        if isinstance(figure, Quantity) and figure.instrument in _FINER
    ]
    if not coarse:
        return None
    _, name, side, instrument = max(coarse)
    return _measure(name, side, instrument, {})
