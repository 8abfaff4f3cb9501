"""One model's name hides versions with other mounts: the answer over all that are left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from mountwright.fitting.answers import FitAnswer, NextStep, PartAnswer, StepKind, VersionVerdict
from mountwright.fitting.estimates import Estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict, worst
from mountwright.mounts.registry import Registry


class SkateVersion(NamedTuple):
    """A version of a model, what one sees that tells it from its namesakes, and the question about it."""

    sku: str
    version: str
    mark: str
    request: FitRequest


@dataclass(frozen=True)
class VersionsRequest:
    """A fit check for a model that has more than one version left; all are asked about the same parts."""

    versions: tuple[SkateVersion, ...]


def versions_checked(request: VersionsRequest, registry: Registry, estimates: Estimates) -> FitAnswer:
    """Answer over all versions: where they differ in the verdict on a part, the answer asks for the mark.

    A version that what was found on the skate in hand speaks against is out, as long as another is left.
    """
    judged = [(version, fit_checked(version.request, registry, estimates)) for version in request.versions]
    left = [(version, answer) for version, answer in judged if not _is_contradicted(answer)] or judged
    versions, answers = [version for version, _ in left], [answer for _, answer in left]
    count = len(versions[0].request.parts)
    parts = tuple(_over([answer.parts[place] for answer in answers], versions) for place in range(count))
    return FitAnswer(worst(part.verdict for part in parts), parts)


def _is_contradicted(answer: FitAnswer) -> bool:
    """Tell whether something was found on the skate that its claim does not explain."""
    joints = (joint for part in answer.parts for joint in part.joints)
    return any(found.side == joint.sides[0] for joint in joints for found in joint.contradictions)


def _over(answers: Sequence[PartAnswer], versions: Sequence[SkateVersion]) -> PartAnswer:
    """Give one part's answer: the least probable version's, unless the versions differ."""
    least = min(answers, key=lambda answer: (answer.probability, answer.probability_at_most))
    told = tuple(
        VersionVerdict(version.sku, version.version, version.mark, answer.verdict)
        for version, answer in zip(versions, answers, strict=True)
    )
    if len({(answer.verdict, _needs(answer)) for answer in answers}) == 1:
        return least._replace(versions=told)
    most = max(answer.probability_at_most for answer in answers)
    step = NextStep(StepKind.LOOK, "step.which_version", "skate", "version", "", {"versions": _spoken(told)})
    return least._replace(
        verdict=Verdict.CANNOT_TELL, probability_at_most=most, next_step=step, versions=told, experience=None
    )


def _needs(answer: PartAnswer) -> frozenset[str]:
    """Give what a part takes; one version's adapter is not another's."""
    return frozenset(need.key for joint in answer.joints for need in joint.needs)


def _spoken(told: Sequence[VersionVerdict]) -> str:
    return "; ".join(f"{each.sku}: {each.mark or each.version or each.sku}" for each in told)
