"""What a job of the bench takes from a customer: time, labour unless it is done at home, and what it uses up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from mountwright.bench.job_order import ordered
from mountwright.bench.jobs import COST_CURRENCY, NOTHING, Job, Range, Where
from mountwright.upgrading.customer import Customer

_MINUTES_PER_HOUR = 60


class Work(NamedTuple):
    """What is done on the bench for one change, as if nothing else were done with it.

    Jobs that are done together share what they begin and end with, and so take less; they never take more.

    Parameters
    ----------
    jobs : tuple of str
        Keys of bench jobs, without those that they need before and after.
    minutes : Range
        With these.
    labour_minor : int
        Of the workshop for the usual time, minor units, rounded up; 0 for what is done at home.
    consumables_minor : int
        What is usually used up, minor units; 0 where it is priced in another currency.
    """

    jobs: tuple[str, ...] = ()
    minutes: Range = NOTHING
    labour_minor: int = 0
    consumables_minor: int = 0


NO_WORK = Work()


def fitting_job(kind: str, is_there: bool, known: Mapping[str, Job], asked: Iterable[str] = ()) -> Job | None:
    """Give the job that puts an article of a kind on, None where there is no such job.

    Parameters
    ----------
    kind : str
    is_there : bool
        Whether something of the kind stands on the skate: a brake is changed by another job than it is first fitted by.
    known : Mapping[str, Job]
        By key, in their file's order.
    asked : iterable of str
        Keys of jobs that the complaints name, the first first: a bolt may be for the frame or for the cuff.
    """
    jobs = [job for job in known.values() if kind in job.fits]
    if kind in _FIRST_FITTED:
        found = next((job for job in jobs if is_there or job.key == _FIRST_FITTED[kind]), None)
    else:
        named = [known[key] for key in asked if key in known and known[key] in jobs]
        found = next(iter((*named, *jobs)), None)
    # A shop that has its own way to do it says so by a job that stands for the one in the box.
    return next((job for job in jobs if found is not None and found.key in job.stands_for), found)


#: By kind the job of what was not there before, where that is not the job of a change.
_FIRST_FITTED = {"brake": "fit_brake"}


def work_of(job: Job | None, customer: Customer, known: Mapping[str, Job]) -> Work:
    """Give what a job takes; nothing where there is none.

    Parameters
    ----------
    job : Job or None
    customer : Customer
        What is for a workshop only stays there, whatever the customer does at home.
    known : Mapping[str, Job]
        Where the jobs that it needs are found.

    Raises
    ------
    InvalidQuantityError
        For a job that needs one that nobody knows.
    """
    if job is None:
        return NO_WORK
    plan = ordered([job], known)
    at_home = job.key in customer.at_home and plan.where is Where.HOME
    labour = 0 if at_home else -(-plan.minutes.usual * customer.labour_minor_per_hour // _MINUTES_PER_HOUR)
    used = plan.consumables_cents.usual if customer.money.currency == COST_CURRENCY else 0
    return Work((job.key,), plan.minutes, labour, used)
