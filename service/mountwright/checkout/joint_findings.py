"""What the joints of a new part mean for the parcel."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from mountwright.checkout.article import Article
from mountwright.checkout.basket import BenchWork, Lot, Policy
from mountwright.checkout.finding import Decision, Finding
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.checkout.meetings import Meeting, Role, held_by
from mountwright.fitting.answers import CheckAnswer, JointAnswer, NextStep, Outcome, PartAnswer, StepKind
from mountwright.fitting.bench import Bench
from mountwright.fitting.evidence import Tally, evidence_estimates, experienced
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Limits


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What else of the basket decides about a joint.

    Parameters
    ----------
    bench : Bench
    memory : JointMemory
    policy : Policy
    adapters : tuple of Article
        Those in the basket and those that stand on the skate.
    has_workshop : bool
        Whether the shop's own workshop is in the basket.
    originals : collection of str
        What the skate was sold with, by SKU.
    instead : collection of Article
        What stands on it instead, as somebody said.
    tallies : Mapping[str, Tally]
        What was told of parts on this skate, by SKU.
    """

    bench: Bench
    memory: JointMemory
    policy: Policy
    adapters: tuple[Article, ...]
    has_workshop: bool
    originals: Collection[str]
    instead: Collection[Article]
    tallies: Mapping[str, Tally]


def joint_findings(lot: Lot, meetings: Sequence[Meeting], around: Surroundings) -> Iterator[Finding]:
    """Give what the joints of one lot mean."""
    article, held = lot.article, held_by(meetings)
    if held:
        yield from _held(article, held, around)
    if held and held[0].role is Role.HELD:
        for meeting in meetings:
            if meeting.role is Role.HOLDS and not meeting.other_is_new:
                yield from _left_behind(article, meeting, around)
    for meeting in meetings:
        if meeting.role is Role.LENDS:
            yield from _lent(article, meeting, bool(held), around)


def _held(article: Article, held: Sequence[Meeting], around: Surroundings) -> Iterator[Finding]:
    """Give what holds a part, moved by what was told of it where it meets the skate as it was sold."""
    as_sold = not any(meeting.other_is_new or meeting.other in around.instead for meeting in held)
    geometry = _part(held)
    part = _with_experience(article, geometry, around) if as_sold else geometry
    if part.verdict is not geometry.verdict:
        yield _experienced(article, part, held, around)
        return
    is_original = as_sold and article.sku in around.originals
    for meeting in held:
        # What was found on the skate in hand outweighs that it was sold so.
        if is_original and meeting.joint.verdict is not Verdict.DOES_NOT_FIT and not meeting.joint.contradictions:
            yield Finding(Decision.CLEAR, "cart.original_part", {"kind": article.kind}, against=_against(meeting))
        else:
            yield _judged(article, meeting, around)


def _part(held: Sequence[Meeting]) -> PartAnswer:
    joints = tuple(meeting.joint for meeting in held)
    deciding = max(joints, key=lambda joint: joint.verdict.rank)
    low, high = min(joint.probability for joint in joints), min(joint.probability_at_most for joint in joints)
    return PartAnswer(deciding.verdict, low, high, joints, deciding.next_step)


def _with_experience(article: Article, part: PartAnswer, around: Surroundings) -> PartAnswer:
    tally = around.tallies.get(article.sku)
    if tally is None or not tally.rows:
        return part
    bench = around.bench
    return experienced(part, tally, bench.estimates, bench.stake, evidence_estimates())


def _experienced(article: Article, part: PartAnswer, held: Sequence[Meeting], around: Surroundings) -> Finding:
    """Give a verdict that those who tried the pair brought about."""
    deciding = max(held, key=lambda meeting: meeting.joint.verdict.rank)
    joint = deciding.joint._replace(
        verdict=part.verdict,
        probability=part.probability,
        probability_at_most=part.probability_at_most,
        next_step=part.next_step,
    )
    return _judged(article, deciding._replace(joint=joint), around)


def _judged(article: Article, meeting: Meeting, around: Surroundings) -> Finding:
    if meeting.joint.verdict is Verdict.FITS:
        return _fits("cart.fits", article, meeting, around)
    return _open(article, meeting, around)


def _fits(code: str, article: Article, meeting: Meeting, around: Surroundings) -> Finding:
    return around.memory.finding(code, article.kind, meeting.joint, _fitting)._replace(against=_against(meeting))


def _fitting(code: str, kind: str, joint: JointAnswer) -> Finding:
    return Finding(Decision.CLEAR, code, {"kind": kind}, _tightest(joint.checks), cautions=joint.cautions)


def _open(article: Article, meeting: Meeting, around: Surroundings) -> Finding:
    joint = meeting.joint
    found = Finding(
        Decision.CLEAR,
        "cart.fits",
        {"kind": article.kind},
        against=_against(meeting),
        needs=joint.needs,
        cautions=joint.cautions,
    )
    match joint.verdict:
        case Verdict.FITS_WITH_PARTS:
            return _by_adapter(found, joint, around)
        case Verdict.FITS_AFTER_BENCH_WORK:
            return _by_bench_work(found, joint, around)
        case Verdict.CANNOT_TELL:
            open_, step = _worst_check(joint), joint.next_step
            return found._replace(
                decision=Decision.CONFIRM, code="cart.cannot_tell", check=open_, unknown=True, step=step
            )
        case _:
            return found._replace(decision=Decision.STOP, code="cart.does_not_fit", check=_failed(joint), needs=())


