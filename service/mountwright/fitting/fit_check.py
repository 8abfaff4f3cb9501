"""The fit check: does each part go on this skate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mountwright.fitting.answers import FitAnswer, JointAnswer, NextStep, PartAnswer, StepKind
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.joints import judged
from mountwright.fitting.verdict import Verdict, worst
from mountwright.mounts.mount import Mount, Part
from mountwright.mounts.registry import Registry


@dataclass(frozen=True)
class FitRequest:
    """A skate, the parts that are asked about, and what hangs on the answer."""

    skate: Part
    parts: tuple[Part, ...]
    stake: Stake = Stake.SHIPPING


def fit_checked(request: FitRequest, registry: Registry, estimates: Estimates) -> FitAnswer:
    """Answer a fit check: each part by the worst of its joints, the whole by the worst of its parts."""
    bench = Bench(registry, estimates, request.stake)
    parts = tuple(_part(part, request.skate, bench) for part in request.parts)
    return FitAnswer(worst(part.verdict for part in parts), parts)


def _part(part: Part, skate: Part, bench: Bench) -> PartAnswer:
    joints = tuple(joint for mount in part.mounts for joint in _joints(mount, skate, bench))
    if not joints:
        step = NextStep(StepKind.DESCRIBE, "step.describe_part", "part", "mounts", "", {})
        return PartAnswer(Verdict.CANNOT_TELL, 0.0, 1.0, (), step)
    deciding = max(joints, key=lambda joint: joint.verdict.rank)
    return PartAnswer(
        verdict=deciding.verdict,
        probability=min(joint.probability for joint in joints),
        probability_at_most=min(joint.probability_at_most for joint in joints),
        joints=joints,
        next_step=_first_step(deciding, joints),
    )


def _first_step(deciding: JointAnswer, joints: Sequence[JointAnswer]) -> NextStep | None:
    """Give the deciding joint's step; a plain no needs none, whatever is open elsewhere."""
    if deciding.verdict is Verdict.DOES_NOT_FIT:
        return None
    return deciding.next_step or next((joint.next_step for joint in joints if joint.next_step), None)


def _joints(mount: Mount, skate: Part, bench: Bench) -> list[JointAnswer]:
    partners = [other for other in skate.mounts if other.position == mount.position and other.side != mount.side]
    if not bench.registry.at(mount.position):
        return [_unjudged(mount, "step.no_standard_installed")]
    if not partners:
        return [_unjudged(mount, "step.describe_skate")]
    return [judged(partner, mount, bench) for partner in partners]


def _unjudged(mount: Mount, code: str) -> JointAnswer:
    pattern = mount.patterns[0]
    step = NextStep(StepKind.DESCRIBE, code, "skate", mount.position, "", {"position": mount.position})
    return JointAnswer(
        position=mount.position,
        sides=("", mount.side),
        patterns=("", pattern.name),
        standards=("", pattern.standard or ""),
        verdict=Verdict.CANNOT_TELL,
        probability=0.0,
        probability_at_most=1.0,
        checks=(),
        contradictions=(),
        needs=(),
        cautions=(),
        next_step=step,
    )
