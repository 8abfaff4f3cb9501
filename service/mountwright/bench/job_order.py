"""The order in which jobs are done together: what has to be off first, what goes back on, last what stays for good."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain
from typing import TypeVar

from mountwright.bench.jobs import NOTHING, Consumable, Job, Range, Tool, Where, bench_jobs, total
from mountwright.errors import InvalidQuantityError

_Thing = TypeVar("_Thing", bound=str | Tool)


@dataclass(frozen=True)
class BenchPlan:
    """Jobs that are done together on a pair of skates.

    Parameters
    ----------
    jobs : tuple of Job
        In the order in which they are done, each once.
    added : frozenset of str
        Keys of those that nobody asked for and another job needs.

    Raises
    ------
    InvalidQuantityError
        For a job that is there twice, and for an added one that is not there.
    """

    jobs: tuple[Job, ...]
    added: frozenset[str] = frozenset()

    def __post_init__(self) -> None:
        keys = [job.key for job in self.jobs]
        if len(set(keys)) < len(keys) or not self.added <= set(keys):
            raise InvalidQuantityError((keys, sorted(self.added)), "each job once, with those that were added")

    @property
    def minutes(self) -> Range:
        """Give the time of all: the sum of the leasts, of the usual times, of the mosts."""
        return total(job.minutes for job in self.jobs)

    @property
    def consumables_cents(self) -> Range:
        """Give what the consumables cost together, EUR cents."""
        return total(job.consumables_cents for job in self.jobs)

    @property
    def tools(self) -> tuple[Tool, ...]:
        """Give every tool once, in the order in which it is first wanted."""
        return _each_once(job.tools for job in self.jobs)

    @property
    def consumables(self) -> tuple[Consumable, ...]:
        """Give each consumable once, what it costs added up over the jobs."""
        costs: dict[str, Range] = {}
        for each in chain.from_iterable(job.consumables for job in self.jobs):
            costs[each.name] = costs.get(each.name, NOTHING) + each.cost_cents
        return tuple(Consumable(name, cost) for name, cost in costs.items())

    @property
    def cautions(self) -> tuple[str, ...]:
        """Give every caution once, in the order of the jobs."""
        return _each_once(job.cautions for job in self.jobs)

    @property
    def after_checks(self) -> tuple[str, ...]:
        """Give one list of what is looked at once all is done."""
        return _each_once(job.after_checks for job in self.jobs)

    @property
    def can_be_undone(self) -> bool:
        """Tell whether every job can be undone."""
        return all(job.can_be_undone for job in self.jobs)

    @property
    def where(self) -> Where:
        """Tell who may do it: a workshop where one of the jobs is for a workshop."""
        return Where.WORKSHOP if any(job.where is Where.WORKSHOP for job in self.jobs) else Where.HOME


def ordered(jobs: Iterable[Job], known: Mapping[str, Job] | None = None) -> BenchPlan:
    """Give jobs in the order in which they are done, with those that they need.

    A job comes after all that it waits for. Of those that may be next, one that can be undone comes first, then the
    one that stands first among the known jobs: what stays for good is done once everything else has been tried.

    Parameters
    ----------
    jobs : iterable of Job
        A job that is there twice is done once.
    known : Mapping[str, Job] or None
        Where the jobs that they need are found; None for those in the box.

    Raises
    ------
    InvalidQuantityError
        For jobs that wait for each other in a ring, two jobs of one key, and a needed job that nobody knows.
    """
    found = bench_jobs() if known is None else known
    asked = _by_key(jobs)
    chosen = _with_needed(asked, found)
    places = {key: place for place, key in enumerate(chain(found, (key for key in asked if key not in found)))}
    left, done = {key: _waits_for(job, chosen) for key, job in chosen.items()}, list[Job]()
    while left:
        ready = [key for key, waits_for in left.items() if not waits_for & left.keys()]
        if not ready:
            raise InvalidQuantityError(_ring(left), "jobs that do not wait for each other in a ring")
        first = min(ready, key=lambda key: (not chosen[key].can_be_undone, places[key]))
        del left[first]
        done.append(chosen[first])
    return BenchPlan(tuple(done), frozenset(chosen.keys() - asked.keys()))


def _by_key(jobs: Iterable[Job]) -> dict[str, Job]:
    found: dict[str, Job] = {}
    for job in jobs:
        if found.setdefault(job.key, job) != job:
            raise InvalidQuantityError(job.key, "one job under each key")
    return found


def _with_needed(asked: Mapping[str, Job], known: Mapping[str, Job]) -> dict[str, Job]:
    """Add what has to be done before, then what has to be done afterwards, where no other job stands for it."""
    chosen = dict(asked)
    while missing := _missing(chosen):
        key = missing[0]
        if key not in known:
            raise InvalidQuantityError(key, "the key of a known job")
        chosen[key] = known[key]
    return chosen


def _missing(chosen: Mapping[str, Job]) -> list[str]:
    done = {key for job in chosen.values() for key in _counts_as(job)}
    # What comes before is first: only once it is there can be told what still stands for what comes afterwards.
    wanted = [*(job.needs for job in chosen.values()), *(job.then for job in chosen.values())]
    return [key for key in chain.from_iterable(wanted) if key not in done]


def _waits_for(job: Job, chosen: Mapping[str, Job]) -> set[str]:
    """Give the jobs that have to be done before one: also those after which it, or what it stands for, has to come."""
    earlier, counts_as = {*job.needs, *job.after}, _counts_as(job)
    return {
        each.key
        for each in chosen.values()
        if each.key != job.key and (earlier & _counts_as(each) or counts_as & set(each.then))
    }


def _counts_as(job: Job) -> set[str]:
    return {job.key, *job.stands_for}


def _ring(left: Mapping[str, set[str]]) -> list[str]:
    """Give one ring of jobs of which none can be first; each waits for the next."""
    way = [min(left)]
    while (following := min(left[way[-1]] & left.keys())) not in way:
        way.append(following)
    return way[way.index(following) :]


def _each_once(lists: Iterable[Iterable[_Thing]]) -> tuple[_Thing, ...]:
    return tuple(dict.fromkeys(chain.from_iterable(lists)))
