"""What is asked of a bench card."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from mountwright.bench.bench_card import BenchCard
from mountwright.riding.line import Load
from mountwright.web.rides.assembling import SetUp

#: Most parts, entries of jobs, and letters of a note, all inclusive.
MOST_PARTS, MOST_JOBS, LONGEST_NOTE = 24, 48, 10_000

#: A note of more lines than this is a list of empty ones.
MOST_LINES = 200


class CardSkate(NamedTuple):
    """The skate on the bench.

    Parameters
    ----------
    name, sku : str
        One of them is not empty.
    eu_size : float or None
    mounts : tuple of (str, str)
        Position and claimed standard of each mount that has one.
    """

    name: str
    sku: str
    eu_size: float | None
    mounts: tuple[tuple[str, str], ...]


class FramePlace(NamedTuple):
    """Where the middle of a frame stood: forward of the middle of the boot's holes, toward the inside of the foot."""

    along_mm: float
    across_mm: float
    plus_minus_mm: float


class CardLine(NamedTuple):
    """The wheel line that is drawn on a card, and the address of its picture, None where it is too long for one."""

    set_up: SetUp
    load: Load
    gap_factor: float
    packed: str | None = None


class CardAsked(NamedTuple):
    """A bench card.

    Parameters
    ----------
    reference : str
        The customer's, or a ticket's.
    skate : CardSkate
    card : BenchCard
    line : CardLine or None
    old_frame : Mapping[str, FramePlace]
        By side, where the frame stands before the work; empty where nobody measured it.
    note : str
        May be empty.
    packed : str or None
        The question as an address carries it, None where it is too long for one.
    """

    reference: str
    skate: CardSkate
    card: BenchCard
    line: CardLine | None
    old_frame: Mapping[str, FramePlace]
    note: str
    packed: str | None = None
