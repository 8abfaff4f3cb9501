"""What a basket's parts are found to be: may be sent, has to be asked first, or will not go on; and why."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.fitting.answers import CheckAnswer, Need, NextStep

_NOTHING: Mapping[str, str | float] = MappingProxyType({})


class Decision(StrEnum):
    """What to do with a line, best first."""

    CLEAR = "clear"
    CONFIRM = "confirm"
    STOP = "stop"

    @property
    def rank(self) -> int:
        """Give its place, 0 for the best."""
        return _ORDER[self]


_ORDER = {decision: place for place, decision in enumerate(Decision)}


class Finding(NamedTuple):
    """One thing that was found, and what it means for the parcel.

    Parameters
    ----------
    decision : Decision
    code : str
        Of its sentence, ``cart.`` in front.
    params : Mapping[str, str or float]
        For the sentence; lengths in mm, the unit in the name.
    check : CheckAnswer or None
        The comparison that it rests on; never None beside a stop.
    against : tuple of Article
        What it was judged against: the skate, a part on it, another line's.
    unknown : bool
        Whether it rests on something that nobody knows, rather than on something that is wrong.
    step : NextStep or None
        What settles it.
    needs : tuple of Need
        Conversions that it takes.
    cautions : tuple of str
        Message codes.
    """

    decision: Decision
    code: str
    params: Mapping[str, str | float] = _NOTHING
    check: CheckAnswer | None = None
    against: tuple[Article, ...] = ()
    unknown: bool = False
    step: NextStep | None = None
    needs: tuple[Need, ...] = ()
    cautions: tuple[str, ...] = ()


def worst(decisions: Iterable[Decision]) -> Decision:
    """Give the worst of several decisions; ``clear`` of none, for nothing speaks against it."""
    return max(decisions, key=lambda decision: decision.rank, default=Decision.CLEAR)
