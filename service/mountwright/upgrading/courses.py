"""How the interface of each position may run over the stages, and which runs go together at every stage.

A course is the part as it is until one stage and another interface from then on. Courses that go together with
nothing are left out; those that go together with the same courses everywhere are one.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from mountwright.upgrading.problem import Position, Problem

Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: For each pair of linked positions, by their places and both ways round, which courses go together.
Together = dict[tuple[int, int], Flags]


class Courses(NamedTuple):
    """The courses of every position.

    Parameters
    ----------
    of : tuple of array of int
        For each position the course of each run that was handed in; -1 where it goes together with nothing.
    counts : tuple of int
        How many courses each position has.
    together : Together
    """

    of: tuple[Whole, ...]
    counts: tuple[int, ...]
    together: Together

    def covers(self, place: int) -> Flags:
        """Tell of every two courses of a position whether the first goes together with all that the second does."""
        count = self.counts[place]
        found = np.ones((count, count), dtype=np.bool_)
        for (one, _), passing in self.together.items():
            if one == place:
                found &= ~(~passing[:, None, :] & passing[None, :, :]).any(axis=2)
        return found


def interfaces(problem: Problem) -> list[dict[str, int]]:
    """Give for each position a number for each of its signatures, the same for those that go with the same."""
    rows = [_rows(problem, position) for position in problem.positions]
    numbers = []
    for position, row in zip(problem.positions, rows, strict=True):
        seen = {each: number for number, each in enumerate(dict.fromkeys(row.values()))}
        numbers.append({signature: seen[row[signature]] for signature in sorted(position.signatures)})
    return numbers


def _rows(problem: Problem, position: Position) -> dict[str, tuple[frozenset[str], ...]]:
    """Give for each signature what it goes together with, link by link."""
    named = {each.name: each.signatures for each in problem.positions}
    partners: list[dict[str, set[str]]] = []
    for link in problem.links:
        if position.name in (link.one, link.other):
            found: dict[str, set[str]] = {}
            other = named[link.other if position.name == link.one else link.one]
            for pair in link.passing:
                own, theirs = pair if position.name == link.one else pair[::-1]
                if theirs in other:
                    found.setdefault(own, set()).add(theirs)
            partners.append(found)
    return {each: tuple(frozenset(found.get(each, ())) for found in partners) for each in sorted(position.signatures)}


def courses(problem: Problem, numbers: list[dict[str, int]], runs: Sequence[Whole]) -> Courses:
    """Give the courses of the runs that can be had.

    Parameters
    ----------
    problem : Problem
    numbers : list of dict
        As :func:`interfaces` gives them.
    runs : sequence of array of int (n, k)
        For each position what interface it has at each stage, by number, in every way that can be had.
    """
    together = _together(problem, numbers, runs)
    usable = _usable(together, [len(run) for run in runs])
    of = [_merged(place, usable, together) for place in range(len(runs))]
    firsts = [np.unique(each[each >= 0], return_index=True)[1] for each in of]
    kept = [np.flatnonzero(each >= 0)[first] for each, first in zip(of, firsts, strict=True)]
    fewer = {pair: passing[np.ix_(kept[pair[0]], kept[pair[1]])] for pair, passing in together.items()}
    return Courses(tuple(of), tuple(len(each) for each in kept), fewer)


def _together(problem: Problem, numbers: list[dict[str, int]], runs: Sequence[Whole]) -> Together:
    """Give which runs go together at every stage."""
    places = {position.name: place for place, position in enumerate(problem.positions)}
    found: Together = {}
    for link in problem.links:
        one, other = places[link.one], places[link.other]
        passing = np.zeros((len(numbers[one]), len(numbers[other])), dtype=np.bool_)
        for first, second in link.passing:
            if first in numbers[one] and second in numbers[other]:
                passing[numbers[one][first], numbers[other][second]] = True
        every = np.ones((len(runs[one]), len(runs[other])), dtype=np.bool_)
        for own, theirs in zip(runs[one].T, runs[other].T, strict=True):
            every &= passing[own[:, None], theirs[None, :]]
        found[one, other], found[other, one] = every, every.T
    return found


def _usable(together: Together, counts: Sequence[int]) -> list[Flags]:
    """Tell which runs go together with something at each linked position, and that with something in turn."""
    usable = [np.ones(count, dtype=np.bool_) for count in counts]
    before = -1
    while before != (before := sum(int(each.sum()) for each in usable)):
        for (one, other), passing in together.items():
            usable[one] &= passing[:, usable[other]].any(axis=1)
    return usable


def _merged(place: int, usable: Sequence[Flags], together: Together) -> Whole:
    """Give for each run its course, -1 for one that cannot be used."""
    rows = [passing[:, usable[other]] for (one, other), passing in together.items() if one == place]
    table = np.column_stack(rows) if rows else np.zeros((len(usable[place]), 1), dtype=np.bool_)
    _, where = np.unique(np.packbits(table[usable[place]], axis=1), axis=0, return_inverse=True)
    found = np.full(len(table), -1, dtype=np.int64)
    found[usable[place]] = where
    return found
