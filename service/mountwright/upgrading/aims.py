"""What a path is for, and what kinds of articles and which jobs serve it: hazards, complaints and wishes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.basket import Version
from mountwright.riding.band import Band, exactly
from mountwright.upgrading.complaints import Answer, Complaint, Severity, complaint
from mountwright.upgrading.customer import Customer, Wishes
from mountwright.upgrading.effects import wheelbase_mm
from mountwright.upgrading.estimates import upgrade_estimates
from mountwright.upgrading.levels import relief_points

#: Nothing helps every time.
_MOST = 1 - 2**-20

#: Kinds whose colour shows on a closed boot.
_SEEN = frozenset(("frame", "wheel", "cuff", "lace", "buckle", "strap"))

#: By this a complaint is helped that another skate helps.
SKATE = "skate"

#: By the key of each cause that was looked at, whether it was found.
Looked = Mapping[str, bool]

_NOTHING_LOOKED: Looked = MappingProxyType({})


class Relief(NamedTuple):
    """What a kind of article, or a job, does for a rider.

    Parameters
    ----------
    hazards, complaints : tuple of int
        Half-halvings of each, in the order of :class:`Aims`.
    serves : Mapping[str, Band]
        By code of each hazard and complaint that it helps against, how often it does away with it; codes for which a
        cause has still to be looked at first are not in it.
    """

    hazards: tuple[int, ...]
    complaints: tuple[int, ...]
    serves: Mapping[str, Band]

    @property
    def is_of_use(self) -> bool:
        """Tell whether it helps against anything by a point at least."""
        return any(self.hazards) or any(self.complaints)


@dataclass(frozen=True, eq=False)
class Aims:
    """What bothers.

    Parameters
    ----------
    hazards : tuple of Complaint
        Those of the rider's complaints that can hurt, the gravest first, of equal ones in the rider's order.
    complaints : tuple of Complaint
        The others, in the rider's order.
    looked : Mapping[str, Mapping[str, bool]]
        By code of a complaint, the causes that were looked at and whether each was found.
    """

    hazards: tuple[Complaint, ...]
    complaints: tuple[Complaint, ...]
    looked: Mapping[str, Looked] = field(default_factory=lambda: MappingProxyType({}))

    @property
    def all(self) -> tuple[Complaint, ...]:
        """Give hazards and complaints in their order."""
        return (*self.hazards, *self.complaints)

    @property
    def grave(self) -> int:
        """Give how many hazards forbid riding until they are gone; these stand first."""
        return sum(each.severity is not Severity.SOON for each in self.hazards)

    def relief(self, by: str) -> Relief:
        """Give what a kind of article, or the key of a job that takes none, does for the rider.

        Raises
        ------
        InvalidQuantityError
            For a cause among those looked at that its complaint does not have.
        """
        found = {each.code: self._relief(each, by) for each in self.all}
        points = {code: points_of(band.likely) for code, band in found.items()}
        return Relief(
            tuple([points[each.code] for each in self.hazards]),
            tuple([points[each.code] for each in self.complaints]),
            MappingProxyType({code: band for code, band in found.items() if band.high > 0}),
        )

    def answer(self, each: Complaint) -> Answer:
        """Give what has honestly to be said to a complaint, by what was looked at."""
        return each.honest_answer(self.looked.get(each.code, _NOTHING_LOOKED))

    def _relief(self, each: Complaint, by: str) -> Band:
        """Give how often something does away with a complaint; no part does where the boot does not fit the foot."""
        if by != SKATE and self.answer(each) is Answer.NOT_WITH_PARTS:
            return exactly(0.0)
        return each.relief(by, self.looked.get(each.code, _NOTHING_LOOKED))


def points_of(share: float) -> int:
    """Give the half-halvings of what helps so often, one at least for what is worth trying.

    A complaint that nobody looked into has several causes, and few things help against more than one of them: by whole
    points alone most would count for nothing.
    """
    return max(relief_points(min(share, _MOST)), int(share >= upgrade_estimates()["least_relief"].likely))


def aims_of(customer: Customer, looked: Mapping[str, Looked]) -> Aims:
    """Give what bothers a customer.

    Raises
    ------
    InvalidQuantityError
        For the code of a complaint that is not known.
    """
    told = [complaint(code) for code in customer.complaints]
    ranks = {severity: rank for rank, severity in enumerate(Severity)}
    hazards = sorted((each for each in told if each.severity), key=lambda each: ranks[each.severity or Severity.SOON])
    return Aims(tuple(hazards), tuple([each for each in told if not each.severity]), looked)


def wishes_met(article: Article, wishes: Wishes, version: Version) -> tuple[str, ...]:
    """Give the wishes that an article meets and that what it takes the place of does not: a point each.

    Parameters
    ----------
    article : Article
    wishes : Wishes
    version : Version
        The skate as it is.
    """
    stands = [each.article for each in version.fitted if each.article.kind == article.kind]
    already = {wish for each in stands for wish in _met(each, wishes)} if stands else set()
    return tuple([wish for wish in _met(article, wishes) if wish not in already])


def _met(article: Article, wishes: Wishes) -> Iterator[str]:
    if article.kind == "wheel" and _is_same(article.specs.get("diameter_mm"), wishes.wheel_diameter_mm):
        yield "wheel_diameter"
    if article.kind == "frame" and _is_same(wheelbase_mm(article), wishes.wheelbase_mm):
        yield "wheelbase"
    if wishes.colour and article.kind in _SEEN and article.colour.casefold() == wishes.colour.casefold():
        yield "colour"


def _is_same(found_mm: float | None, wished_mm: float | None) -> bool:
    """Tell whether two marks are of one whole millimetre."""
    return found_mm is not None and wished_mm is not None and round(found_mm) == round(wished_mm)
