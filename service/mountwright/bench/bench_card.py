"""The bench card's content: jobs in their order, what each needs and takes, what is tightened, what stays for good."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, NamedTuple

from mountwright.bench.heat_moulding import Moulding, heat_moulding
from mountwright.bench.job_order import BenchPlan, ordered
from mountwright.bench.jobs import NOTHING, Consumable, Job, Range, Tool, total
from mountwright.errors import InvalidQuantityError
from mountwright.mounts.kinds import kinds

#: After these the old place of the frame is lost, unless it was marked.
_MOVE_FRAME = frozenset({"take_frame_off", "shift_frame"})

#: The job of which the maker's figures are told, and what it is for where nobody names a part.
_MOULDS, _MOULDED = "heat_mould_liner", "liner"


class Side(StrEnum):
    """Which of the two skates is worked on."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


@dataclass(frozen=True)
class CardPart:
    """A part that lies on the bench.

    Parameters
    ----------
    kind : str
        One of :func:`mountwright.mounts.kinds.kinds`.
    sku, name, place : str
        Empty where it has none; the place is where it goes, as the fitter says it.
    pieces : int or None
        How many lie there, 1 or more; None where nobody said.
    specs : Mapping[str, Any]
        Its figures, as the catalogue keeps them.

    Raises
    ------
    InvalidQuantityError
        For an unknown kind, and for less than one piece.
    """

    kind: str
    sku: str = ""
    name: str = ""
    place: str = ""
    pieces: int | None = None
    specs: Mapping[str, Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if self.kind not in kinds():
            raise InvalidQuantityError(self.kind, "a kind of article")
        if self.pieces is not None and self.pieces < 1:
            raise InvalidQuantityError(self.pieces, "one piece at least")


@dataclass(frozen=True)
class Target:
    """Where a job is done.

    Parameters
    ----------
    parts : tuple of int
        Places of the parts that it is done with, on the card.
    place : str
        As the fitter says it; may be empty.
    side : Side
    """

    parts: tuple[int, ...] = ()
    place: str = ""
    side: Side = Side.BOTH


@dataclass(frozen=True)
class Task:
    """A job that is asked for, and where it is done."""

    job: Job
    target: Target = Target()


@dataclass(frozen=True)
class CardTorque:
    """How tight the fasteners of one kind are turned in a job.

    Parameters
    ----------
    kind : str
    torque_n_m : float or None
        The maker's figure of the part; None where no part of the job has one, or several have others.
    part : int or None
        Place on the card of the part whose figure it is.

    Raises
    ------
    InvalidQuantityError
        For a figure of no part, and a part without its figure.
    """

    kind: str
    torque_n_m: float | None = None
    part: int | None = None

    def __post_init__(self) -> None:
        if (self.torque_n_m is None) != (self.part is None):
            raise InvalidQuantityError((self.torque_n_m, self.part), "a figure with the part that it is of, or neither")


class PartMoulding(NamedTuple):
    """What is known of a part that is moulded: its place on the card, None where nobody names it."""

    part: int | None
    moulding: Moulding


@dataclass(frozen=True)
class CardJob:
    """One job on the card.

    Parameters
    ----------
    job : Job
    targets : tuple of Target
        Where it is done; none for one that nobody asked for.
    needed_by : tuple of str
        Keys of the asked jobs that need it, where nobody asked for it.
    torques : tuple of CardTorque
    mouldings : tuple of PartMoulding
        Of each part that is moulded; of other jobs none.
    """

    job: Job
    targets: tuple[Target, ...]
    needed_by: tuple[str, ...]
    torques: tuple[CardTorque, ...]
    mouldings: tuple[PartMoulding, ...] = ()

    @property
    def times(self) -> int:
        """Give how often it is done: once for each place; left and right of one place are a pair, and once."""
        return len({(target.parts, target.place) for target in self.targets}) or 1

    @property
    def minutes(self) -> Range:
        """Give its time on a pair of skates, at all of its places."""
        return total([self.job.minutes] * self.times)


@dataclass(frozen=True)
class Use:
    """A tool, and the keys of the jobs that it is wanted for, in their order."""

    tool: Tool
    jobs: tuple[str, ...]


@dataclass(frozen=True)
class BenchCard:
    """All that is done on a pair of skates.

    Parameters
    ----------
    jobs : tuple of CardJob
        In the order in which they are done, one at least.
    parts : tuple of CardPart

    Raises
    ------
    InvalidQuantityError
        Without a job, and for a job at a part that is not there.
    """

    jobs: tuple[CardJob, ...]
    parts: tuple[CardPart, ...] = ()

    def __post_init__(self) -> None:
        if not self.jobs:
            raise InvalidQuantityError(self.jobs, "a job at least")
        _require_parts((target for each in self.jobs for target in each.targets), self.parts)

    @property
    def minutes(self) -> Range:
        """Give the time of all: the sum of the leasts, of the usual times, of the mosts."""
        return total(each.minutes for each in self.jobs)

    @property
    def tools(self) -> tuple[Use, ...]:
        """Give every tool once, in the order in which it is first wanted, with the jobs that it is wanted for."""
        wanted: dict[Tool, list[str]] = {}
        for each in self.jobs:
            for tool in each.job.tools:
                wanted.setdefault(tool, []).append(each.job.key)
        return tuple(Use(tool, tuple(keys)) for tool, keys in wanted.items())

    @property
    def consumables(self) -> tuple[Consumable, ...]:
        """Give each consumable once, what it costs added up over jobs and places."""
        costs: dict[str, Range] = {}
        for each in self.jobs:
            for used in each.job.consumables:
                costs[used.name] = total([costs.get(used.name, NOTHING), *[used.cost_cents] * each.times])
        return tuple(Consumable(name, cost) for name, cost in costs.items())

    @property
    def after_checks(self) -> tuple[str, ...]:
        """Give one list of what is looked at once all is done."""
        return self._plan.after_checks

    @property
    def for_good(self) -> tuple[Job, ...]:
        """Give the jobs that cannot be undone."""
        return tuple(each.job for each in self.jobs if not each.job.can_be_undone)

    @property
    def moves_frame(self) -> bool:
        """Tell whether a job takes the frame from where it stands."""
        return any(each.job.key in _MOVE_FRAME for each in self.jobs)

    @property
    def _plan(self) -> BenchPlan:
        return BenchPlan(tuple(each.job for each in self.jobs))


def bench_card(tasks: Sequence[Task], parts: Sequence[CardPart], known: Mapping[str, Job]) -> BenchCard:
    """Give the card of the jobs that are asked for, with those that they need.

    Parameters
    ----------
    tasks : sequence of Task
        One at least; a job that is there twice is done once at each place.
    parts : sequence of CardPart
    known : Mapping[str, Job]
        Where the jobs that they need are found.

    Raises
    ------
    InvalidQuantityError
        Without a task, for one at a part that is not there, and for jobs that wait for each other in a ring.
    """
    _require_parts((task.target for task in tasks), parts)
    plan = ordered((task.job for task in tasks), known)
    jobs = [_card_job(job, plan, tasks, parts) for job in plan.jobs]
    return BenchCard(tuple(jobs), tuple(parts))


def jobs_to_fit(kind: str, known: Mapping[str, Job]) -> tuple[Job, ...]:
    """Give the jobs that may put an article of a kind on, those left out that another of them stands for.

    One job answers by itself, none says that there is nothing to do, and of several somebody has to choose.
    """
    jobs = [job for job in known.values() if kind in job.fits]
    return tuple(job for job in jobs if not any(job.key in other.stands_for for other in jobs))


def mouldings(job: Job, named: Iterable[int], parts: Sequence[CardPart]) -> tuple[PartMoulding, ...]:
    """Give what is known of each part that a job moulds by heat; none for any other job.

    Where no part is named, nothing is known of the liner that is meant.
    """
    if job.key != _MOULDS:
        return ()
    found = tuple(PartMoulding(index, _moulding(parts[index])) for index in named)
    return found or (PartMoulding(None, _moulding(CardPart(_MOULDED))),)


def _require_parts(targets: Iterable[Target], parts: Sequence[CardPart]) -> None:
    beyond = sorted({index for target in targets for index in target.parts} - set(range(len(parts))))
    if beyond:
        raise InvalidQuantityError(beyond, "parts that are on the card")


def _moulding(part: CardPart) -> Moulding:
    figures = (part.specs.get(name) for name in ("mouldable", "moulding_temperature_c", "moulding_time_min"))
    return heat_moulding(part.kind, *figures)


def _card_job(job: Job, plan: BenchPlan, tasks: Sequence[Task], parts: Sequence[CardPart]) -> CardJob:
    targets = tuple(dict.fromkeys(task.target for task in tasks if task.job.key == job.key))
    needed_by = tuple(_needing(job.key, plan)) if job.key in plan.added else ()
    # What a job that nobody asked for tightens belongs to those that need it.
    concerned = {job.key, *needed_by}
    named = {index: None for task in tasks if task.job.key in concerned for index in task.target.parts}
    torques = tuple(_torque(kind, named, parts) for kind in job.tightens)
    return CardJob(job, targets, needed_by, torques, mouldings(job, named, parts))


def _needing(key: str, plan: BenchPlan) -> Iterator[str]:
    """Give the keys of the asked jobs on whose account a job is done, in their order."""
    for each in plan.jobs:
        if each.key not in plan.added and key in _drawn_in(each.key, plan):
            yield each.key


def _drawn_in(key: str, plan: BenchPlan) -> set[str]:
    """Give the keys of the added jobs that one asked job draws in, and of those that these draw in."""
    by_key = {job.key: job for job in plan.jobs}
    found, left = set[str](), [key]
    while left:
        job = by_key[left.pop()]
        further = ({*job.needs, *job.then} & plan.added) - found
        found |= further
        left += sorted(further)
    return found


def _torque(kind: str, named: Iterable[int], parts: Sequence[CardPart]) -> CardTorque:
    """Give the maker's torque of the parts that a job names; none where they have none, or not all the same."""
    of_kind = [index for index in named if parts[index].kind == kind]
    figures = {parts[index].specs.get("torque_n_m") for index in of_kind}
    figure = figures.pop() if len(figures) == 1 else None
    return CardTorque(kind) if figure is None else CardTorque(kind, figure, of_kind[0])
