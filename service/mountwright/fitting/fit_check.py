"""The fit check: does each part go on this skate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import FitAnswer, JointAnswer, NextStep, PartAnswer, StepKind
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.evidence import Tally, evidence_estimates, experienced
from mountwright.fitting.joints import judged
from mountwright.fitting.uninstalled import step_to_install
from mountwright.fitting.verdict import Verdict, worst
from mountwright.mounts.installed import judgeable
from mountwright.mounts.mount import Mount, Part, Pattern
from mountwright.mounts.registry import Registry


@dataclass(frozen=True)
class FitRequest:
    """A skate, the parts that are asked about, and what hangs on the answer.

    Parameters
    ----------
    skate : Part
    parts : tuple of Part
    stake : Stake
    tallies : tuple of Tally
        What was told of each part on this skate, in the parts' order; none at all where nothing is known.

    Raises
    ------
    InvalidQuantityError
        For tallies that are not as many as the parts.
    """

    skate: Part
    parts: tuple[Part, ...]
    stake: Stake = Stake.SHIPPING
    tallies: tuple[Tally, ...] = ()

    def __post_init__(self) -> None:
        if self.tallies and len(self.tallies) != len(self.parts):
            raise InvalidQuantityError(len(self.tallies), f"{len(self.parts)} tallies, one for each part, or none")


def fit_checked(request: FitRequest, registry: Registry, estimates: Estimates) -> FitAnswer:
    """Answer a fit check: each part by the worst of its joints, the whole by the worst of its parts."""
    bench = Bench(registry, estimates, request.stake)
    parts = tuple(_part(part, request.skate, bench) for part in request.parts)
    if request.tallies:
        parts = _with_experience(parts, request.tallies, bench)
    return FitAnswer(worst(part.verdict for part in parts), parts)


def _with_experience(parts: tuple[PartAnswer, ...], tallies: tuple[Tally, ...], bench: Bench) -> tuple[PartAnswer, ...]:
    evidence = evidence_estimates()
    return tuple(
        experienced(part, tally, bench.estimates, bench.stake, evidence)
        for part, tally in zip(parts, tallies, strict=True)
    )


def _part(part: Part, skate: Part, bench: Bench) -> PartAnswer:
    asked = _asked(part, skate, bench)
    joints = tuple(joint for mount, partners in asked for joint in joints_with(mount, partners, bench))
    if not joints:
        step = NextStep(StepKind.DESCRIBE, "step.describe_part", "part", "mounts", "", {})
        return PartAnswer(Verdict.CANNOT_TELL, 0.0, 1.0, (), step)
    decisive = _decisive(joints, part, bench)
    deciding = max(decisive, key=lambda joint: joint.verdict.rank)
    verdict = deciding.verdict if len(decisive) == len(joints) else worst((deciding.verdict, Verdict.FITS_WITH_PARTS))
    return PartAnswer(
        verdict=verdict,
        probability=min(joint.probability for joint in decisive),
        probability_at_most=min(joint.probability_at_most for joint in decisive),
        joints=joints,
        next_step=_first_step(deciding, joints),
    )


def _decisive(joints: Sequence[JointAnswer], part: Part, bench: Bench) -> list[JointAnswer]:
    """Give the joints that decide whether a part goes on.

    What the skate has and the part does not take (a frame, the old axles) is replaced along with it, as long as some
    mount holds the part to the skate: then the part takes other parts, and that is all.
    """
    offered = {mount.position for mount in part.mounts if is_offered(mount.position, mount.side, bench.registry)}
    held = [joint for joint in joints if joint.position not in offered]
    replaced = [joint for joint in joints if joint.position in offered and joint.verdict is Verdict.DOES_NOT_FIT]
    return [joint for joint in joints if not held or joint not in replaced]


def _asked(part: Part, skate: Part, bench: Bench) -> list[tuple[Mount, list[Mount]]]:
    """Give the mounts that a part is asked about, each with its partners on the skate.

    What a part merely offers to others (a frame, the places of its axles) needs no partner as long as some
    mount holds the part to the skate.
    """
    mounts = [(mount, _partners(mount, skate)) for mount in part.mounts]
    if all(partners for _, partners in mounts):
        return mounts
    registry = bench.registry
    asked = [each for each in mounts if each[1] or not is_offered(each[0].position, each[0].side, registry)]
    return asked or mounts


def _partners(mount: Mount, skate: Part) -> list[Mount]:
    return [other for other in skate.mounts if other.position == mount.position and other.side != mount.side]


@lru_cache(maxsize=256)
def is_offered(position: str, side: str, registry: Registry) -> bool:
    """Tell whether it is the side that others are fixed to: the skate's usual one at its position."""
    families = registry.families_at(position)
    return bool(families) and all(side == family.sides[0] for family in families)


def _first_step(deciding: JointAnswer, joints: Sequence[JointAnswer]) -> NextStep | None:
    """Give the deciding joint's step; a plain no needs none, whatever is open elsewhere."""
    if deciding.verdict is Verdict.DOES_NOT_FIT:
        return None
    return deciding.next_step or next((joint.next_step for joint in joints if joint.next_step), None)


def joints_with(mount: Mount, partners: Sequence[Mount], bench: Bench) -> list[JointAnswer]:
    """Judge a part's mount beside each of its partners; where it cannot be judged at all, one answer says why.

    Parameters
    ----------
    mount : Mount
    partners : sequence of Mount
        At the same position, of other sides; none where nobody described any.
    bench : Bench
    """
    ours = judgeable(mount, bench.registry)
    if ours is None:
        return [_unjudged(mount, step_to_install((mount,), bench.registry))]
    if not bench.registry.at(mount.position):
        return [_unjudged(mount, _described(mount, "step.no_standard_installed"))]
    if not partners:
        return [_unjudged(mount, _described(mount, "step.describe_skate"))]
    return [_joint(partner, ours, bench) for partner in partners]


def _joint(skate: Mount, part: Mount, bench: Bench) -> JointAnswer:
    theirs = judgeable(skate, bench.registry)
    if theirs is None:
        return _unjudged(part, step_to_install((skate,), bench.registry), skate)
    found = judged(theirs, part, bench)
    # Where the skate's first pattern was left out, nobody knows where the used one lies beside it.
    return found if theirs.patterns[0] is skate.patterns[0] else found._replace(shift_um=None)


def _described(mount: Mount, code: str) -> NextStep:
    return NextStep(StepKind.DESCRIBE, code, "skate", mount.position, "", {"position": mount.position})


def _unjudged(part: Mount, step: NextStep | None, skate: Mount | None = None) -> JointAnswer:
    ours, theirs = part.patterns[0], skate.patterns[0] if skate else Pattern()
    return JointAnswer(
        position=part.position,
        sides=(skate.side if skate else "", part.side),
        patterns=(theirs.name, ours.name),
        standards=(theirs.standard or "", ours.standard or ""),
        verdict=Verdict.CANNOT_TELL,
        probability=0.0,
        probability_at_most=1.0,
        next_step=step,
    )
