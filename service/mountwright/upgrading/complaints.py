"""What riders complain of, from ``complaints.toml``: the usual causes, how each is found out, and what helps.

All of it is common practice with the range in which shops differ. Nothing in here examines a foot or a fall.
"""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from math import fsum
from types import MappingProxyType
from typing import Any

from mountwright.bench.jobs import bench_jobs
from mountwright.errors import InvalidQuantityError
from mountwright.mounts.kinds import kinds
from mountwright.riding.band import Band, exactly
from mountwright.riding.coefficients import STANDINGS

#: A code that is far too long is like none, and costly to compare.
_LONGEST_CODE = 60


class Severity(StrEnum):
    """How dangerous it is to ride on, the worst first: done with, not before it is put right, with care for a while."""

    STOP = "stop"
    REPAIR_FIRST = "repair_first"
    SOON = "soon"


class Answer(StrEnum):
    """What is to be said honestly where a cause is found."""

    PARTS = "parts"
    NOT_WITH_PARTS = "not_with_parts"
    STOP_USING = "stop_using"
    REFER = "refer"


@dataclass(frozen=True)
class Remedy:
    """What helps against a cause: an article and the job that puts it on, or a job alone.

    Parameters
    ----------
    kind, job : str
        A kind of article and the key of a job in the box, one of both at least; the job of an article puts it on.
    works : Band
        How often it does away with the complaint where this is the cause, within 0 and 1, both inclusive.
    which : str
        What kind of one, in words; may be empty.
    first : tuple of str
        Keys of the complaint's causes that are looked at before it is sold.

    Raises
    ------
    InvalidQuantityError
        For a kind or job that is not there, a job that does not fit the article, and figures beyond these bounds.
    """

    kind: str
    job: str
    works: Band
    which: str = ""
    first: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not (self.kind or self.job) or (self.kind and self.kind not in kinds()):
            raise InvalidQuantityError(self.kind or self.job, "a kind of article or the key of a job")
        if self.job and self.job not in bench_jobs():
            raise InvalidQuantityError(self.job, "the key of a job in the box")
        if self.kind and self.job and self.kind not in bench_jobs()[self.job].fits:
            raise InvalidQuantityError(self.job, f"a job that fits a {self.kind}")
        _check_share(self.works)

    @property
    def by(self) -> str:
        """Give what it is found by: the kind of article, or the job where it takes none."""
        return self.kind or self.job


@dataclass(frozen=True)
class Cause:
    """Why something may be as the rider says.

    Parameters
    ----------
    key : str
    cause : str
        In words.
    check : str
        A question or a measurement that confirms it at the counter.
    often : Band
        How often it is why, within 0 and 1, both inclusive, the likely value above 0.
    remedies : tuple of Remedy
        Each found by another kind or job; may be empty where something is to be said.
    answer : Answer
    say : str
        What has to be said; may be empty where parts are the answer.

    Raises
    ------
    InvalidQuantityError
        Where a text is missing, a remedy is there twice, and for figures beyond these bounds.
    """

    key: str
    cause: str
    check: str
    often: Band
    remedies: tuple[Remedy, ...] = ()
    answer: Answer = Answer.PARTS
    say: str = ""

    def __post_init__(self) -> None:
        if not (self.key and self.cause and self.check):
            raise InvalidQuantityError(self.key, "a cause with a key, words and a check")
        if not (self.say or (self.remedies and self.answer is Answer.PARTS)):
            raise InvalidQuantityError(self.key, "something to say where parts are not the answer")
        if len({remedy.by for remedy in self.remedies}) < len(self.remedies):
            raise InvalidQuantityError(self.key, "each remedy once")
        _check_share(self.often)
        if not self.often.likely:
            raise InvalidQuantityError(self.key, "a cause that there is")

    def remedy(self, by: str) -> Remedy | None:
        """Give the remedy that is found by a kind of article or a job, None where that does not help."""
        return next((remedy for remedy in self.remedies if remedy.by == by), None)


