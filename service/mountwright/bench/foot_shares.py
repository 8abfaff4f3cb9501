"""How many people have such feet: length and breadth as normal distributions that go together, from an open survey.

The survey is of an army (ANSUR II, ``foot_survey.toml``). Breadth at a given length is normal with the mean
``m_b + r s_b (l - m_l) / s_l`` and the deviation ``s_b sqrt(1 - r^2)``. A count of so many people proves neither 0
nor 1: shares end half a person before either (Jeffreys' rule).
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.measure.conformity import normal_cdf
from mountwright.riding.band import Band

#: Half of what is still called such a length or breadth, mm: together one step of Mondopoint (ISO 9407:2019).
ALIKE_MM = 2.5

#: Nodes of Gauss and Legendre across such a length; eight are exact far beyond six digits.
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


class Spread(NamedTuple):
    """Mean and standard deviation, mm."""

    mean: float
    deviation: float

    def share_up_to(self, value: float) -> float:
        """Give the share of people up to a value, within 0 and 1."""
        return normal_cdf((value - self.mean) / self.deviation)


@dataclass(frozen=True)
class SurveyGroup:
    """One group of a survey.

    Parameters
    ----------
    name : str
    people : int
        How many were measured, 1 or more.
    length, breadth : Spread
    correlation : float
        Of length and breadth, above -1 and below 1.

    Raises
    ------
    InvalidQuantityError
        For a group of nobody, a spread of nothing or a correlation that cannot be.
    """

    name: str
    people: int
    length: Spread
    breadth: Spread
    correlation: float

    def __post_init__(self) -> None:
        if self.people < 1:
            raise InvalidQuantityError(self.people, "1 or more people")
        if not min(self.length.deviation, self.breadth.deviation) > 0:
            raise InvalidQuantityError((self.length, self.breadth), "deviations above 0")
        if not -1 < self.correlation < 1:
            raise InvalidQuantityError(self.correlation, "a correlation above -1 and below 1")

    def breadth_at(self, length_mm: float) -> Spread:
        """Give how broad feet of one length are."""
        more = self.correlation * (length_mm - self.length.mean) / self.length.deviation
        deviation = self.breadth.deviation * math.sqrt(1 - self.correlation**2)
        return Spread(self.breadth.mean + more * self.breadth.deviation, deviation)


class FootShare(NamedTuple):
    """How many of a group have such a foot, each a share within 0 and 1, both exclusive.

    Parameters
    ----------
    group : SurveyGroup
    no_longer : Band
        Whose foot is no longer, over what the length may be.
    such_length : float
        Whose length is within half a Mondopoint step, 2.5 mm.
    no_broader : Band or None
        Of those with this length, whose foot is no broader; None where nobody measured the breadth.
    such_foot : float or None
        Whose length and breadth are both within 2.5 mm.
    """

    group: SurveyGroup
    no_longer: Band
    such_length: float
    no_broader: Band | None
    such_foot: float | None


@cache
def _survey() -> Mapping[str, Any]:
    text = resources.files(__package__).joinpath("foot_survey.toml").read_text(encoding="utf-8")
    return MappingProxyType(tomllib.loads(text))


def survey_source() -> str:
    """Give where the survey's figures come from."""
    return str(_survey()["source"])


@cache
def survey_groups() -> Mapping[str, SurveyGroup]:
    """Give every group by name, in the file's order."""
    return MappingProxyType({name: _group(name, row) for name, row in _survey()["groups"].items()})


def _group(name: str, row: Mapping[str, Any]) -> SurveyGroup:
    length, breadth = row["length_mm"], row["breadth_mm"]
    return SurveyGroup(
        name,
        row["people"],
        Spread(length["mean"], length["sd"]),
        Spread(breadth["mean"], breadth["sd"]),
        row["length_breadth_correlation"],
    )


def foot_share(group: SurveyGroup, length_mm: Band, breadth_mm: Band | None = None) -> FootShare:
    """Give how many people of a group have such a foot.

    Parameters
    ----------
    group : SurveyGroup
    length_mm, breadth_mm : Band
        The foot with its doubt; None where the breadth was not measured.
    """
    no_broader = None if breadth_mm is None else _over(group.breadth_at(length_mm.likely), breadth_mm, group.people)
    such_foot = (
        None if breadth_mm is None else _counted(_joint(group, length_mm.likely, breadth_mm.likely), group.people)
    )
    such_length = _counted(_within(group.length, length_mm.likely), group.people)
    return FootShare(group, _over(group.length, length_mm, group.people), such_length, no_broader, such_foot)


def _over(spread: Spread, value: Band, people: int) -> Band:
    return Band(*[_counted(spread.share_up_to(each), people) for each in (value.low, value.likely, value.high)])


def _counted(share: float, people: int) -> float:
    least = 0.5 / (people + 1)
    return min(1 - least, max(least, share))


def _within(spread: Spread, value: float) -> float:
    return spread.share_up_to(value + ALIKE_MM) - spread.share_up_to(value - ALIKE_MM)


def _joint(group: SurveyGroup, length_mm: float, breadth_mm: float) -> float:
    """Give the share within half a step of both: over such lengths, how many are of such a breadth."""
    found = 0.0
    for node, weight in zip(_NODES.tolist(), _WEIGHTS.tolist(), strict=True):
        at = length_mm + ALIKE_MM * node
        z = (at - group.length.mean) / group.length.deviation
        density = math.exp(-z * z / 2) / (group.length.deviation * math.sqrt(2 * math.pi))
        found += ALIKE_MM * weight * density * _within(group.breadth_at(at), breadth_mm)
    return found
