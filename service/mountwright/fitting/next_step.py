"""What to do next: a look, then a trial fit by hand, then a measurement; what tells most for least trouble."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from mountwright.fitting.answers import NextStep, StepKind
from mountwright.fitting.beliefs import Beliefs
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.information import drop_by_look, drop_by_reading, entropy
from mountwright.fitting.weighing import UNDAMAGED, Weighed
from mountwright.measure.instruments import instruments
from mountwright.measure.quantity import Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.joint import JointSide
from mountwright.mounts.mount import Pattern
from mountwright.mounts.registry import Registry
from mountwright.mounts.standard import Family

#: Reading a dimension that was already taken has to tell this much more, in nat, than a new one.
NEW_DIMENSION_BONUS = 0.05

#: Where unseen holes may move a check's probability by more than this, they are looked at.
_HOLES_DECIDE = 0.05

#: Instruments that whoever has used one can use again; a drawing or a picture shows what it shows.
_AT_HAND = frozenset(("steel_rule", "caliper", "printed_gauge"))

#: What a reading is asked for with, from the one at hand to the one that tells more.
_FINER = {"photo": "steel_rule", "look": "steel_rule", "steel_rule": "caliper", "printed_gauge": "caliper"}


def _little_left(beliefs: Beliefs, estimates: Estimates) -> bool:
    """Tell whether all that is not known yet is less than a step has to tell."""
    return entropy(belief.weight for belief in beliefs.each) < estimates.least_information_nat


def best_look(
    beliefs: Beliefs, pattern: Pattern, position: str, side: str, registry: Registry, estimates: Estimates
) -> NextStep | None:
    """Give the look that tells most, or None where none is worth it."""
    if _little_left(beliefs, estimates):
        return None
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

    A new dimension is asked for with an instrument that was used so far, one that was
    already taken with the next finer one.
    """
    if _little_left(beliefs, estimates):
        return None
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
    used = [instrument for instrument in taken.values() if instrument in _AT_HAND] or ["steel_rule"]
    told = {name for standard in registry.at(position) for name in standard.nominals}
    for family in registry.families_at(position):
        for dimension in family.dimensions.values():
            if side in dimension.sides and dimension.name in told:
                new = dimension.name not in taken
                finer = used[0] if new else _FINER.get(taken[dimension.name], "caliper")
                yield dimension.name, finer if dimension.name.endswith("_mm") else "protractor", new


def _measure(dimension: str, side: str, instrument: str, params: dict[str, str | float]) -> NextStep:
    return NextStep(
        StepKind.MEASURE, "step.measure", side, dimension, instrument, {**params, "dimension": dimension, "side": side}
    )


class Subject(NamedTuple):
    """One side of a joint that cannot be told: what was recorded, what is believed, which side it is."""

    pattern: Pattern
    beliefs: Beliefs
    side: str


def step_for_joint(
    position: str, weighed: Weighed, subjects: tuple[Subject, Subject], family: Family | None, bench: Bench
) -> NextStep:
    """Give the step for a joint that cannot be told.

    A trial fit is asked for only where the part is at hand, at the counter; before a
    parcel is sent or a cut is made it would come too late.
    """
    registry, estimates = bench.registry, bench.estimates
    damage = next((judged.check for judged in weighed.checks if judged.check.code == UNDAMAGED), None)
    if damage is not None:
        return NextStep(StepKind.LOOK, "step.look_at_damage", "", "damage", "", dict(damage.params))
    looks = [best_look(s.beliefs, s.pattern, position, s.side, registry, estimates) for s in subjects]
    return (
        _try_it(weighed, bench)
        or _look_again(subjects, family)
        or _telling_most(looks)
        or _look_at_holes(weighed)
        or _trial_fit(weighed, bench)
        or _measure_missing(weighed, estimates)
        or _telling_most([best_reading(s.beliefs, s.pattern, position, s.side, registry, estimates) for s in subjects])
        or _measure_doubtful(weighed, family, bench)
        or finer_reading((s.pattern, s.side) for s in subjects)
        or NextStep(StepKind.TRIAL_FIT, "step.trial_fit", "", "", "", {})
    )