@dataclass(frozen=True)
class Complaint:
    """What a rider says is wrong.

    Parameters
    ----------
    code : str
    said : str
        As a rider would say it.
    causes : tuple of Cause
        One at least, in the order in which they are looked at; their likely shares add up to 1.
    severity : Severity or None
        None where it is no hazard.
    standing : str
        Of all its figures.
    is_of_rolling : bool
        Whether wheels help only as far as they are reckoned to roll easier.

    Raises
    ------
    InvalidQuantityError
        For no cause or one that is there twice, shares that do not add up, and a remedy that waits for a strange cause.
    """

    code: str
    said: str
    causes: tuple[Cause, ...]
    severity: Severity | None = None
    standing: str = "common practice"
    is_of_rolling: bool = False

    def __post_init__(self) -> None:
        keys = [cause.key for cause in self.causes]
        if not (self.code and self.said) or self.standing not in STANDINGS:
            raise InvalidQuantityError(self.code, f"a code, what is said, and a standing: {' or '.join(STANDINGS)}")
        if not keys or len(set(keys)) < len(keys):
            raise InvalidQuantityError(keys, "causes, each once")
        low, likely, high = (fsum(ends) for ends in zip(*[_ends(cause.often) for cause in self.causes], strict=True))
        if not (low <= 1 <= high and abs(likely - 1) < 1e-9):
            raise InvalidQuantityError((low, likely, high), "causes that are together the reason every time")
        for remedy in (remedy for cause in self.causes for remedy in cause.remedies):
            if not set(remedy.first) <= set(keys):
                raise InvalidQuantityError(remedy.first, f"some of {', '.join(keys)}")

    @property
    def helped_by(self) -> tuple[str, ...]:
        """Give every kind of article and every job that helps against one of the causes, in their order."""
        return tuple(dict.fromkeys(remedy.by for cause in self.causes for remedy in cause.remedies))

    def honest_answer(self, looked: Mapping[str, bool] = MappingProxyType({})) -> Answer:
        """Give the answer that is right most often, by the likely shares of the causes that it may still be.

        Parameters
        ----------
        looked : Mapping[str, bool]
            By the key of each cause that was looked at, whether it was found.
        """
        shares: dict[Answer, float] = {}
        for cause in self.open_causes(looked):
            shares[cause.answer] = shares.get(cause.answer, 0.0) + cause.often.likely
        return max(shares, key=lambda answer: shares[answer], default=Answer.PARTS)

    def open_causes(self, looked: Mapping[str, bool] = MappingProxyType({})) -> tuple[Cause, ...]:
        """Give the causes that it may still be: those that were found, or else those that were not ruled out.

        Parameters
        ----------
        looked : Mapping[str, bool]
            By the key of each cause that was looked at, whether it was found.

        Raises
        ------
        InvalidQuantityError
            For a cause that the complaint does not have.
        """
        keys = {cause.key for cause in self.causes}
        if not looked.keys() <= keys:
            raise InvalidQuantityError(sorted(looked.keys() - keys), f"some of {', '.join(sorted(keys))}")
        found = tuple(cause for cause in self.causes if looked.get(cause.key))
        return found or tuple(cause for cause in self.causes if cause.key not in looked)

    def relief(self, by: str, looked: Mapping[str, bool] = MappingProxyType({})) -> Band:
        """Give how often a kind of article or a job does away with the complaint.

        The mean over the causes that it may still be, each as often as it is why. Its bounds are the least and the
        most that any shares within their ranges give. 0 for what does not help, and for what is not sold yet.

        Parameters
        ----------
        by : str
            Kind of article, or the key of a job that takes none.
        looked : Mapping[str, bool]
            By the key of each cause that was looked at, whether it was found.

        Raises
        ------
        InvalidQuantityError
            For a cause that the complaint does not have.
        """
        causes = self.open_causes(looked)
        works = [_works(cause, by, looked) for cause in causes]
        if len(works) == 1 or not any(each.high for each in works):
            return works[0] if works else exactly(0.0)
        often = [cause.often for cause in causes]
        likely = _mean([each.likely for each in often], [each.likely for each in works])
        least = _least_mean(often, [each.low for each in works])
        most = -_least_mean(often, [-each.high for each in works])
        # A mean may end a rounding beyond the bounds that it has to keep.
        return Band(min(least, likely), likely, max(most, likely))

    def at_best(self, by: str, looked: Mapping[str, bool] = MappingProxyType({})) -> Band:
        """Give how often a kind of article or a job helps once the cause is found that it is best against.

        What it promises when the check at the counter confirms it, against :meth:`relief` before anybody looked; 0 for
        what does not help, and for what is not sold yet.

        Parameters
        ----------
        by : str
            Kind of article, or the key of a job that takes none.
        looked : Mapping[str, bool]
            By the key of each cause that was looked at, whether it was found.

        Raises
        ------
        InvalidQuantityError
            For a cause that the complaint does not have.
        """
        works = (_works(cause, by, looked) for cause in self.open_causes(looked))
        return max(works, key=lambda each: (each.likely, each.low, each.high), default=exactly(0.0))

    def before_selling(self, by: str, looked: Mapping[str, bool] = MappingProxyType({})) -> tuple[Cause, ...]:
        """Give the causes that have still to be looked at before a kind of article or a job is sold, in their order."""
        remedies = [remedy for cause in self.open_causes(looked) if (remedy := cause.remedy(by))]
        # Where it helps against one cause without a condition, nothing stands in its way.
        if any(set(remedy.first) <= looked.keys() for remedy in remedies):
            return ()
        waits_for = {key for remedy in remedies for key in remedy.first}
        return tuple(cause for cause in self.causes if cause.key in waits_for - looked.keys())