def _by_adapter(found: Finding, joint: JointAnswer, around: Surroundings) -> Finding:
    adapters = [_adapter(need.key, around) for need in joint.needs if need.kind == "adapter"]
    there = tuple(adapter for adapter in adapters if adapter is not None)
    if len(there) == len(adapters):
        return found._replace(code="cart.fits_with_adapter_in_basket", against=(*found.against, *there))
    params = {**found.params, "adapter": joint.needs[0].key.replace("-", " ")}
    return found._replace(decision=Decision.CONFIRM, code="cart.needs_adapter", params=params)


def _adapter(key: str, around: Surroundings) -> Article | None:
    """Give the adapter of the set-up that makes a conversion."""
    known = (conversion for conversion in around.bench.registry.conversions if conversion.key == key)
    for conversion in known:
        wanted = (conversion.from_standard, conversion.to_standard)
        for article in around.adapters:
            if (article.specs.get("converts_from"), article.specs.get("converts_to")) == wanted:
                return article
    return None


def _by_bench_work(found: Finding, joint: JointAnswer, around: Surroundings) -> Finding:
    params = {**found.params, "work": joint.needs[0].key.replace("-", " ")}
    if around.policy.bench_work is BenchWork.IN_BASKET and around.has_workshop:
        return found._replace(code="cart.bench_work_in_basket", params=params)
    return found._replace(decision=Decision.CONFIRM, code="cart.needs_bench_work", params=params)


def _left_behind(article: Article, meeting: Meeting, around: Surroundings) -> Iterator[Finding]:
    """Give what becomes of a part that stays and would be held by the new one."""
    assert meeting.other is not None  # noqa: S101  # what holds something has met it
    params = {"kind": article.kind, "staying": meeting.other.kind}
    found = Finding(Decision.CONFIRM, "", params, against=_against(meeting), needs=meeting.joint.needs)
    match meeting.joint.verdict:
        case Verdict.FITS:
            yield _fits("cart.staying_part_fits", article, meeting, around)
        case Verdict.CANNOT_TELL:
            code, check, step = "cart.staying_part_unknown", _worst_check(meeting.joint), meeting.joint.next_step
            yield found._replace(code=code, check=check, step=step, unknown=True)
        case Verdict.DOES_NOT_FIT:
            yield found._replace(code="cart.staying_part_does_not_fit", check=_failed(meeting.joint))
        case _:
            key = meeting.joint.needs[0].key.replace("-", " ")
            yield found._replace(code="cart.staying_part_needs", params={**params, "need": key})


def _lent(article: Article, meeting: Meeting, is_held: bool, around: Surroundings) -> Iterator[Finding]:
    """Give what a part does to a joint between others that it lends a figure to: a bolt, a spacer."""
    joint, before = meeting.joint, meeting.before
    known = {(check.code, check.outcome) for check in before.checks} if before else set()
    settled = [check for check in joint.checks if (check.code, check.outcome) not in known]
    if joint.verdict is Verdict.DOES_NOT_FIT and before and before.verdict is not Verdict.DOES_NOT_FIT:
        yield _judged(article, meeting, around)
    elif settled and all(check.outcome is Outcome.PASS for check in settled):
        check, against, params = _tightest(settled), _against(meeting), {"kind": article.kind}
        yield Finding(Decision.CLEAR, "cart.goes_with", params, check, against, cautions=joint.cautions)
    elif not is_held:
        yield _unmeasured(article, meeting)


def _unmeasured(article: Article, meeting: Meeting) -> Finding:
    """Ask for the figures that would show whether a bolt is of the right length."""
    open_ = next((check for check in meeting.joint.checks if check.missing), None)
    step = None if open_ is None else _step_to_measure(open_)
    params = {"kind": article.kind}
    return Finding(Decision.CONFIRM, "cart.cannot_tell", params, open_, _against(meeting), unknown=True, step=step)


def _step_to_measure(check: CheckAnswer) -> NextStep:
    side, _, dimension = check.missing[0].partition(".")
    params = {"dimension": dimension, "side": side}
    return NextStep(StepKind.MEASURE, "step.measure", side, dimension, "caliper", params)


def _against(meeting: Meeting) -> tuple[Article, ...]:
    return () if meeting.other is None else (meeting.other,)


def _tightest(checks: Iterable[CheckAnswer]) -> CheckAnswer | None:
    """Give the check that passed by the least probability, the first of several."""
    passed = [check for check in checks if check.outcome is Outcome.PASS]
    return min(passed, key=lambda check: check.probability, default=None)


def _worst_check(joint: JointAnswer) -> CheckAnswer | None:
    """Give the check that most stands in the way, None where nothing was compared."""
    return min(joint.checks, key=_badness, default=None)


_BADNESS = {Outcome.FAIL: 0, Outcome.UNDECIDED: 1, Outcome.NOT_MEASURED: 2, Outcome.PASS: 3}


def _badness(check: CheckAnswer) -> tuple[int, float]:
    return _BADNESS[check.outcome], check.probability


def _failed(joint: JointAnswer) -> CheckAnswer:
    """Give the check that failed; where people found what no figure shows, their finding is the check."""
    worst = _worst_check(joint)
    if worst is not None and worst.outcome is not Outcome.PASS:
        return worst
    nothing = Limits(None, None)
    return CheckAnswer(
        "tried",
        "checkout",
        joint.position,
        Outcome.FAIL,
        None,
        nothing,
        "",
        None,
        joint.probability,
        "outcomes that were told to this service",
        (),
        {},
    )