def _try_it(weighed: Weighed, bench: Bench) -> NextStep | None:
    """With the part at hand and a fit likely enough, trying tells most at once."""
    if bench.stake is Stake.COUNTER and weighed.low >= bench.estimates.try_it:
        return NextStep(StepKind.TRIAL_FIT, "step.try_it", "", "", "", {})
    return None


def _look_again(subjects: Iterable[Subject], family: Family | None) -> NextStep | None:
    """Where a look spoke against a claim, one of the two is wrong, and a second look is the least trouble."""
    for subject in subjects:
        found = subject.beliefs.contradiction
        if found is not None and family is not None and found.what in family.looks:
            params: dict[str, str | float] = {"side": subject.side}
            return NextStep(StepKind.LOOK, f"{family.name}.look.{found.what}", subject.side, found.what, "", params)
    return None


def _telling_most(steps: Iterable[NextStep | None]) -> NextStep | None:
    told = [step for step in steps if step is not None]
    return max(told, key=lambda step: float(step.params["information"]), default=None)


def _look_at_holes(weighed: Weighed) -> NextStep | None:
    for judged in weighed.checks:
        side = judged.check.params.get("holes_not_seen")
        if side and judged.check.value is not None and judged.high - judged.low > _HOLES_DECIDE:
            return NextStep(StepKind.LOOK, "step.look_at_holes", str(side), "holes", "", {"side": str(side)})
    return None


def _trial_fit(weighed: Weighed, bench: Bench) -> NextStep | None:
    if bench.stake is not Stake.COUNTER or weighed.high <= bench.estimates.does_not_fit:
        return None
    return NextStep(StepKind.TRIAL_FIT, "step.trial_fit", "", "", "", {})


def _measure_doubtful(weighed: Weighed, family: Family | None, bench: Bench) -> NextStep | None:
    """Ask for the figure that brings most doubt into a check that is not settled."""
    sides = {belief.side.side: belief.side for belief in (weighed.skate, weighed.part)}
    doubtful = [judged.check for judged in weighed.checks if judged.check.value and judged.low < bench.estimates.fits]
    found = []
    for check in doubtful:
        for place in check.rests_on:
            side, _, dimension = place.partition(".")
            found.append((_doubt(sides[side], dimension), place, check.code))
    if not found or max(found)[0] == 0:
        return None
    _, place, code = max(found)
    side, _, dimension = place.partition(".")
    if dimension == "holes":
        return NextStep(StepKind.MEASURE, "step.measure_holes", side, dimension, "caliper", {"side": side})
    step = _measure(dimension, side, "caliper" if dimension.endswith("_mm") else "protractor", {})
    own = f"{family.name}.{code}.step" if family else ""
    return step._replace(code=own) if own in bench.registry.messages else step


def _doubt(side: JointSide, dimension: str) -> float:
    if dimension == "holes":
        return max((hole.standard_uncertainty_um for hole in side.holes), default=0.0)
    figure = side.figures.get(dimension)
    return figure.standard_uncertainty if figure else 0.0


def _measure_missing(weighed: Weighed, estimates: Estimates) -> NextStep | None:
    for judged in weighed.checks:
        for place in judged.check.missing if judged.low < estimates.fits else ():
            side, _, what = place.partition(".")
            if what.endswith(("_mm", "_deg")):
                return _measure(what, side, "caliper" if what.endswith("_mm") else "protractor", {})
            if what == "holes":
                return NextStep(StepKind.MEASURE, "step.measure_holes", side, what, "caliper", {"side": side})
            return NextStep(StepKind.LOOK, f"step.look_at_{what}", side, what, "", {"side": side, "feature": what})
    return None


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
