"""From a customer and a shop's candidates to the question that a plan answers, with all that its answer is read by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import accumulate, pairwise
from types import MappingProxyType
from typing import NamedTuple

from mountwright.bench.jobs import Job, bench_jobs
from mountwright.checkout.article import Article
from mountwright.checkout.till import Till
from mountwright.upgrading.aims import Aims, Looked, Relief, aims_of, wishes_met
from mountwright.upgrading.amounts import amount, enough_for, goes_by_wheel, standing_wheels, wheels_of_frame
from mountwright.upgrading.bench_offers import offered_jobs
from mountwright.upgrading.bench_work import Work, fitting_job, work_of
from mountwright.upgrading.compatibility import AS_IS, Compatibility, LinkedKinds, compatibility
from mountwright.upgrading.customer import KINDS, Candidate, Customer, Money, article_key
from mountwright.upgrading.gains import gains, ride_as_is, rides_on_bearings, rides_on_wheels, usual_rate
from mountwright.upgrading.interfaces import LINKS
from mountwright.upgrading.merit import with_merit
from mountwright.upgrading.offers import LeftOut, Offer, Reason
from mountwright.upgrading.problem import Link, Option, Position, Problem, Rate, Stage

_YEAR = timedelta(days=365)

#: The first kind takes as many of the second as it has wheels.
_COUNTED = (("frame", "wheel"), ("wheel", "bearing"), ("frame", "axle"), ("wheel", "spacer"))

#: What comes with the part that it belongs to, where nobody told of any (common practice).
_COMES_ALONG = frozenset(("axle", "spacer"))

_NOTHING_LOOKED: Mapping[str, Looked] = MappingProxyType({})


@dataclass(frozen=True)
class Terms:
    """How a question is put.

    Parameters
    ----------
    in_stock_only : bool
        Whether only what is in stock may be chosen.
    looked : Mapping[str, Mapping[str, bool]]
        By code of a complaint, the causes that were looked at and whether each was found.
    rate : Rate
        What a rolling gain is worth in money, for durations in days.
    jobs : Mapping[str, Job]
        Of the bench, by key.
    """

    in_stock_only: bool = False
    looked: Mapping[str, Looked] = field(default_factory=lambda: _NOTHING_LOOKED)
    rate: Rate = field(default_factory=usual_rate)
    jobs: Mapping[str, Job] = field(default_factory=bench_jobs)


@dataclass(frozen=True, eq=False)
class Choice:
    """What there is to choose from.

    Parameters
    ----------
    problem : Problem
    offers : Mapping[(str, str), Offer]
        By position and key of every option.
    left_out : tuple of LeftOut
        Candidates that cannot be chosen, in order of kind and as they were given.
    aims : Aims
    compatibility : Compatibility
    jobs : Mapping[str, Job]
        Of the bench, by key; the offers' work names some.
    """

    problem: Problem
    offers: Mapping[tuple[str, str], Offer]
    left_out: tuple[LeftOut, ...]
    aims: Aims
    compatibility: Compatibility
    jobs: Mapping[str, Job]

    @property
    def left_out_counts(self) -> Mapping[Reason, int]:
        """Give how many candidates were left out for each reason."""
        return Counter(each.reason for each in self.left_out)

    @property
    def unserved(self) -> tuple[str, ...]:
        """Give the codes of hazards and complaints that no option relieves by a point, in their order."""
        options = [option for position in self.problem.positions for option in position.options]
        served = {code for option in options for code in _served(option, self.problem)}
        return tuple([each.code for each in self.aims.all if each.code not in served])

    @property
    def unknown_gains(self) -> int:
        """Give of how many wheels and bearings nobody can tell how much easier they roll."""
        kinds = [(each.article and each.article.kind, each.gain) for each in self.offers.values()]
        return sum(kind in ("wheel", "bearing") and gain is None for kind, gain in kinds)


def _served(option: Option, problem: Problem) -> Iterator[str]:
    points = (*option.hazards, *option.complaints)
    return (name for name, each in zip((*problem.hazards, *problem.complaints), points, strict=True) if each)


def problem_of(
    customer: Customer, candidates: Mapping[str, Sequence[Candidate]], till: Till, terms: Terms | None = None
) -> Choice:
    """Give what a customer may choose from, as a question to be planned.

    Parameters
    ----------
    customer : Customer
    candidates : Mapping[str, sequence of Candidate]
        By kind; kinds that no path changes are passed over. Two of one key are one: the first.
    till : Till
        Where the basket's rules are asked.
    terms : Terms or None
        None for all that is listed, nothing looked at, the usual rate and the jobs in the box.

    Raises
    ------
    InvalidQuantityError
        For a complaint, or a cause looked at, that is not known; for figures too large to be planned.
    """
    terms = terms or Terms()
    sifted = _Sifted.of(customer, candidates, terms)
    found = compatibility(customer.owned, sifted.articles, till)
    counted = _Counted.of(customer, sifted.articles, found)
    aims = aims_of(customer, terms.looked)
    offers = with_merit(_with_gains(_offers(customer, aims, terms, counted), customer), aims, customer)
    left_out = (*sifted.left_out, *counted.left_out)
    offers = sorted(offers, key=_by_position)
    problem = Problem(
        positions=_positions(offers, customer, found),
        links=tuple([_link(pair, offers, customer, found) for pair in LINKS]),
        stages=stages_of(customer.money),
        hazards=tuple([each.code for each in aims.hazards]),
        complaints=tuple([each.code for each in aims.complaints]),
        rate=terms.rate,
    )
    by_place = {(each.position, each.key): each for each in offers}
    return Choice(problem, by_place, left_out, aims, found, terms.jobs)


def stages_of(money: Money) -> tuple[Stage, ...]:
    """Give the stages that the money makes: what there is by each instalment, and the days to the next or the end.

    The end is a year after the last instalment where nobody said; nothing lasts less than a day.
    """
    days = [each.on for each in money.instalments if each.on is not None]
    budgets = list(accumulate(each.amount_minor for each in money.instalments))
    if not days:
        return (Stage(budgets[0], _YEAR.days),)
    end = money.until or days[-1] + _YEAR
    lasts = [(later - earlier).days for earlier, later in pairwise([*days, end])]
    return tuple([Stage(budget, max(1, each)) for budget, each in zip(budgets, lasts, strict=True)])


class _Sifted(NamedTuple):
    """Candidates that may be sold to the customer, by kind, and the others."""

    articles: Mapping[str, Sequence[Article]]
    left_out: list[LeftOut]

    @classmethod
    def of(cls, customer: Customer, candidates: Mapping[str, Sequence[Candidate]], terms: Terms) -> _Sifted:
        """Give them, in order of kind."""
        articles: dict[str, list[Article]] = {kind: [] for kind in KINDS}
        left_out: list[LeftOut] = []
        for kind in KINDS:
            unlike: dict[str, Candidate] = {}
            for candidate in candidates.get(kind, ()):
                unlike.setdefault(article_key(candidate.article), candidate)
            for candidate in unlike.values():
                reason = _unsold(candidate, customer, terms)
                if reason is None:
                    articles[kind].append(candidate.article)
                else:
                    left_out.append(LeftOut(candidate.article, reason))
        return cls(articles, left_out)


def _unsold(candidate: Candidate, customer: Customer, terms: Terms) -> Reason | None:
    article = candidate.article
    reasons = (
        (article.kind in customer.stays, Reason.STAYS),
        (terms.in_stock_only and not candidate.in_stock, Reason.NOT_IN_STOCK),
        (article.price is None, Reason.NO_PRICE),
        (article.price is not None and article.price.currency != customer.money.currency, Reason.OTHER_CURRENCY),
        (article.hand is not None, Reason.ONE_HAND),
        (article.pieces_per_pack is None, Reason.PACK_SIZE_UNKNOWN),
        (article.kind == "frame" and wheels_of_frame(article) is None, Reason.WHEEL_COUNT_UNKNOWN),
    )
    return next((reason for holds, reason in reasons if holds), None)


class _Counted(NamedTuple):
    """Articles that go on, each with the numbers of wheels on a skate that it may be bought for.

    Parameters
    ----------
    articles : sequence of (Article, sequence of int or None)
        None for what does not go by the wheel.
    left_out : list of LeftOut
    """

    articles: Sequence[tuple[Article, Sequence[int | None]]]
    left_out: list[LeftOut]

    @classmethod
    def of(cls, customer: Customer, candidates: Mapping[str, Sequence[Article]], found: Compatibility) -> _Counted:
        """Count for every number of wheels that the skate may come to have."""
        able = [each for articles in candidates.values() for each in articles if each not in found.refused]
        refused = [LeftOut(each, Reason.DOES_NOT_GO_ON) for each in found.refused]
        on_frames = {wheels_of_frame(each) or 0 for each in able if each.kind == "frame"}
        standing = standing_wheels(customer.owned)
        counts = sorted({*on_frames, *([standing] if standing else [])})
        numbers = [(each, _numbers(each, counts)) for each in able]
        uncounted = [LeftOut(each, Reason.WHEEL_COUNT_UNKNOWN) for each, those in numbers if not those]
        return cls(numbers, [*refused, *uncounted])


def _numbers(article: Article, counts: Sequence[int]) -> Sequence[int | None]:
    if article.kind == "frame":
        return (wheels_of_frame(article),)
    return counts if goes_by_wheel(article.kind) else (None,)


def _offers(customer: Customer, aims: Aims, terms: Terms, counted: _Counted) -> list[Offer]:
    """Give everything that can be chosen, without the gains."""
    stands = {each.article.kind for version in customer.owned.versions for each in version.fitted}
    jobs = {kind: fitting_job(kind, kind in stands, terms.jobs, _named_jobs(kind, aims)) for kind in KINDS}
    works = {kind: work_of(job, customer, terms.jobs) for kind, job in jobs.items()}
    reliefs = {kind: aims.relief(kind) for kind in KINDS}
    sold = [
        _sold(article, number, len(numbers) > 1, customer, works[article.kind], reliefs[article.kind])
        for article, numbers in counted.articles
        for number in numbers
    ]
    return [*sold, *_done(customer, aims, terms)]


def _named_jobs(kind: str, aims: Aims) -> Iterator[str]:
    """Give the jobs by which remedies of a kind help, those of the gravest complaint first."""
    for each in aims.all:
        yield from (remedy.job for cause in each.causes if (remedy := cause.remedy(kind)) and remedy.job)


def _sold(
    article: Article, wheels: int | None, is_one_of_several: bool, customer: Customer, work: Work, relief: Relief
) -> Offer:
    """Give an article as it is sold for so many wheels."""
    bought = amount(article, wheels or 1)
    assert bought is not None  # noqa: S101  # what does not say so was left out before
    assert article.price is not None  # noqa: S101  # likewise
    key = article_key(article) + (f" for {wheels}" if is_one_of_several else "")
    met = wishes_met(article, customer.wishes, customer.owned.versions[0])
    price = bought.packs * article.price.minor
    return Offer(article.kind, key, article, bought, wheels, price, work, relief, met)


def _done(customer: Customer, aims: Aims, terms: Terms) -> Iterator[Offer]:
    """Give the jobs that help by themselves."""
    helping = dict.fromkeys(by for each in aims.all for by in each.helped_by)
    for job, position in offered_jobs(helping, customer, terms.jobs):
        relief = aims.relief(job.key)
        if relief.is_of_use:
            work = work_of(job, customer, terms.jobs)
            yield Offer(position, f"job:{job.key}", None, None, None, 0, work, relief)


def _with_gains(offers: Sequence[Offer], customer: Customer) -> list[Offer]:
    """Give offers with the gains of those that change how the skate rolls."""
    as_is = ride_as_is(customer)
    if as_is is None:
        return list(offers)
    wheels = [(place, each.article, each.wheels) for place, each in enumerate(offers) if each.position == "wheel"]
    turning = [(place, article, count) for place, article, count in wheels if article and count]
    bearings = [(place, each.article) for place, each in enumerate(offers) if each.position == "bearing"]
    pressed = [(place, article) for place, article in bearings if article]
    rides = rides_on_wheels(as_is, [(article, count) for _, article, count in turning])
    rides += rides_on_bearings(as_is, [article for _, article in pressed])
    places = [place for place, *_ in (*turning, *pressed)]
    found = dict(zip(places, gains(as_is, rides, customer.mass_kg), strict=True))
    return [each._replace(gain=found.get(place)) for place, each in enumerate(offers)]


def _by_position(offer: Offer) -> tuple[int, str, str]:
    place = KINDS.index(offer.position) if offer.position in KINDS else len(KINDS)
    return place, offer.position, offer.key


def _positions(offers: Iterable[Offer], customer: Customer, found: Compatibility) -> tuple[Position, ...]:
    options: dict[str, list[Option]] = {kind: [] for kind in KINDS}
    for offer in offers:
        options.setdefault(offer.position, []).append(offer.option(_signature(offer, found)))
    return tuple(
        [Position(name, AS_IS, tuple(those), name in customer.stays) for name, those in options.items()],
    )


def _signature(offer: Offer, found: Compatibility) -> str:
    """Give what an offer goes together with, and for how many wheels; a job leaves the part as it is."""
    if offer.article is None:
        return AS_IS
    sign = found.signatures[offer.article]
    return sign if offer.wheels is None else f"{sign}/{offer.wheels}"


def _link(pair: LinkedKinds, offers: Iterable[Offer], customer: Customer, found: Compatibility) -> Link:
    """Give which signatures go together, with as many pieces as it takes."""
    signs: dict[str, dict[str, tuple[str, int | None]]] = {kind: {AS_IS: _as_is(kind, customer)} for kind in pair}
    for offer in offers:
        if offer.article is not None and offer.position in signs:
            known = found.signatures[offer.article], offer.wheels
            signs[offer.position][_signature(offer, found)] = known
    passing = {
        (one, other)
        for one, (sign, takes) in signs[pair[0]].items()
        for other, (beside, has) in signs[pair[1]].items()
        if (one, other) == (AS_IS, AS_IS)
        or ((sign, beside) in found.passing[pair] and (pair not in _COUNTED or _is_enough(has, takes, other, pair[1])))
    }
    return Link(*pair, frozenset(passing))


def _as_is(kind: str, customer: Customer) -> tuple[str, int | None]:
    if kind == "frame":
        return AS_IS, standing_wheels(customer.owned)
    return AS_IS, enough_for(customer.owned, kind) if goes_by_wheel(kind) else None


def _is_enough(has: int | None, takes: int | None, signature: str, kind: str) -> bool:
    """Tell whether there is enough of a kind."""
    if kind in _COMES_ALONG and signature == AS_IS and has is None:
        return True
    return has is not None and takes is not None and has >= takes
