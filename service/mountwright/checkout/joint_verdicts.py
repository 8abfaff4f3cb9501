"""Judges the joints of a set-up, and remembers each: a shop's parts meet in the same pairs all day."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple, TypeVar

from mountwright.checkout.article import Article
from mountwright.checkout.finding import Finding
from mountwright.fitting.answers import JointAnswer
from mountwright.fitting.bench import Bench
from mountwright.fitting.fit_check import joints_with
from mountwright.mounts.lending import Lender, with_loans
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry

K = TypeVar("K")
V = TypeVar("V")

#: What an answer depends on beside the rules: two mounts by identity, and the thresholds.
_Asked = tuple[int, int, float, float]

#: What a finding about a joint depends on: the joint by its identity, the code, and the kind.
_Said = tuple[int, str, str]

#: Gives a finding from its code, a part's kind and a joint.
Make = Callable[[str, str, JointAnswer], Finding]


class Lent(NamedTuple):
    """A mount with what others of the set-up lend it, and those who lent something."""

    mount: Mount
    lenders: tuple[Article, ...]


class JointMemory:
    """Joints judged of late, by the mounts' identity; each is kept with its mounts, so that none can pass for another.

    When so many are known, all are forgotten: a shop's parts are soon known again, and nothing has to be counted.

    Parameters
    ----------
    most : int
    """

    def __init__(self, most: int = 16384) -> None:
        self._most = most
        self._joints: dict[_Asked, tuple[Mount, Mount, JointAnswer]] = {}
        self._lent: dict[tuple[int, ...], tuple[Mount, tuple[Article, ...], Lent]] = {}
        self._equal: dict[tuple[Any, ...], tuple[Mount, Mount]] = {}
        self._findings: dict[_Said, tuple[JointAnswer, Finding]] = {}

    def joint(self, base: Mount, other: Mount, bench: Bench) -> JointAnswer:
        """Give the answer about two mounts at one position, the base first."""
        estimates = bench.estimates
        key = id(base), id(other), estimates.fits, estimates.does_not_fit
        known = self._joints.get(key)
        if known is not None:
            return known[2]
        (answer,) = joints_with(other, [base], bench)
        # What a plugin's fault spoilt is worked out anew next time.
        return answer if answer.fault else self._kept(self._joints, key, (base, other, answer))[2]

    def finding(self, code: str, kind: str, joint: JointAnswer, make: Make) -> Finding:
        """Give what a joint means for a part of a kind, whatever it was judged against.

        Parameters
        ----------
        code, kind : str
        joint : JointAnswer
        make : Make
            Gives the finding from these.
        """
        key = id(joint), code, kind
        known = self._findings.get(key)
        return known[1] if known else self._kept(self._findings, key, (joint, make(code, kind, joint)))[1]

    def lent(self, mount: Mount, lenders: Sequence[Article], bench: Bench) -> Lent:
        """Give a mount with the figures that some articles of the set-up lend it.

        What is lent equal figures is the same object every time, whoever lent them: then its joints are known, too.
        """
        kinds = _kinds_lending(mount.position, mount.side, bench.registry)
        able = tuple([lender for lender in lenders if lender.kind in kinds]) if kinds else ()
        if not able:
            return Lent(mount, ())
        key = (id(mount), *map(id, able))
        known = self._lent.get(key)
        if known is not None:
            return known[2]
        return self._kept(self._lent, key, (mount, able, self._interned(mount, _lent(mount, able, bench))))[2]

    def _kept(self, known: dict[K, V], key: K, value: V) -> V:
        """Keep a value; of two threads that worked it out at once both get the first one's."""
        if len(known) >= self._most:
            known.clear()
        return known.setdefault(key, value)

    def _interned(self, mount: Mount, found: Lent) -> Lent:
        """Give the mount that was lent just these figures before."""
        if found.mount is mount:
            return found
        key = id(mount), *(_added(old, new) for old, new in zip(mount.patterns, found.mount.patterns, strict=True))
        return found._replace(mount=self._kept(self._equal, key, (mount, found.mount))[1])


@lru_cache(maxsize=256)
def _kinds_lending(position: str, side: str, registry: Registry) -> frozenset[str]:
    """Give the kinds of articles that lend a figure to one side of a position."""
    dimensions = (each for family in registry.families_at(position) for each in family.dimensions.values())
    return frozenset(each.lent_by.kind for each in dimensions if each.lent_by is not None and side in each.sides)


def _added(old: Pattern, new: Pattern) -> frozenset[tuple[str, Any]]:
    return frozenset((name, figure) for name, figure in new.figures.items() if name not in old.figures)


def _lent(mount: Mount, lenders: Sequence[Article], bench: Bench) -> Lent:
    found, used = with_loans(mount, [Lender(each.kind, each.specs) for each in lenders], bench.registry)
    return Lent(found, tuple([lenders[place] for place in used]))
