"""What stands on a bench card, in sentences: the same for the page and for the PDF."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from mountwright.drawing.qr import Code
from mountwright.drawing.wheel_line import Picture

#: A note of so many letters and lines at most stands before the jobs, both inclusive; a longer one behind all else.
LONGEST_LEADING, MOST_LEADING_LINES = 600, 8


class CardFact(NamedTuple):
    """A figure of the head of the card, with what it is."""

    label: str
    value: str


class DrawnJob(NamedTuple):
    """A job.

    Parameters
    ----------
    number : int
        From 1.
    title : str
    facts : tuple of str
        Its time, who does it, what it is needed for.
    targets : tuple of str
        Where it is done, several to be ticked off by themselves; empty where there is nothing to say.
    cautions : tuple of str
        Read before its steps.
    figures : tuple of str
        Torques, and the maker's figures for moulding.
    steps : tuple of str
    """

    number: int
    title: str
    facts: tuple[str, ...]
    targets: tuple[str, ...]
    cautions: tuple[str, ...]
    figures: tuple[str, ...]
    steps: tuple[str, ...]


class DrawnPart(NamedTuple):
    """A part: what it is, its SKU, where it goes, and the numbers of its jobs."""

    name: str
    sku: str
    place: str
    jobs: str


class DrawnPlace(NamedTuple):
    """Where the frame of one side stood, millimetres; empty texts where there is room to write it down."""

    side: str
    along: str
    across: str


class OldFrame(NamedTuple):
    """What is said of the frames' old places, and these."""

    sentence: str
    places: tuple[DrawnPlace, ...]


class CardScene(NamedTuple):
    """A bench card.

    Parameters
    ----------
    language : str
        That all of it is written in (ISO 639-1).
    words : Mapping[str, str]
        Headings and labels, by code.
    reference : str
    facts : tuple of CardFact
    summary : str
    jobs : tuple of DrawnJob
        In their order, one at least.
    tools : tuple of CardFact
        Each tool with the numbers of its jobs.
    consumables : tuple of str
    parts : tuple of DrawnPart
    old_frame : OldFrame or None
    after_checks : tuple of str
    consent : str or None
        What the customer signs.
    remarks : tuple of str
        Said of the whole.
    note : tuple of str
        Its lines.
    picture : Picture or None
        The wheel line, on light ground.
    code : Code or None
        Leads to the same card.
    code_said : str
        What stands beside the code, or instead of it.
    """

    language: str
    words: Mapping[str, str]
    reference: str
    facts: tuple[CardFact, ...]
    summary: str
    jobs: tuple[DrawnJob, ...]
    tools: tuple[CardFact, ...]
    consumables: tuple[str, ...]
    parts: tuple[DrawnPart, ...]
    old_frame: OldFrame | None
    after_checks: tuple[str, ...]
    consent: str | None
    remarks: tuple[str, ...]
    note: tuple[str, ...]
    picture: Picture | None
    code: Code | None
    code_said: str

    @property
    def note_leads(self) -> bool:
        """Tell whether the note is so short that it stands before the jobs, where it is read in time."""
        return sum(map(len, self.note)) <= LONGEST_LEADING and len(self.note) <= MOST_LEADING_LINES
