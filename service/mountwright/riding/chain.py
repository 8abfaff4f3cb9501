"""The chain from foot to ground: insole, liner, shell, frame and wheels as springs in series.

Each link carries the same force, ``1/k = sum 1/k_i``, so that the softest has the largest share of the give. Nobody
published how stiff these parts are: an answer is a ranking with how often it holds, never a power. Stiffer is not
always better, and every answer says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band
from mountwright.riding.draws import Floats, uniform
from mountwright.riding.estimates import estimate
from mountwright.riding.note import Note


class Part(StrEnum):
    """A part whose give a thumb can grade."""

    INSOLE = "insole"
    LINER = "liner"
    SHELL = "shell"
    FRAME = "frame"


#: The links of a whole chain, from the foot on.
LINKS = (*Part, "wheels")

#: How far a thumb tells: 1 gives way easily, 5 not at all.
GRADES = range(1, 6)

#: Stiffness of a link on which a rider can stand, N/mm: beyond, a figure is in the wrong unit.
_LEAST_N_MM, _MOST_N_MM = 1e-2, 1e7

#: What is known against "stiffer is better". Range of the ankle in a shoe, a flexible and a stiff hockey boot: McGill
#: thesis on skate-boot stiffness (QMM.97258). A hinge that frees the ankle: Houdijk et al. 2000, Med. Sci. Sports
#: Exerc. 32, 635. Each runner with another best bending stiffness: Oh and Park 2017, J. Biomech.
STIFFER_IS_NOT_ALWAYS_BETTER = Note(
    "chain.stiffer_is_not_always_better",
    {
        "ankle_in_shoe_deg": 65.2,
        "ankle_in_flexible_boot_deg": 52.4,
        "ankle_in_stiff_boot_deg": 35.7,
        "faster_with_free_ankle_percent": 5.0,
    },
)


class How(StrEnum):
    """Where a stiffness comes from, the surest first."""

    BENCH_TEST = "bench_test"
    GIVEN = "given"
    CONTACT = "contact"
    THUMB_GRADE = "thumb_grade"


@dataclass(frozen=True)
class Layer:
    """One link.

    Parameters
    ----------
    name : str
        ``insole``, ``liner``, ``shell``, ``frame``, ``wheels``, or another's own; not empty.
    stiffness_n_mm : Band
        Force over give, above 0.
    how : How

    Raises
    ------
    InvalidQuantityError
        Without a name, and for a stiffness that no link between foot and ground has.
    """

    name: str
    stiffness_n_mm: Band
    how: How

    def __post_init__(self) -> None:
        if not self.name:
            raise InvalidQuantityError(self.name, "a link's name")
        if not _LEAST_N_MM <= self.stiffness_n_mm.low <= self.stiffness_n_mm.high <= _MOST_N_MM:
            raise InvalidQuantityError(self.stiffness_n_mm, f"a stiffness of {_LEAST_N_MM:g} to {_MOST_N_MM:g} N/mm")


def bench_tested(name: str, load_n: Band, give_mm: Band) -> Layer:
    """Give a link whose give was read on the bench under a known load.

    Parameters
    ----------
    name : str
    load_n, give_mm : Band
        Each anywhere between its bounds, above 0.

    Raises
    ------
    InvalidQuantityError
        For a load or a give that may be nothing: then only a larger load tells.
    """
    for found in (load_n, give_mm):
        if not found.low > 0:
            raise InvalidQuantityError(found, "a load and a give that are larger than their doubts")
    band = Band(load_n.low / give_mm.high, load_n.likely / give_mm.likely, load_n.high / give_mm.low)
    return Layer(name, band, How.BENCH_TEST)


def graded(part: Part, grade: int) -> Layer:
    """Give a link by what the thumb says: common practice, wide.

    Parameters
    ----------
    part : Part
    grade : int
        1 for one that gives way easily, to 5 for one that does not.

    Raises
    ------
    InvalidQuantityError
        For another grade.
    """
    if grade not in GRADES:
        raise InvalidQuantityError(grade, f"a grade from {GRADES[0]} to {GRADES[-1]}")
    return Layer(part.value, _by_thumb(part, grade), How.THUMB_GRADE)


def _by_thumb(part: Part, grade: int) -> Band:
    middle, factor, steps = estimate(f"thumb_{part}_n_mm"), estimate("thumb_grade_factor"), grade - 3
    ends = (factor.low**steps, factor.high**steps)
    return Band(middle.low * min(ends), middle.likely * factor.likely**steps, middle.high * max(ends))


def wheels(stiffness_n_mm15: Band, load_n: float, count: int) -> Layer:
    """Give the wheels as a link: how they give in their contact with the floor under the rider's load (Hertz).

    ``N = k u^1.5`` gets stiffer with the load, so that load over give is taken at this one.

    Parameters
    ----------
    stiffness_n_mm15 : Band
        Of one wheel, above 0.
    load_n : float
        On all of them, shared alike, above 0.
    count : int
        Of the wheels that touch, 1 or more.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """
    if not (stiffness_n_mm15.low > 0 and 0 < load_n < math.inf and count >= 1):
        raise InvalidQuantityError((stiffness_n_mm15, load_n, count), "a stiffness, a load and a wheel at least")
    ends = (stiffness_n_mm15.low, stiffness_n_mm15.likely, stiffness_n_mm15.high)
    band = Band(*[count * math.cbrt(load_n / count) * each ** (2 / 3) for each in ends])
    return Layer("wheels", band, How.CONTACT)


@dataclass(frozen=True)
class Link:
    """What a link does in its chain.

    Parameters
    ----------
    name : str
    share : Band
        Of the give of the whole chain: 5 %, at the likely stiffnesses, 95 %; within 0 and 1, both inclusive.
    softest_how_often : float
        Share of what may be in which no link is softer, within 0 and 1, both inclusive.
    how : How

    Raises
    ------
    InvalidQuantityError
        For shares beyond these bounds.
    """

    name: str
    share: Band
    softest_how_often: float
    how: How

    def __post_init__(self) -> None:
        if not (0 <= self.share.low <= self.share.high <= 1 and 0 <= self.softest_how_often <= 1):
            raise InvalidQuantityError((self.share, self.softest_how_often), "shares within 0 and 1")


@dataclass(frozen=True)
class Chain:
    """A chain with what its links do, the largest share first.

    Parameters
    ----------
    layers : tuple of Layer
        As they were given.
    links : tuple of Link
    holds_how_often : float
        Share of what may be in which the links stand in this order, within 0 and 1, both inclusive.
    notes : tuple of Note
        With the caution, always.

    Raises
    ------
    InvalidQuantityError
        For links that are not those of the layers, and a share beyond its bounds.
    """

    layers: tuple[Layer, ...]
    links: tuple[Link, ...]
    holds_how_often: float
    notes: tuple[Note, ...]

    def __post_init__(self) -> None:
        if sorted(link.name for link in self.links) != sorted(layer.name for layer in self.layers):
            raise InvalidQuantityError([link.name for link in self.links], "a link for each layer")
        if not 0 <= self.holds_how_often <= 1:
            raise InvalidQuantityError(self.holds_how_often, "a share within 0 and 1")

    @property
    def softest(self) -> Link:
        """Give the link with the largest share."""
        return self.links[0]

    @property
    def stiffness_n_mm(self) -> float:
        """Give how stiff all links are together, each as is likely: ``1 / sum(1 / k)``."""
        return 1 / math.fsum(1 / layer.stiffness_n_mm.likely for layer in self.layers)


@dataclass(frozen=True)
class Change:
    """A chain before and after one of its parts was changed.

    Parameters
    ----------
    before, after : Chain
    moves : tuple of (str, Band)
        Of each link of the new chain, in its order, what its share became larger by; below 0 for less. The part that
        was put in is held against the one that was there.
    """

    before: Chain
    after: Chain
    moves: tuple[tuple[str, Band], ...]


def chained(layers: Sequence[Layer]) -> Chain:
    """Give a chain: which link is softest, what share each has of the give, and how often the order holds.

    Each stiffness is drawn alike on the scale on which halving and doubling are equal, the same draws for a link of
    one name in every chain.

    Parameters
    ----------
    layers : sequence of Layer
        One at least, no two of one name; the order does not matter.

    Raises
    ------
    InvalidQuantityError
        Without a layer, and for two of one name.
    """
    links = _checked(layers)
    return _answered(links, _drawn_shares(links))


def changed(layers: Sequence[Layer], name: str, layer: Layer) -> Change:
    """Give how the shares move if one part is changed.

    Parameters
    ----------
    layers : sequence of Layer
    name : str
        Of the part that is taken out.
    layer : Layer
        What is put in its place, drawn apart from the old one unless it is the same.

    Raises
    ------
    InvalidQuantityError
        For a part that is not in the chain, and as for a chain.
    """
    old = next((each for each in layers if each.name == name), None)
    if old is None:
        raise InvalidQuantityError(name, f"one of {[each.name for each in layers]}")
    before, after = _checked(layers), _checked([layer if each is old else each for each in layers])
    shares = _drawn_shares(before), _drawn_shares(after, "" if layer == old else layer.name)
    moved, chains = shares[1] - shares[0], (_answered(before, shares[0]), _answered(after, shares[1]))
    likely = [_shares(np.array([each.stiffness_n_mm.likely for each in links])) for links in (before, after)]
    moves = {
        each.name: _spread(moved[index], float(likely[1][index] - likely[0][index])) for index, each in enumerate(after)
    }
    return Change(*chains, tuple([(link.name, moves[link.name]) for link in chains[1].links]))


def _checked(layers: Sequence[Layer]) -> tuple[Layer, ...]:
    names = [layer.name for layer in layers]
    if not names or len(set(names)) < len(names):
        raise InvalidQuantityError(names, "one link at least, no two of one name")
    return tuple(layers)


def _drawn_shares(layers: Sequence[Layer], new: str = "") -> Floats:
    """Give the shares of the give as drawn, of shape (layers, draws); the layer named new is drawn apart."""
    ends = np.log([[each.stiffness_n_mm.low, each.stiffness_n_mm.high] for each in layers])
    at = np.array([uniform(f"chain {'new ' if each.name == new else ''}{each.name}") for each in layers])
    return _shares(np.exp(ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * at))


def _shares(stiffness_n_mm: Floats) -> Floats:
    """Give the shares of the give along the first axis."""
    give = 1 / stiffness_n_mm
    shares: Floats = give / give.sum(axis=0)
    return shares


def _spread(draws: Floats, likely: float) -> Band:
    """Give 5 % and 95 % of draws, with the likely value between them."""
    low, high = np.quantile(draws, [0.05, 0.95]).tolist()
    return Band(min(low, likely), likely, max(high, likely))


def _answered(layers: tuple[Layer, ...], shares: Floats) -> Chain:
    likely = _shares(np.array([layer.stiffness_n_mm.likely for layer in layers])).tolist()
    often = (shares == shares.max(axis=0)).mean(axis=1).tolist()
    order = sorted(range(len(layers)), key=lambda index: (-likely[index], layers[index].name))
    links = [Link(layers[i].name, _spread(shares[i], likely[i]), often[i], layers[i].how) for i in order]
    holds = np.all(np.diff(shares[order], axis=0) <= 0, axis=0)
    return Chain(layers, tuple(links), float(holds.mean()), _notes(layers))


def _notes(layers: Sequence[Layer]) -> tuple[Note, ...]:
    given = {layer.name for layer in layers}
    left_out = [link for link in LINKS if link not in given]
    guessed = sorted(layer.name for layer in layers if layer.how is How.THUMB_GRADE)
    notes = [Note("chain.left_out", {"links": ", ".join(left_out)})] if left_out else []
    notes += [Note("chain.guessed", {"links": ", ".join(guessed)})] if guessed else []
    return (*notes, STIFFER_IS_NOT_ALWAYS_BETTER)
