"""What is asked about colours, and what was found."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from mountwright.bench.colours import Lab
from mountwright.catalogue.colours import Coloured
from mountwright.mounts.mount import Part
from mountwright.web.memory import Given
from mountwright.web.shelved import Shelved


class AskedSkate(NamedTuple):
    """A skate that may be meant; its SKU is empty where it was described, and so are the words beside it."""

    sku: str
    version: str
    mark: str
    part: Part


class ColourGiven(NamedTuple):
    """A colour that a request gives.

    Parameters
    ----------
    lab : Lab or None
        None where an article of the catalogue has none.
    srgb : str or None
        ``#rrggbb``, None where it was given otherwise.
    sku : str or None
        Of the article whose colour it is.
    """

    lab: Lab | None
    srgb: str | None = None
    sku: str | None = None


class Search(NamedTuple):
    """Which parts are looked for.

    Parameters
    ----------
    skates : tuple of AskedSkate
        One, or the versions of a model.
    wanted : ColourGiven
    lab : Lab
        The wanted colour's.
    coloured : Coloured
        What else is asked of a part.
    within : float
        Greatest difference, inclusive.
    limit : int
    """

    skates: tuple[AskedSkate, ...]
    wanted: ColourGiven
    lab: Lab
    coloured: Coloured
    within: float
    limit: int


class Match(NamedTuple):
    """A part near the wanted colour, its difference to two decimals, and the answer about how it goes on."""

    difference: float
    shelved: Shelved
    given: Given


class Matches(NamedTuple):
    """What was found.

    Parameters
    ----------
    parts : sequence of Match
        By difference, then by SKU.
    more : bool
        Whether there are more than were asked for.
    judged : int
        Distinct sets of mounts that were judged.
    complete : bool
        Whether all were judged that come before the last part.
    without_colour : int
        Parts that are asked for and have no colour.
    """

    parts: Sequence[Match]
    more: bool
    judged: int
    complete: bool
    without_colour: int


class ColoursAsked(NamedTuple):
    """What is asked, and what was found of it: parts near a colour, colours beside each other, or both."""

    search: Search | None
    together: tuple[ColourGiven, ...]
    found: Matches | None = None
