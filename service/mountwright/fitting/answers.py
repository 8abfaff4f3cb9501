"""What a fit check answers, as frozen data; sentences are made elsewhere, from codes and params."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from mountwright.fitting.beliefs import Contradiction
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Limits
from mountwright.mounts.mount import Setting


class Outcome(StrEnum):
    """How one check came out."""

    PASS = "pass"  # noqa: S105  # an outcome, no secret
    FAIL = "fail"
    UNDECIDED = "undecided"
    NOT_MEASURED = "not_measured"


class CheckAnswer(NamedTuple):
    """One judged check; figures in thousandths of the unit, ``probability`` bounded from below."""

    code: str
    family: str
    position: str
    outcome: Outcome
    value: float | None
    limits: Limits
    unit: str
    margin: float | None
    probability: float
    source: str
    missing: tuple[str, ...]
    params: Mapping[str, str | float]


class StepKind(StrEnum):
    """What to do next, the least trouble first."""

    LOOK = "look"
    TRIAL_FIT = "trial_fit"
    MEASURE = "measure"
    DESCRIBE = "describe"


class NextStep(NamedTuple):
    """The one thing that moves the answer most for the least trouble.

    Parameters
    ----------
    kind : StepKind
    code : str
        Message code.
    side : str
        ``boot``, ``frame`` …: where.
    what : str
        The feature to look at or the dimension to measure; empty for a trial fit.
    instrument : str
        What to measure with; empty otherwise.
    params : Mapping[str, str or float]
    """

    kind: StepKind
    code: str
    side: str
    what: str
    instrument: str
    params: Mapping[str, str | float]


class Need(NamedTuple):
    """A conversion that makes the joint possible; heights in micrometres."""

    key: str
    kind: str
    reversible: bool
    added_height: Limits | None
    source: str


class JointAnswer(NamedTuple):
    """One joint: which patterns and standards it was judged as, and how it came out.

    ``probability`` and ``probability_at_most`` bound the probability that every check passes;
    ``settings`` tells, side by side, where adjustable dimensions were put; ``shift_um`` how far
    forward of the skate's first pattern the used one puts the part.
    """

    position: str
    sides: tuple[str, str]
    patterns: tuple[str, str]
    standards: tuple[str, str]
    verdict: Verdict
    probability: float
    probability_at_most: float
    checks: tuple[CheckAnswer, ...] = ()
    contradictions: tuple[Contradiction, ...] = ()
    needs: tuple[Need, ...] = ()
    cautions: tuple[str, ...] = ()
    next_step: NextStep | None = None
    settings: tuple[tuple[Setting, ...], tuple[Setting, ...]] = ((), ())
    shift_um: float | None = None
    fault: str = ""


class Reports(NamedTuple):
    """How many reports of a pair there are, and what they weigh together."""

    times: int
    weight: float


class Experience(NamedTuple):
    """What a part's answer owes to pairs that were tried.

    Parameters
    ----------
    verdict : Verdict
        What the geometry says by itself.
    probability, probability_at_most : float
        The geometry's own bounds.
    share_of_geometry, share_of_experience : float
        Of the answer; together 1.
    successes, failures : Reports
        Of what the geometry's verdict says; beside doubt or a no, of going on as it comes.
    conflict : bool
        The geometry says that it goes on and somebody found otherwise, or that it does not and it did.
    """

    verdict: Verdict
    probability: float
    probability_at_most: float
    share_of_geometry: float
    share_of_experience: float
    successes: Reports
    failures: Reports
    conflict: bool


class VersionVerdict(NamedTuple):
    """How one version of a model takes a part; ``mark`` is what one sees that tells it from its namesakes."""

    sku: str
    version: str
    mark: str
    verdict: Verdict


class PartAnswer(NamedTuple):
    """One part of a request: the worst of its joints, moved by experience where there is any.

    ``versions`` tells the verdict for each version of a skate that was given by its model's name.
    """

    verdict: Verdict
    probability: float
    probability_at_most: float
    joints: tuple[JointAnswer, ...]
    next_step: NextStep | None
    experience: Experience | None = None
    versions: tuple[VersionVerdict, ...] = ()


class FitAnswer(NamedTuple):
    """The whole answer: the worst of its parts."""

    verdict: Verdict
    parts: tuple[PartAnswer, ...]
