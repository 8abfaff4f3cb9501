"""What may be changed on a skate and what that does, as whole numbers: the question that a plan answers.

Sets, variables and the objective are those of the trade's staged choice: one change a position, money by instalment,
every stage a set-up whose linked parts go together. Nothing in here knows what a part is; a key names it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise

from mountwright.errors import InvalidQuantityError

#: No figure may be larger, so that sums of products stay within what 64 bits hold.
LARGEST = 10**10

_LARGEST_SUM = 10**15


@dataclass(frozen=True)
class Option:
    """Something that can be fitted or done at a position, once.

    Parameters
    ----------
    key : str
        Names it within its position, a SKU for instance; not empty.
    signature : str
        Its interface: all that decides what it goes together with.
    parts_minor, labour_minor, consumables_minor : int
        What it costs, minor units, each 0 or more; a price that is not split stands in the first.
    hazards : tuple of int
        By how many levels it takes each hazard away, in the order of :attr:`Problem.hazards`, each 0 or more.
    complaints : tuple of int
        Half-halvings of each complaint, in the order of :attr:`Problem.complaints`, each 0 or more: see
        :func:`mountwright.upgrading.levels.relief_points`.
    wishes : int
        Wishes met, in points, 0 or more.
    gain : int
        Rolling gain against the skate as it is; below 0 it rolls worse.
    waste_minor : int
        Price of what is bought with it and does not stand on the skate in the end, 0 or more.
    minutes : int
        Work on the bench, 0 or more.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds, or that are not whole.
    """

    key: str
    signature: str = ""
    parts_minor: int = 0
    labour_minor: int = 0
    consumables_minor: int = 0
    hazards: tuple[int, ...] = ()
    complaints: tuple[int, ...] = ()
    wishes: int = 0
    gain: int = 0
    waste_minor: int = 0
    minutes: int = 0

    def __post_init__(self) -> None:
        if not self.key:
            raise InvalidQuantityError(self.key, "a key that is not empty")
        money = (self.parts_minor, self.labour_minor, self.consumables_minor, self.waste_minor)
        _check_whole((*money, self.minutes, self.wishes, *self.hazards, *self.complaints), 0)
        _check_whole((self.gain,), -LARGEST)

    @property
    def cost_minor(self) -> int:
        """Give what it costs in all, minor units."""
        return self.parts_minor + self.labour_minor + self.consumables_minor


@dataclass(frozen=True)
class Position:
    """A place on the skate.

    Parameters
    ----------
    name : str
        Not empty.
    as_is : str
        Signature of the part as it is. Leaving it costs nothing and changes nothing.
    options : tuple of Option
        In any order, their keys all different.
    is_locked : bool
        Whether the part as it is has to stay.

    Raises
    ------
    InvalidQuantityError
        For an empty name or a key that stands twice.
    """

    name: str
    as_is: str = ""
    options: tuple[Option, ...] = ()
    is_locked: bool = False

    def __post_init__(self) -> None:
        if not self.name:
            raise InvalidQuantityError(self.name, "a position's name that is not empty")
        _check_different((option.key for option in self.options), f"keys at {self.name}")

    @property
    def signatures(self) -> frozenset[str]:
        """Give every interface that the position may come to have."""
        fitted = () if self.is_locked else self.options
        return frozenset({self.as_is, *(option.signature for option in fitted)})


@dataclass(frozen=True)
class Link:
    """Two positions whose parts have to go together.

    Parameters
    ----------
    one, other : str
        Names of two different positions.
    passing : frozenset of (str, str)
        Pairs of signatures, the first of ``one``, that go together. A pair that is not in it does not.

    Raises
    ------
    InvalidQuantityError
        For a position linked with itself.
    """

    one: str
    other: str
    passing: frozenset[tuple[str, str]]

    def __post_init__(self) -> None:
        if self.one == self.other:
            raise InvalidQuantityError(self.one, "two different positions")


@dataclass(frozen=True)
class Stage:
    """A stretch of time that begins when money comes in.

    Parameters
    ----------
    budget_minor : int
        What may have been spent by then in all, minor units, 0 or more, inclusive.
    duration : int
        How long it lasts until the next, or to the horizon, above 0, in a unit that all stages share.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds, or that are not whole.
    """

    budget_minor: int
    duration: int

    def __post_init__(self) -> None:
        _check_whole((self.budget_minor,), 0)
        _check_whole((self.duration,), 1)


@dataclass(frozen=True)
class Rate:
    """What a rolling gain is worth: ``gain_worth`` x time x gain stands against ``price_worth`` x price.

    Parameters
    ----------
    gain_worth : int
        Above 0.
    price_worth : int
        0 or more.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds, or that are not whole.
    """

    gain_worth: int = 1
    price_worth: int = 1

    def __post_init__(self) -> None:
        _check_whole((self.gain_worth,), 1)
        _check_whole((self.price_worth,), 0)


@dataclass(frozen=True)
class Problem:
    """A skate, what may be changed on it, and the money by instalment.

    Parameters
    ----------
    positions : tuple of Position
        In a fixed order, which settles ties; names all different.
    stages : tuple of Stage
        One or more, budgets never falling.
    links : tuple of Link
        Between positions of these names, each pair of positions linked once at most. The parts as they are go
        together.
    hazards : tuple of str
        Names, the gravest first.
    complaints : tuple of str
        Names, in the rider's order.
    rate : Rate

    Raises
    ------
    InvalidQuantityError
        For what contradicts this: an unknown position, figures for more or fewer hazards or complaints than are named,
        a budget that falls, parts as they are that do not go together, figures so large that their sums leave 64 bits.
    """

    positions: tuple[Position, ...]
    stages: tuple[Stage, ...]
    links: tuple[Link, ...] = ()
    hazards: tuple[str, ...] = ()
    complaints: tuple[str, ...] = ()
    rate: Rate = field(default_factory=Rate)

    def __post_init__(self) -> None:
        _check_different((position.name for position in self.positions), "positions")
        _check_different((*self.hazards, *self.complaints), "hazards and complaints")
        self._check_stages()
        self._check_links()
        self._check_options()

    @property
    def serving(self) -> tuple[int, ...]:
        """Give how long something serves that is fitted at each stage, to the horizon."""
        durations = [stage.duration for stage in self.stages]
        return tuple(sum(durations[stage:]) for stage in range(len(durations)))

    def _check_stages(self) -> None:
        if not self.stages:
            raise InvalidQuantityError(self.stages, "one stage or more")
        for earlier, later in pairwise(self.stages):
            if later.budget_minor < earlier.budget_minor:
                raise InvalidQuantityError(later.budget_minor, f"a budget of {earlier.budget_minor} or more")

    def _check_links(self) -> None:
        as_is = {position.name: position.as_is for position in self.positions}
        for link in self.links:
            for name in (link.one, link.other):
                if name not in as_is:
                    raise InvalidQuantityError(name, f"one of the positions {sorted(as_is)}")
            if (as_is[link.one], as_is[link.other]) not in link.passing:
                raise InvalidQuantityError((link.one, link.other), "parts as they are that go together")
        _check_different((str(sorted((link.one, link.other))) for link in self.links), "links")

    def _check_options(self) -> None:
        named = (len(self.hazards), len(self.complaints))
        largest = 0
        for position in self.positions:
            for option in position.options:
                if (len(option.hazards), len(option.complaints)) != named:
                    raise InvalidQuantityError(option.key, "a figure for every hazard and complaint")
                largest = max(largest, _largest(option))
        worth = self.serving[0] * self.rate.gain_worth + self.rate.price_worth
        if largest * worth * len(self.positions) >= _LARGEST_SUM:
            raise InvalidQuantityError(largest, "figures whose weighted sums stay below 10^15")


def _largest(option: Option) -> int:
    figures = (abs(option.gain), option.wishes, option.cost_minor, option.waste_minor, option.minutes)
    return max(*figures, *option.hazards, *option.complaints)


def _check_whole(figures: Iterable[object], least: int) -> None:
    for figure in figures:
        if type(figure) is not int or not least <= figure <= LARGEST:
            raise InvalidQuantityError(figure, f"a whole number from {least} to {LARGEST}")


def _check_different(names: Iterable[str], what: str) -> None:
    twice = sorted(name for name, count in Counter(names).items() if count > 1)
    if twice:
        raise InvalidQuantityError(twice, f"{what} that are all different")
