"""Lengths and pulls of lacings against published formulas and independently computed values, by id."""

from __future__ import annotations

import csv
import re
from math import radians
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from mountwright.bench.lace_pull import Rows, capstan, path_length_mm, pulls
from mountwright.bench.lacing import Pattern, lace_path

with (Path(__file__).parent / "lacing.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["id"]: row for row in csv.DictReader(_file)}

#: By where a quantity begins: the pattern, and whether the bar of the bow counts.
_LENGTHS = {
    "criss-cross length, closed": (Pattern.CRISS_CROSS, True),
    "criss-cross length, open": (Pattern.CRISS_CROSS, False),
    "bow-tie length closed": (Pattern.BOW_TIE, True),
    "shoe-shop length, open": (Pattern.SHOE_SHOP_STRAIGHT, False),
    "European straight length, open": (Pattern.EUROPEAN_STRAIGHT, False),
}

#: Half of the last of six digits, at the most.
_SIX_DIGITS = 5e-6


def given(row: str) -> dict[str, float]:
    """Give the inputs of a row: every ``name=number`` in them."""
    return {name: float(number) for name, number in re.findall(r"(\w+)=([\d.]+)", _ROWS[row]["inputs"])}


def boot(row: str) -> Rows:
    """Give the eyelets of a row: n pairs, gap g, pitch h."""
    found = given(row)
    gap = np.array([found["g"]])
    return Rows(int(found["n"]), gap, gap, np.array([found["h"]]))


def as_published(row: str) -> object:
    """Give the value of a row, to be met within its tolerance; it is printed to six digits."""
    tolerance = float(_ROWS[row]["tolerance"].removeprefix("rel "))
    return pytest.approx(float(_ROWS[row]["value"]), rel=max(tolerance, _SIX_DIGITS))


def stronger_by(ratio: float, pairs: int) -> float:
    """Give by how much the shoe-shop straight pulls stronger than the criss-cross at a ratio of pitch to gap."""
    rows = Rows(pairs, np.ones(1), np.ones(1), np.array([ratio]))
    straight, crossed = (
        pulls(lace_path(pattern, pairs), rows).sum() for pattern in (Pattern.SHOE_SHOP_STRAIGHT, Pattern.CRISS_CROSS)
    )
    return float(straight - crossed)


@pytest.mark.parametrize(
    "row",
    [
        *("06-008", "06-009", "06-010", "06-011", "06-012", "06-013", "06-014", "06-015", "06-016", "06-017"),
        *("06-018", "06-019", "06-020", "06-021", "06-022", "06-023", "06-024", "06-025", "06-026", "06-027"),
    ],
)
def test_a_lacing_is_as_long_as_published(row: str) -> None:
    """Each pattern's way between its eyelets is as long as its formula says, for even and odd numbers of pairs."""
    pattern, is_closed = next(found for name, found in _LENGTHS.items() if _ROWS[row]["quantity"].startswith(name))
    rows = boot(row)
    length = path_length_mm(lace_path(pattern, rows.pairs), rows)[0]
    assert as_published(row) == length + (given(row)["g"] if is_closed else 0)


@pytest.mark.parametrize("pairs", range(3, 21))
@pytest.mark.parametrize("ratio", [0.05, 0.3, 1.0, 3.0])
def test_lengths_have_the_order_of_row_06_028(pairs: int, ratio: float) -> None:
    """Criss-cross is shorter than the European straight, and that than the shoe-shop straight; alike with three."""
    assert ("true", True) == (_ROWS["06-028"]["value"], "n=3: the last two equal" in _ROWS["06-028"]["inputs"])
    rows = Rows(pairs, np.ones(1), np.ones(1), np.array([ratio]))
    crossed, european, straight = (
        path_length_mm(lace_path(pattern, pairs), rows)[0]
        for pattern in (Pattern.CRISS_CROSS, Pattern.EUROPEAN_STRAIGHT, Pattern.SHOE_SHOP_STRAIGHT)
    )
    assert crossed < european
    assert (pytest.approx(european) == straight) if pairs == 3 else european < straight


@pytest.mark.parametrize("row", ["06-029", "06-030", "06-031", "06-032"])
def test_a_lacing_pulls_as_published(row: str) -> None:
    """The sum of sideways pulls without friction is as the pulley argument gives it."""
    pattern = Pattern.CRISS_CROSS if "criss-cross" in _ROWS[row]["quantity"] else Pattern.SHOE_SHOP_STRAIGHT
    rows = boot(row)
    assert as_published(row) == pulls(lace_path(pattern, rows.pairs), rows).sum()


@pytest.mark.parametrize("row", ["06-033", "06-034", "06-035", "06-036", "06-037", "06-038", "06-039"])
def test_the_straight_overtakes_the_criss_cross_as_published(row: str) -> None:
    """The shoe-shop straight pulls stronger from a ratio of pitch to gap on that falls with the number of pairs."""
    assert as_published(row) == brentq(stronger_by, 0.2, 2.0, args=(int(given(row)["n"]),))


def test_an_eyelet_that_rubs_keeps_what_is_published() -> None:
    """An eyelet that turns the lace by a right angle keeps 73 % of its tension at a friction of 0.2."""
    found = re.findall(r"mu=([\d.]+), wrap (\d+) deg", _ROWS["06-040"]["inputs"])[0]
    assert as_published("06-040") == capstan(float(found[0]), radians(float(found[1])))
