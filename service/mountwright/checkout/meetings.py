"""Which joints of a set-up the basket changes, and how each comes out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.checkout.joint_verdicts import JointMemory, Lent
from mountwright.checkout.set_up import SetUp
from mountwright.fitting.answers import JointAnswer
from mountwright.fitting.bench import Bench
from mountwright.fitting.fit_check import is_offered, joints_with
from mountwright.fitting.verdict import Verdict
from mountwright.mounts.lending import lends
from mountwright.mounts.mount import Mount


class Role(StrEnum):
    """What a new part is in a joint."""

    HELD = "held"
    HOLDS = "holds"
    LENDS = "lends"


class Meeting(NamedTuple):
    """A joint of a new part.

    Parameters
    ----------
    article : Article
        The new part.
    role : Role
        It is held by the other side, holds it, or lends a figure to a joint between two others.
    joint : JointAnswer
    other : Article or None
        Whose the other side is; of what lends, whose the side that holds is; None where nobody described one.
    other_is_new : bool
    before : JointAnswer or None
        Of what lends: the same joint without it.
    """

    article: Article
    role: Role
    joint: JointAnswer
    other: Article | None = None
    other_is_new: bool = False
    before: JointAnswer | None = None


class _Alike(NamedTuple):
    """Articles with just the same mount: they are judged once."""

    mount: Mount
    articles: list[Article]
    new: list[Article]

    @property
    def first(self) -> Article:
        """Give the one that stands for all, a new one if there is any."""
        return (self.new or self.articles)[0]


class _Place(NamedTuple):
    """What meets at one position, by the mount's identity."""

    bases: dict[int, _Alike]
    others: dict[int, _Alike]


def meetings_of(set_up: SetUp, bench: Bench, memory: JointMemory, about: Article | None = None) -> list[Meeting]:
    """Give every joint that the basket changes, as the new parts in it see it.

    Of several articles with the same mount on the other side, one stands for all.

    Parameters
    ----------
    set_up : SetUp
    bench : Bench
    memory : JointMemory
    about : Article or None
        Only joints at the positions of this one, unless it lends its figures to others.
    """
    lenders = tuple([article for article in _articles(set_up) if lends(article.kind, bench.registry)])
    judge = _Judge(bench, memory, lenders, {id(lot.article) for lot in set_up.new})
    places = _places(set_up, bench)
    if about is not None and about not in lenders:
        own = {mount.position for mount in about.part.mounts}
        places = {position: place for position, place in places.items() if position in own}
    return [meeting for place in places.values() for meeting in judge.at(place)]


def _articles(set_up: SetUp) -> Iterator[Article]:
    """Give what the finished skate has, each article once, the new ones first."""
    yield from (lot.article for lot in set_up.new)
    yield from (fitted.article for fitted in set_up.staying)


def _places(set_up: SetUp, bench: Bench) -> dict[str, _Place]:
    found: dict[str, _Place] = {}
    for article, mount, is_new in set_up.pieces:
        place = found.setdefault(mount.position, _Place({}, {}))
        side = place.bases if is_offered(mount.position, mount.side, bench.registry) else place.others
        alike = side.setdefault(id(mount), _Alike(mount, [], []))
        alike.articles.append(article)
        if is_new:
            alike.new.append(article)
    return found


class _Judge:
    """Judges the joints of one set-up."""

    def __init__(self, bench: Bench, memory: JointMemory, lenders: tuple[Article, ...], new: set[int]) -> None:
        self._bench, self._memory, self._lenders, self._new = bench, memory, lenders, new
        self._lends_anew = any(id(lender) in new for lender in lenders)

    def at(self, place: _Place) -> Iterator[Meeting]:
        """Give the joints of one position."""
        for other in place.others.values():
            if not place.bases and other.new:
                (joint,) = joints_with(other.mount, [], self._bench)
                yield from (Meeting(article, Role.HELD, joint) for article in other.new)
            for base in place.bases.values():
                if base.new or other.new or self._lends_anew:
                    yield from self._between(base, other)

    def _between(self, base: _Alike, other: _Alike) -> Iterator[Meeting]:
        plain = self._memory.joint(base.mount, other.mount, self._bench)
        ours, theirs = self._lent(base), self._lent(other)
        whole = plain
        if ours.lenders or theirs.lenders:
            whole = self._memory.joint(ours.mount, theirs.mount, self._bench)
        strangers = self._strangers((*ours.lenders, *theirs.lenders), (*base.articles, *other.articles))
        for lender in strangers:
            yield Meeting(lender, Role.LENDS, whole, base.first, bool(base.new), plain)
        own = plain if strangers or _is_timid(whole, plain) else whole
        for article in other.new:
            yield Meeting(article, Role.HELD, own, base.first, bool(base.new))
        for article in base.new:
            yield Meeting(article, Role.HOLDS, own, other.first, bool(other.new))

    def _strangers(self, lenders: Sequence[Article], members: Sequence[Article]) -> list[Article]:
        """Give the new articles that lend something to a joint between others."""
        if not lenders:
            return []
        own = {id(member) for member in members}
        return [each for each in dict.fromkeys(lenders) if id(each) in self._new and id(each) not in own]

    def _lent(self, alike: _Alike) -> Lent:
        return self._memory.lent(alike.mount, self._lenders, self._bench)


def _is_timid(whole: JointAnswer, plain: JointAnswer) -> bool:
    """Tell whether a loan only showed that more could be measured."""
    return whole.verdict is Verdict.CANNOT_TELL and plain.verdict is not Verdict.CANNOT_TELL


def held_by(meetings: Sequence[Meeting]) -> list[Meeting]:
    """Give the joints that hold a part to the skate: those in which it is held, else those in which it holds.

    What a part merely offers to others (a frame, the places of its axles) says nothing of whether it goes on,
    unless it is all that the part has (a wheel, its hub).
    """
    held = [meeting for meeting in meetings if meeting.role is Role.HELD]
    return held or [meeting for meeting in meetings if meeting.role is Role.HOLDS]
