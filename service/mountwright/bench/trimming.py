"""What trims of straps and flaps have in common: their outcomes, and what is taken where nobody told it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar

from mountwright.bench.estimates import estimates_in
from mountwright.bench.length import Length, read_length
from mountwright.measure.quantity import thousandths
from mountwright.riding.note import Note

#: Why it is not cut, what a cut has to leave, and what a cut is told by.
W = TypeVar("W", bound=StrEnum)
K = TypeVar("K", bound=StrEnum)
C = TypeVar("C")


#: Where the estimates stand.
_FILE = "estimates.toml"


class Outcome(StrEnum):
    """What is done with it."""

    TRIM = "trim"
    DO_NOT_CUT = "do_not_cut"
    CANNOT_TELL = "cannot_tell"


class Taken(NamedTuple):
    """A figure that nobody told, taken from the estimates.

    Parameters
    ----------
    name : str
        Ends in its unit.
    value, low, high : float
        What was taken, and the range that it was taken from.
    standing : str
        ``estimate`` or ``common practice``.
    """

    name: str
    value: float
    low: float
    high: float
    standing: str


@dataclass(frozen=True)
class Trim(Generic[W, K, C]):
    """What is to be said about something that may be trimmed.

    Parameters
    ----------
    outcome : Outcome
    why : tuple
        Why it is not cut, in order; empty for any other outcome.
    limits : Mapping
        How much each thing that has to stay lets go, 0 or more, as far as that is known: teeth of a strap, micrometres
        of a flap.
    first, at_most : object or None
        What is cut before it is tried, and what may go at all; None unless it is trimmed.
    next_steps : tuple of Note
        What to look at, count or measure, in order; empty unless nobody can tell.
    taken : tuple of Taken
        What nobody told.
    notes : tuple of Note
        The answer first, cautions last.
    """

    outcome: Outcome
    why: tuple[W, ...]
    limits: Mapping[K, int]
    first: C | None
    at_most: C | None
    next_steps: tuple[Note, ...]
    taken: tuple[Taken, ...]
    notes: tuple[Note, ...]


def uncut(
    why: tuple[W, ...],
    limits: Mapping[K, int],
    next_steps: tuple[Note, ...],
    taken: Iterable[Taken],
    notes: Iterable[Note],
) -> Trim[W, K, C]:
    """Give the answer that it is not cut, or where there is no reason that nobody can tell."""
    outcome = Outcome.DO_NOT_CUT if why else Outcome.CANNOT_TELL
    return Trim(outcome, why, limits, None, None, next_steps, tuple(taken), tuple(notes))


def wished(name: str) -> Taken:
    """Give a figure of what is usually wished for: its likely value."""
    estimate = estimates_in(_FILE)[name]
    return Taken(name, estimate.band.likely, estimate.band.low, estimate.band.high, estimate.standing)


def doubted(name: str) -> Taken:
    """Give a figure of what is in doubt: its high end, which lets less be cut."""
    return wished(name)._replace(value=estimates_in(_FILE)[name].band.high)


def wander() -> Length:
    """Give how far a cut may lie from where it was meant, around nought."""
    return read_length(0, thousandths(doubted("saw_wander_mm").value))


def catalogued_length(value_mm: float) -> Length:
    """Give a length as a catalogue tells it, with what that is good for."""
    return read_length(thousandths(value_mm), thousandths(doubted("catalogued_length_plus_minus_mm").value))


def catalogued_pitch(value_mm: float) -> Length:
    """Give a tooth pitch as a catalogue tells it, likewise."""
    return read_length(thousandths(value_mm), thousandths(doubted("catalogued_pitch_plus_minus_mm").value))
