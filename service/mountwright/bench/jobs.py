"""The jobs that a bench does, from ``jobs.toml``; a plugin may add its own by the same form.

Times and consumables are for a pair of skates. No torque is in here: a figure comes from the maker of the article.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib import resources
from math import isfinite
from types import MappingProxyType
from typing import Any

from mountwright.errors import InvalidQuantityError, StandardsFileError
from mountwright.mounts.kinds import kinds
from mountwright.mounts.toml_table import Table
from mountwright.riding.coefficients import STANDINGS

#: Currency of what consumables usually cost.
COST_CURRENCY = "EUR"

#: What stands for a torque that the maker's article does not give.
BY_MAKERS_SHEET = "by the maker's sheet"

_KEY = re.compile(r"[a-z][a-z0-9]*(?:[_-][a-z0-9]+)*")


class Where(StrEnum):
    """Who may do a job."""

    HOME = "home"
    WORKSHOP = "workshop"


class Risk(StrEnum):
    """How much a slip costs, the least first: nothing, a part, or a fall."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"


@dataclass(frozen=True)
class Range:
    """A whole number that is known within bounds only: minutes, or minor units of a currency.

    Parameters
    ----------
    least, usual, most : int
        0 or more, in this order; both bounds inclusive.

    Raises
    ------
    InvalidQuantityError
        For other numbers and for those out of order.
    """

    least: int
    usual: int
    most: int

    def __post_init__(self) -> None:
        found = (self.least, self.usual, self.most)
        if not (all(type(each) is int for each in found) and 0 <= self.least <= self.usual <= self.most):
            raise InvalidQuantityError(found, "whole numbers of 0 or more: the least, the usual, the most")

    def __add__(self, other: Range) -> Range:
        return Range(self.least + other.least, self.usual + other.usual, self.most + other.most)


NOTHING = Range(0, 0, 0)


def total(ranges: Iterable[Range]) -> Range:
    """Give the sum of ranges: of the leasts, of the usual values, of the mosts; nothing for none."""
    return sum(ranges, NOTHING)


@dataclass(frozen=True, order=True)
class Tool:
    """A tool.

    Parameters
    ----------
    name : str
    size : str
        With its unit; empty for a tool that comes in one size.

    Raises
    ------
    InvalidQuantityError
        Without a name.
    """

    name: str
    size: str = ""

    def __post_init__(self) -> None:
        if not self.name:
            raise InvalidQuantityError(self.name, "the name of a tool")

    def __str__(self) -> str:
        return f"{self.name} {self.size}".strip()


@dataclass(frozen=True)
class Consumable:
    """What a job uses up.

    Parameters
    ----------
    name : str
    cost_cents : Range
        For a pair of skates, EUR cents: an estimate.

    Raises
    ------
    InvalidQuantityError
        Without a name.
    """

    name: str
    cost_cents: Range

    def __post_init__(self) -> None:
        if not self.name:
            raise InvalidQuantityError(self.name, "the name of a consumable")


@dataclass(frozen=True)
class Torque:
    """How tight a fastener is turned.

    Parameters
    ----------
    kind : str
        Of the article that is tightened.
    torque_n_m : float or None
        The maker's figure, above 0; None where the article gives none.

    Raises
    ------
    InvalidQuantityError
        For a figure that is no torque.
    """

    kind: str
    torque_n_m: float | None = None

    def __post_init__(self) -> None:
        if self.torque_n_m is not None and not (isfinite(self.torque_n_m) and self.torque_n_m > 0):
            raise InvalidQuantityError(self.torque_n_m, "a torque above 0 N m, or none")

    def __str__(self) -> str:
        return BY_MAKERS_SHEET if self.torque_n_m is None else f"{self.torque_n_m:.6g} N m"


