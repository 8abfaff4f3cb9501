"""The patterns against every admissible lacing of a few pairs, found by trying; published results by id."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray

from mountwright.bench.lace_pull import Rows, path_length_mm, pulls
from mountwright.bench.lacing import LEFT, RIGHT, Eyelet, Pattern, lace_path

with (Path(__file__).parent / "lacing.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["id"]: row for row in csv.DictReader(_file)}

#: Rows of eyelets: gap at the top, at the bottom, pitch; mm.
PARALLEL = [(60.0, 60.0, ratio * 60.0) for ratio in (0.3, 1.0, 2.0)]
NARROWING = [(80.0, 40.0, 25.0), (90.0, 30.0, 40.0), (90.0, 30.0, 80.0)]
WIDENING = [(40.0, 80.0, 25.0), (30.0, 90.0, 80.0)]

Way = tuple[Eyelet, ...]


class Lacings(NamedTuple):
    """What every admissible lacing of one boot comes to; (lacings,) each."""

    length_mm: NDArray[np.float64]
    pull_sum: NDArray[np.float64]
    always_crosses: NDArray[np.bool_]


def eyelets(pairs: int) -> list[Eyelet]:
    """Give all eyelets from the top down."""
    return [Eyelet(side, pair) for pair in range(pairs) for side in (LEFT, RIGHT)]


@cache
def every_lacing(pairs: int) -> list[Way]:
    """Give every closed way through all eyelets on which none has both its neighbours on its own side."""
    first, *others = eyelets(pairs)
    return list(grown((first,), tuple(others)))


def grown(way: Way, left: Way) -> Iterator[Way]:
    """Yield the admissible ways that begin with one; of the two directions of a way, one."""
    if not left:
        if way[1] < way[-1] and is_admissible(way):
            yield way
        return
    for each in left:
        if len(way) < 2 or not way[-2].side == way[-1].side == each.side:
            yield from grown((*way, each), tuple(other for other in left if other is not each))


def is_admissible(loop: Way) -> bool:
    """Tell whether each eyelet of a closed way has a neighbour on the other side."""
    around = zip((loop[-1], *loop), loop, (*loop[1:], loop[0]), strict=False)
    return all(not before.side == here.side == after.side for before, here, after in around)


def of_every_lacing(pairs: int, gap_top_mm: float, gap_bottom_mm: float, pitch_mm: float) -> Lacings:
    """Give what every lacing comes to, worked out by Ptolemy's theorem and not from places."""
    side, pair = np.array(every_lacing(pairs)).transpose(2, 0, 1)
    gap = gap_top_mm + pair / (pairs - 1) * (gap_bottom_mm - gap_top_mm)
    next_side, next_pair, next_gap = (np.roll(each, -1, axis=1) for each in (side, pair, gap))
    crosses, along = side != next_side, np.abs(pair - next_pair) * pitch_mm
    length = np.sqrt(along**2 + np.where(crosses, gap * next_gap, 0.0))
    sideways = np.where(crosses, (gap + next_gap) / 2 / length, 0.0)
    return Lacings(length.sum(axis=1), sideways.sum(axis=1), crosses.all(axis=1))


def of_pattern(pattern: Pattern, pairs: int, boot: tuple[float, float, float]) -> tuple[float, float]:
    """Give length, closed by the bow, and sum of pulls of a pattern."""
    path, rows = lace_path(pattern, pairs), Rows(pairs, *(np.array([figure]) for figure in boot))
    return float(path_length_mm(path, rows)[0]) + boot[0], float(pulls(path, rows).sum())


class TestEveryLacing:
    """Of all admissible lacings ..."""

    @pytest.mark.parametrize("row", ["06-001", "06-002", "06-003", "06-004"])
    def test_there_are_as_many_as_published(self, row: str) -> None:
        """... there are as many as published, and of those that always cross, too."""
        pairs = int(_ROWS[row]["inputs"].partition("=")[2].split()[0])
        crossing = int(_ROWS[row]["note"].rpartition(":")[2])
        found = of_every_lacing(pairs, *PARALLEL[0])
        assert (int(_ROWS[row]["value"]), crossing) == (found.length_mm.size, found.always_crosses.sum())

    @pytest.mark.parametrize("pattern", Pattern)
    @pytest.mark.parametrize("pairs", [2, 3, 4, 5])
    def test_every_pattern_is_one(self, pattern: Pattern, pairs: int) -> None:
        """... each pattern is one, whichever way round it is gone through."""
        path = lace_path(pattern, pairs)
        start = path.index(Eyelet(LEFT, 0))
        loop = (*path[start:], *path[:start])
        there, back = loop, (loop[0], *reversed(loop[1:]))
        assert any(way in every_lacing(pairs) for way in (there, back))

    @pytest.mark.parametrize("boot", [*PARALLEL, *NARROWING], ids=str)
    @pytest.mark.parametrize("pairs", [2, 3, 4, 5])
    def test_the_bow_tie_is_the_shortest(self, pairs: int, boot: tuple[float, float, float]) -> None:
        """... the bow-tie is the shortest (06-005), also where the boot opens wider towards the top."""
        found = of_every_lacing(pairs, *boot)
        assert pytest.approx(found.length_mm.min()) == of_pattern(Pattern.BOW_TIE, pairs, boot)[0]

    @pytest.mark.parametrize("boot", [*PARALLEL, *NARROWING, *WIDENING], ids=str)
    @pytest.mark.parametrize("pairs", [2, 3, 4, 5])
    def test_the_criss_cross_is_the_shortest_that_always_crosses(
        self, pairs: int, boot: tuple[float, float, float]
    ) -> None:
        """... the criss-cross is the shortest that crosses at every step (06-006)."""
        found = of_every_lacing(pairs, *boot)
        crossing = found.length_mm[found.always_crosses]
        assert pytest.approx(crossing.min()) == of_pattern(Pattern.CRISS_CROSS, pairs, boot)[0]

    @pytest.mark.parametrize("boot", [*PARALLEL, *NARROWING, *WIDENING], ids=str)
    @pytest.mark.parametrize("pairs", [2, 3, 4, 5])
    def test_criss_cross_or_shoe_shop_straight_is_the_strongest(
        self, pairs: int, boot: tuple[float, float, float]
    ) -> None:
        """... the criss-cross or the shoe-shop straight pulls strongest (06-007)."""
        strongest = max(of_pattern(each, pairs, boot)[1] for each in (Pattern.CRISS_CROSS, Pattern.SHOE_SHOP_STRAIGHT))
        assert pytest.approx(of_every_lacing(pairs, *boot).pull_sum.max()) == strongest

    @pytest.mark.parametrize("row", ["06-005", "06-006", "06-007"])
    def test_what_is_said_of_all_is_confirmed_here(self, row: str) -> None:
        """... what is published of them holds for these pairs and ratios of pitch to gap."""
        assert ("confirmed", "2..5", "0.3,1,2") == (
            _ROWS[row]["value"],
            *re.findall(r"n=([\d.]+), h/g=(\S+)", _ROWS[row]["inputs"])[0],
        )