@cache
def complaints() -> Mapping[str, Complaint]:
    """Give every complaint by code, in the file's order."""
    text = resources.files(__package__).joinpath("complaints.toml").read_text(encoding="utf-8")
    return MappingProxyType({code: _complaint(code, row) for code, row in tomllib.loads(text).items()})


def complaint(code: str) -> Complaint:
    """Give a complaint.

    Raises
    ------
    InvalidQuantityError
        For an unknown code, with the nearest known one, or all of them where none is near.
    """
    found = complaints().get(code)
    if found is not None:
        return found
    near = nearest_complaint(code)
    expected = f"perhaps {near!r}" if near else f"one of {', '.join(complaints())}"
    raise InvalidQuantityError(code[:_LONGEST_CODE], f"the code of a complaint, {expected}")


def nearest_complaint(code: str) -> str | None:
    """Give the known code that is most like an unknown one, None where none is near."""
    near = difflib.get_close_matches(code[:_LONGEST_CODE], complaints(), n=1)
    return near[0] if near else None


def _works(cause: Cause, by: str, looked: Mapping[str, bool]) -> Band:
    remedy = cause.remedy(by)
    is_sold = remedy is not None and set(remedy.first) <= looked.keys()
    return remedy.works if remedy is not None and is_sold else exactly(0.0)


def _mean(weights: Sequence[float], values: Sequence[float]) -> float:
    return fsum(weight * value for weight, value in zip(weights, values, strict=True)) / fsum(weights)


def _least_mean(often: Sequence[Band], values: Sequence[float]) -> float:
    """Give the least weighted mean that weights within their bounds have.

    There, all values up to some one have their greatest weight and all beyond it their least: each such place is tried.
    """
    order = sorted(range(len(values)), key=lambda place: values[place])
    ordered = [values[place] for place in order]
    tried = (
        [often[place].high if rank <= last else often[place].low for rank, place in enumerate(order)]
        for last in range(len(order))
    )
    return min(_mean(weights, ordered) for weights in tried)


def _ends(band: Band) -> tuple[float, float, float]:
    return band.low, band.likely, band.high


def _check_share(band: Band) -> None:
    if not 0 <= band.low <= band.high <= 1:
        raise InvalidQuantityError(band, "shares within 0 and 1")


def _complaint(code: str, row: Mapping[str, Any]) -> Complaint:
    causes = tuple(_cause(key, each) for key, each in row["causes"].items())
    severity = Severity(row["severity"]) if "severity" in row else None
    return Complaint(code, row["said"], causes, severity, row["standing"], row.get("rolling", False))


def _cause(key: str, row: Mapping[str, Any]) -> Cause:
    return Cause(
        key,
        row["cause"],
        row["check"],
        Band(*row["often"]),
        tuple(_remedy(by, each) for by, each in row.get("helps", {}).items()),
        Answer(row.get("answer", Answer.PARTS)),
        row.get("say", ""),
    )


def _remedy(by: str, row: Mapping[str, Any]) -> Remedy:
    kind, job = (by, row.get("job", "")) if by in kinds() else ("", by)
    return Remedy(kind, job, Band(*row["works"]), row.get("which", ""), tuple(row.get("first", ())))