@dataclass(frozen=True)
class Job:
    """One job.

    Parameters
    ----------
    key : str
    title : str
    steps : tuple of str
        What is done, in order, one at least.
    minutes : Range
        On a pair of skates, above 0, without the jobs that it needs before and after.
    can_be_undone : bool
    where : Where
    risk : Risk
    standing : str
        Of its figures: ``common practice`` or ``estimate``.
    tools : tuple of Tool
    consumables : tuple of Consumable
    tightens : tuple of str
        Kinds of articles that are tightened, each one that has a torque.
    cautions : tuple of str
        One at least where something can go wrong for good.
    after_checks : tuple of str
        What is looked at once it is done; one at least where something is tightened.
    needs : tuple of str
        Keys of jobs that have to be done before it, asked for or not.
    then : tuple of str
        Keys of jobs that have to be done after it, asked for or not.
    after : tuple of str
        Keys of jobs that come before it where both are done.
    stands_for : tuple of str
        Keys of jobs that need not be done where it is done: it counts as these, too.
    fits : tuple of str
        Kinds of articles that it puts on.

    Raises
    ------
    InvalidQuantityError
        When anything of this is missing, unknown or contradicts itself.
    """

    key: str
    title: str
    steps: tuple[str, ...]
    minutes: Range
    can_be_undone: bool
    where: Where
    risk: Risk
    standing: str
    tools: tuple[Tool, ...] = ()
    consumables: tuple[Consumable, ...] = ()
    tightens: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    after_checks: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    then: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    stands_for: tuple[str, ...] = ()
    fits: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for holds, found, expected in (*self._told(), *self._named(), *self._careful()):
            if not holds:
                raise InvalidQuantityError(f"{self.key}: {found}", expected)

    @property
    def consumables_cents(self) -> Range:
        """Give what the consumables cost together, EUR cents."""
        return total(each.cost_cents for each in self.consumables)

    def refers_to(self) -> frozenset[str]:
        """Give the keys of all jobs that it names."""
        return frozenset((*self.needs, *self.then, *self.after, *self.stands_for))

    def torques(self, given_n_m: Mapping[str, float] = MappingProxyType({})) -> tuple[Torque, ...]:
        """Give how tight each kind of fastener is turned.

        Parameters
        ----------
        given_n_m : Mapping[str, float]
            By kind, what the article's ``torque_n_m`` says; a kind without it is left to the maker's sheet.
        """
        return tuple(Torque(kind, given_n_m.get(kind)) for kind in self.tightens)

    def _told(self) -> Iterator[tuple[bool, object, str]]:
        yield _KEY.fullmatch(self.key) is not None, self.key, "a key of lower-case words"
        yield bool(self.title) and bool(self.steps), (self.title, self.steps), "a title and a step at least"
        texts = (*self.steps, *self.cautions, *self.after_checks)
        yield all(texts), texts, "texts with something in them"
        yield self.minutes.least > 0, self.minutes.least, "work that takes a minute at least"
        yield self.standing in STANDINGS, self.standing, " or ".join(STANDINGS)

    def _named(self) -> Iterator[tuple[bool, object, str]]:
        unknown = sorted({*self.fits, *self.tightens} - kinds().keys())
        yield not unknown, unknown, "kinds of articles"
        loose = [kind for kind in self.tightens if kind in kinds() and "torque_n_m" not in kinds()[kind].specs]
        yield not loose, loose, "kinds of articles that have a torque"
        yield self.key not in self.refers_to(), self.key, "a job that does not wait for itself"

    def _careful(self) -> Iterator[tuple[bool, object, str]]:
        is_harmless = self.can_be_undone and self.risk is Risk.LOW
        yield is_harmless or bool(self.cautions), self.risk, "a caution where something can go wrong for good"
        yield self.risk is not Risk.HIGH or self.where is Where.WORKSHOP, self.where, "a workshop for high risk"
        yield not self.tightens or bool(self.after_checks), self.tightens, "a check after something was tightened"


@cache
def bench_jobs() -> Mapping[str, Job]:
    """Give the jobs in the box by key, in the file's order."""
    text = resources.files(__package__).joinpath("jobs.toml").read_text(encoding="utf-8")
    return read_jobs(tomllib.loads(text), "jobs.toml")


@cache
def jobs_fitting(kind: str) -> tuple[Job, ...]:
    """Give the jobs in the box that put an article of a kind on, in the file's order; none for an unknown kind."""
    return tuple(job for job in bench_jobs().values() if kind in job.fits)


