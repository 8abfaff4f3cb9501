"""The upgrade path: stages that each leave a skate that goes together, and the reason for every step."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import chain, islice
from math import prod
from typing import NamedTuple

from mountwright.bench.job_order import BenchPlan
from mountwright.bench.job_order import ordered as jobs_ordered
from mountwright.checkout.article import Article
from mountwright.checkout.finding import Finding
from mountwright.checkout.till import Till
from mountwright.fitting.answers import NextStep
from mountwright.upgrading.aims import Looked
from mountwright.upgrading.another_skate import Against, AnotherSkate, another_skate
from mountwright.upgrading.complaints import Complaint, Severity
from mountwright.upgrading.customer import Candidate, Customer
from mountwright.upgrading.effects import Effect, effect_of
from mountwright.upgrading.known_causes import known_causes
from mountwright.upgrading.offers import Offer, Reason
from mountwright.upgrading.options import Choice, Terms, problem_of
from mountwright.upgrading.ordering import Task, ordered
from mountwright.upgrading.plan import Plan, Step, valued
from mountwright.upgrading.problem import Problem
from mountwright.upgrading.rivals import FrontPoint, Rival, front, rivals, winning_price_minor
from mountwright.upgrading.robustness import Spread, kept_places
from mountwright.upgrading.staging import checks_of, conflict_in, staged
from mountwright.upgrading.unchosen import Unchosen, unchosen


class Outcome(StrEnum):
    """What a path comes to."""

    PATH = "path"
    FREE_WORK_ONLY = "free_work_only"
    NOTHING_HELPS = "nothing_helps"
    MEASURE_FIRST = "measure_first"
    STOP_USING = "stop_using"
    ANOTHER_SKATE = "another_skate"


class PathStep(NamedTuple):
    """A step of the path.

    Parameters
    ----------
    step : Step
        As the plan has it.
    offer : Offer
    old : Article or None
        What it takes the place of.
    keeps_place : float
        How often it keeps its place in its stage, within 0 and 1, both inclusive.
    findings : tuple of Finding
        What the basket's rules found of it on the skate of its stage; none for work without a part.
    """

    step: Step
    offer: Offer
    old: Article | None
    keeps_place: float
    findings: tuple[Finding, ...] = ()

    @property
    def effect(self) -> Effect:
        """Give what it changes about how the skate stands."""
        return effect_of(self.offer.article, self.old)


class Served(NamedTuple):
    """A complaint or hazard, how much of it the path does away with, and the first stage that does anything about it.

    Parameters
    ----------
    complaint : Complaint
    relief : float
        In the end, within 0 and 1.
    stage : int or None
        None where nothing in the path helps.
    """

    complaint: Complaint
    relief: float
    stage: int | None


class OtherPath(NamedTuple):
    """Another plan, in which a complaint is served by something else, and the price at which that would win."""

    rival: Rival
    wins_at_minor: int | None


@dataclass(frozen=True, eq=False)
class Path:
    """The answer.

    Parameters
    ----------
    outcome : Outcome
    plan : Plan
    stages : tuple of tuple of PathStep
        One for each instalment, in order; may be empty.
    hazards, complaints : tuple of Served
        The gravest first; in the rider's order.
    bench : BenchPlan
        All work of the path, in the order in which it would be done together.
    other_skate : AnotherSkate or None
    others : tuple of OtherPath
        None where time ended before the plan was proved.
    front : tuple of FrontPoint
        Of the first complaint, all money at once; none without a complaint, where the skate is not to be
        ridden, or where time ended before the plan was proved.
    not_chosen : tuple of Unchosen
    next_step : NextStep or None
        What to look at or measure before anything is bought, where that is why nothing can be said.
    choice : Choice
    """

    outcome: Outcome
    plan: Plan
    stages: tuple[tuple[PathStep, ...], ...]
    hazards: tuple[Served, ...]
    complaints: tuple[Served, ...]
    bench: BenchPlan
    other_skate: AnotherSkate | None
    others: tuple[OtherPath, ...]
    front: tuple[FrontPoint, ...]
    not_chosen: tuple[Unchosen, ...]
    next_step: NextStep | None
    choice: Choice


class Wanted(NamedTuple):
    """What a path is planned with beside the customer.

    Parameters
    ----------
    candidates : Mapping[str, sequence of Candidate]
    skates : sequence of Article
        Complete ones, the cheapest first.
    trade_in_minor : int
    terms : Terms
    most_others : int
        How many other plans are given.
    time_limit_s : float
        Until the plan has to be proved, above 0.
    """

    candidates: Mapping[str, Sequence[Candidate]]
    skates: Sequence[Article]
    trade_in_minor: int
    terms: Terms
    most_others: int = 2
    time_limit_s: float = 2.0


def path_of(customer: Customer, wanted: Wanted, till: Till) -> Path:
    """Give the path.

    Parameters
    ----------
    customer : Customer
    wanted : Wanted
    till : Till
        Where the basket's rules are asked.

    Raises
    ------
    InvalidQuantityError
        For a complaint that is not known, and figures too large to be planned.
    """
    looked = _looked(customer, wanted.terms)
    choice = problem_of(customer, wanted.candidates, till, replace(wanted.terms, looked=looked))
    done = staged(choice, customer, till, wanted.time_limit_s)
    plan, problem = done.plan, done.problem
    is_done_with = _is_done_with(plan, choice)
    if is_done_with:
        plan = Plan((), valued(problem, ()), is_proved=plan.is_proved, bound=plan.bound)
    findings = checks_of(plan, choice, customer, till)
    served = [_served(each, plan, choice) for each in choice.aims.all]
    against = Against(choice.aims, problem, plan)
    other = another_skate(customer, wanted.skates, wanted.trade_in_minor, against, till)
    next_step = _first_look(choice)
    return Path(
        _outcome(plan, served, other, next_step),
        plan,
        tuple([_stage(number, plan, choice, customer, findings) for number in range(1, len(problem.stages) + 1)]),
        tuple([each for each in served if each.complaint.severity is not None]),
        tuple([each for each in served if each.complaint.severity is None]),
        jobs_ordered([choice.jobs[key] for key in _jobs(plan, choice)], choice.jobs),
        other,
        tuple(islice(_others(problem, plan, choice, customer, till), wanted.most_others)),
        front(problem) if problem.complaints and plan.is_proved and not is_done_with else (),
        unchosen(choice, plan, customer),
        next_step,
        choice,
    )


def _looked(customer: Customer, terms: Terms) -> Mapping[str, Looked]:
    """Give what was looked at of what the customer complains of; a look goes before what is known without one."""
    known = known_causes(customer.owned)
    codes = [code for code in customer.complaints if code in known or code in terms.looked]
    return {code: {**known.get(code, {}), **terms.looked.get(code, {})} for code in codes}


def _is_done_with(plan: Plan, choice: Choice) -> bool:
    """Tell whether the skate is not to be ridden and the plan does not change that: then nothing is sold for it."""
    stops = [each for each in choice.aims.hazards if each.severity is Severity.STOP]
    return any(not _served(each, plan, choice).relief for each in stops)


def _offer(step: Step, choice: Choice) -> Offer:
    return choice.offers[step.position, step.option.key]


def _jobs(plan: Plan, choice: Choice) -> Iterator[str]:
    return chain.from_iterable(_offer(step, choice).work.jobs for step in plan.steps)


def _served(complaint: Complaint, plan: Plan, choice: Choice) -> Served:
    helping = [(step.stage, band) for step in plan.steps if (band := _offer(step, choice).serves.get(complaint.code))]
    working = [(stage, band.likely) for stage, band in helping if band.likely > 0]
    left = prod(1 - share for _, share in working)
    return Served(complaint, 1 - left, min((stage for stage, _ in working), default=None))


def _outcome(plan: Plan, served: Sequence[Served], other: AnotherSkate | None, next_step: NextStep | None) -> Outcome:
    stops = [each for each in served if each.complaint.severity is Severity.STOP]
    if any(each.relief == 0 for each in stops):
        return Outcome.STOP_USING
    if next_step is not None and not any(step.option.parts_minor for step in plan.steps):
        return Outcome.MEASURE_FIRST
    if other is not None and other.wins:
        return Outcome.ANOTHER_SKATE
    if not plan.steps:
        return Outcome.NOTHING_HELPS
    return Outcome.PATH if plan.cost_minor else Outcome.FREE_WORK_ONLY


def _stage(
    number: int, plan: Plan, choice: Choice, customer: Customer, findings: Mapping[Step, tuple[Finding, ...]]
) -> tuple[PathStep, ...]:
    """Give the steps of a stage in the order in which they do most for their price, and how sure that order is."""
    steps = {f"{step.position} {step.option.key}": step for step in plan.at(number)}
    hazards = frozenset(key for key, step in steps.items() if any(step.option.hazards))
    tasks = [_task(key, step, choice, hazards) for key, step in steps.items()]
    spreads = {key: _spread(_offer(step, choice), choice, customer) for key, step in steps.items()}
    kept = kept_places(tasks, spreads)
    return tuple(
        [
            PathStep(steps[task.key], offer, _old(offer, customer), kept[task.key], findings.get(steps[task.key], ()))
            for task in ordered(tasks)
            for offer in [_offer(steps[task.key], choice)]
        ]
    )


#: Steps of how often something helps: inside a stage, whole half-halvings are too coarse to tell two apart.
_FINE = 1000

#: Money goes before time: so many minutes weigh as much as one minor unit.
_MINUTES_A_UNIT = 1000


def _task(key: str, step: Step, choice: Choice, hazards: frozenset[str]) -> Task:
    """Give a step as something to be put in order: everything waits for what takes a hazard away."""
    option, serves = step.option, _offer(step, choice).serves
    helps = [round(_FINE * serves[each.code].likely) if each.code in serves else 0 for each in choice.aims.all]
    gains = (*helps, option.wishes, max(0, option.gain))
    price = option.cost_minor * _MINUTES_A_UNIT + option.minutes
    return Task(key, gains, price, frozenset() if key in hazards else hazards)


def _spread(offer: Offer, choice: Choice, customer: Customer) -> Spread:
    """Give between what points and prices of a step may lie."""
    aims, option = choice.aims, offer.option("")
    helps = [_helps(offer, each.code) for each in aims.all]
    gain = float(max(0, option.gain))
    minutes, wage = offer.work.minutes, customer.labour_minor_per_hour if offer.work.labour_minor else 0
    fixed = float(offer.parts_minor + offer.work.consumables_minor)
    wishes = (float(option.wishes), float(option.wishes))
    price = tuple((fixed + each * wage / 60) * _MINUTES_A_UNIT + each for each in (minutes.least, minutes.most))
    return Spread((*helps, wishes, (gain / 2, gain * 3 / 2)), (price[0], price[1]))


def _helps(offer: Offer, code: str) -> tuple[float, float]:
    band = offer.serves.get(code)
    return (0.0, 0.0) if band is None else (_FINE * band.low, _FINE * band.high)


def _old(offer: Offer, customer: Customer) -> Article | None:
    fitted = customer.owned.versions[0].fitted
    kind = "" if offer.article is None else offer.article.kind
    return next((each.article for each in fitted if each.article.kind == kind), None)


def _others(problem: Problem, plan: Plan, choice: Choice, customer: Customer, till: Till) -> Iterator[OtherPath]:
    # What else would do takes many plans more, each of which would run out of time as this one did.
    for rival in rivals(problem, plan, len(problem.complaints)) if plan.is_proved else ():
        if conflict_in(rival.plan, choice, customer, till) is None:
            yield OtherPath(rival, None if rival.remedy is None else winning_price_minor(problem, rival.remedy))


def _first_look(choice: Choice) -> NextStep | None:
    """Give what to look at on the boot where of a kind that would help nothing is known to go on, for want of that.

    Of several, what would settle it for most of what is refused; of equal ones the last in order of their codes.
    """
    helping = {by for each in choice.aims.all for by in each.helped_by}
    sold = {offer.article.kind for offer in choice.offers.values() if offer.article is not None}
    steps = [
        finding.step
        for left in choice.left_out
        if left.reason is Reason.DOES_NOT_GO_ON and left.article.kind in helping - sold
        for finding in choice.compatibility.refused[left.article]
        if finding.unknown and finding.step is not None and finding.step.side in _OF_THE_BOOT
    ]
    often = Counter((step.code, step.what) for step in steps)
    return max(steps, key=lambda step: (often[step.code, step.what], step.code, step.what, step.side), default=None)


#: Sides of a joint that belong to the skate itself.
_OF_THE_BOOT = ("skate", "boot")