def in_words(jobs: Mapping[str, Job], said: Callable[[str], str]) -> Mapping[str, Job]:
    """Give jobs with their texts said otherwise, as in another language.

    Parameters
    ----------
    jobs : Mapping[str, Job]
    said : callable
        Gives what stands for a text.
    """
    return MappingProxyType({key: _in_words(job, said) for key, job in jobs.items()})


def _in_words(job: Job, said: Callable[[str], str]) -> Job:
    return replace(
        job,
        title=said(job.title),
        steps=tuple(map(said, job.steps)),
        tools=tuple(Tool(said(tool.name), said(tool.size) if tool.size else "") for tool in job.tools),
        consumables=tuple(replace(each, name=said(each.name)) for each in job.consumables),
        cautions=tuple(map(said, job.cautions)),
        after_checks=tuple(map(said, job.after_checks)),
    )


def read_jobs(
    rows: Mapping[str, Any], file: str, beside: Mapping[str, Job] = MappingProxyType({})
) -> Mapping[str, Job]:
    """Read jobs from the rows of a file.

    Parameters
    ----------
    rows : Mapping
        One table a job, by key, as TOML has them.
    file : str
        Its name, for the faults.
    beside : Mapping[str, Job]
        Jobs that are there already, which the new ones may name: a plugin's rows stand beside :func:`bench_jobs`.

    Returns
    -------
    Mapping[str, Job]
        Those that were there and the new ones behind them, in the order of the rows.

    Raises
    ------
    StandardsFileError
        With every fault found: a field that is missing or unknown, a key that is taken, a job that nobody knows.
    """
    faults: list[str] = []
    top = Table(dict(rows), "", faults)
    read = {key: job for key in rows if (job := _job(key, top))}
    faults += [f"{key}: the key is taken" for key in rows if key in beside]
    known = {**beside, **read}
    for job in read.values():
        # Of a row that has a fault itself, nothing more has to be said of those that name it.
        faults += [f"{job.key}: no job {key!r}" for key in sorted(job.refers_to() - known.keys() - rows.keys())]
    if faults:
        raise StandardsFileError(file, faults)
    return MappingProxyType(known)


def _job(key: str, top: Table) -> Job | None:
    """Read one row; None, and a fault noted, where it is no job."""
    before = len(top.faults)
    table = top.table(key)
    fields = _fields(table) if table else {}
    if len(top.faults) > before:
        return None
    try:
        return Job(key, **fields)
    except InvalidQuantityError as error:
        top.faults.append(f"{key}: {error}")
        return None


def _fields(table: Table) -> dict[str, Any]:
    lists = ("tightens", "cautions", "after_checks", "needs", "then", "after", "stands_for", "fits")
    fields = {
        "title": table.text("title"),
        "steps": table.texts("steps"),
        "minutes": _range(table, "minutes"),
        "can_be_undone": _flag(table, "can_be_undone"),
        "where": _member(table, "where", Where),
        "risk": _member(table, "risk", Risk),
        "standing": table.text("standing"),
        "tools": tuple(_tool(each) for each in table.tables("tools")),
        "consumables": tuple(_consumable(each) for each in table.tables("consumables")),
        **{name: table.texts(name, ()) for name in lists},
    }
    table.nothing_else()
    return fields


def _tool(table: Table) -> Tool | None:
    name, size = table.text("name"), table.text("size", "")
    table.nothing_else()
    return Tool(name, size) if name else None


def _consumable(table: Table) -> Consumable | None:
    name, cost = table.text("name"), _range(table, "cost_cents")
    table.nothing_else()
    return Consumable(name, cost) if name and cost else None


def _flag(table: Table, name: str) -> bool:
    """Read a yes or no that nobody may leave open."""
    if name not in table.names():
        table.fault(f"{name}: missing")
    return table.flag(name)


def _member(table: Table, name: str, members: type[Where] | type[Risk]) -> Where | Risk | None:
    found = table.text(name)
    if found in set(members):
        return members(found)
    if not table.is_faulty(name):
        table.fault(f"{name}: found {found!r}, expected one of {', '.join(members)}")
    return None


def _range(table: Table, name: str) -> Range | None:
    found = table.value(name)
    try:
        return Range(*found)
    except (InvalidQuantityError, TypeError):
        if not table.is_faulty(name):
            table.fault(f"{name}: found {found!r}, expected three whole numbers: the least, the usual, the most")
        return None
