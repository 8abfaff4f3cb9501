"""Coasting down and springs in series against independently computed values, by id."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from mountwright.riding.band import around, exactly
from mountwright.riding.chain import (
    STIFFER_IS_NOT_ALWAYS_BETTER,
    How,
    Layer,
    chained,
    changed,
)
from mountwright.riding.coasting import Coasted, Coaster, braking, coasted, wheels_spinning_kg

with (Path(__file__).parent / "physics.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["id"]: row for row in csv.DictReader(_file)}

#: The table's own example, in kN/m, which is N/mm; nobody measured it.
_STACK = {"insole": 300.0, "liner": 150.0, "shell": 800.0, "frame": 2000.0}
_LOSSES = {"insole": 0.40, "liner": 0.40, "shell": 0.15, "frame": 0.05}
_PUSH_N = 1100.0


def _as_published(row: str) -> object:
    """Give the value of a row, to be met within its tolerance, or half of its last digit where that is more."""
    kind, size = _ROWS[row]["tolerance"].split()
    value, decimals = float(_ROWS[row]["value"]), len(_ROWS[row]["value"].partition(".")[2])
    within = float(size) * (value if kind == "rel" else 1.0)
    return pytest.approx(value, abs=max(within, 0.5 * 10.0**-decimals) if decimals else within)


def _given(row: str) -> dict[str, float]:
    """Give the inputs of a row: every ``name=number`` in them."""
    return {name: float(number) for name, number in re.findall(r"(\w+)=(-?[\d.]+)", _ROWS[row]["inputs"])}


def _to_rest(row: str) -> Coasted:
    given = _given(row)
    coaster = Coaster(given["m"], around(0.27, 0.03), air_density_kg_m3=given["rho"])
    return coasted(braking(coaster, given["Crr"], given["CdA"], 0.0), given["v0"])


def _layers(**instead: float) -> list[Layer]:
    return [Layer(name, exactly(each), How.GIVEN) for name, each in {**_STACK, **instead}.items()]


def _lost_share(layers: list[Layer]) -> float:
    return sum(link.share.likely * _LOSSES[link.name] for link in chained(layers).links)


class TestCoastDown:
    """A rider who coasts to rest on the level ..."""

    @pytest.mark.parametrize("row", ["02-063", "02-065", "02-067"])
    def test_goes_as_far_as_integrated(self, row: str) -> None:
        """... goes as far as an integration of the motion says."""
        assert _as_published(row) == _to_rest(row).distance_m

    @pytest.mark.parametrize("row", ["02-064", "02-066", "02-068"])
    def test_takes_as_long_as_integrated(self, row: str) -> None:
        """... takes as long as an integration of the motion says."""
        assert _as_published(row) == _to_rest(row).time_s

    def test_slows_the_wheels_as_well(self) -> None:
        """... has eight wheels of 100 g to slow down as well, discs of half their mass (02-069)."""
        assert _as_published("02-069") == wheels_spinning_kg(8, 0.100, 0.5)


class TestSeries:
    """Links in series ..."""

    def test_are_as_stiff_as_the_assembled_chain(self) -> None:
        """... are as stiff together as a linear solve of the assembled chain says (05-001)."""
        assert _as_published("05-001") == chained(_layers()).stiffness_n_mm

    def test_give_by_the_force_over_the_stiffness(self) -> None:
        """... give under a push by what each of them gives (05-002), a share each as the chain says."""
        give_mm = _PUSH_N / chained(_layers()).stiffness_n_mm
        assert _as_published("05-002") == give_mm
        assert {link.name: link.share.likely * give_mm for link in chained(_layers()).links} == pytest.approx(
            {name: _PUSH_N / each for name, each in _STACK.items()}
        )

    def test_store_and_lose_work_by_their_shares(self) -> None:
        """... store work by their give (05-003) and lose the mean of their losses by share (05-004 to 05-006)."""
        stored_j = _PUSH_N**2 / (2 * chained(_layers()).stiffness_n_mm) / 1000
        lost = _lost_share(_layers())
        assert _as_published("05-003") == stored_j
        assert _as_published("05-004") == lost
        assert _as_published("05-005") == lost * stored_j
        assert _as_published("05-006") == lost * stored_j * 1.3

    @pytest.mark.parametrize(("row", "link", "stiffness"), [("05-007", "liner", 300.0), ("05-008", "shell", 1600.0)])
    def test_gain_most_where_they_are_softest(self, row: str, link: str, stiffness: float) -> None:
        """... gain much from a liner twice as stiff and little from a shell twice as stiff (05-007, 05-008)."""
        change = changed(_layers(), link, Layer(link, exactly(stiffness), How.GIVEN))
        assert _as_published(row) == change.after.stiffness_n_mm


class TestCaution:
    """The caution against stiff boots ..."""

    def test_has_the_published_ranges_of_the_ankle(self) -> None:
        """... gives the ranges of the ankle in a shoe, a flexible and a stiff boot as published (05-022)."""
        published = [float(each) for each in _ROWS["05-022"]["value"].split(" / ")]
        params = STIFFER_IS_NOT_ALWAYS_BETTER.params
        boots = ("ankle_in_shoe_deg", "ankle_in_flexible_boot_deg", "ankle_in_stiff_boot_deg")
        assert published == [params[each] for each in boots]

    def test_has_the_published_gain_of_a_free_ankle(self) -> None:
        """... gives what a hinge that frees the ankle gained in speed as published (05-024)."""
        (gain,) = re.findall(r"\+([\d.]+) percent", _ROWS["05-024"]["value"])
        assert float(gain) == STIFFER_IS_NOT_ALWAYS_BETTER.params["faster_with_free_ankle_percent"]


def test_the_shares_of_the_example_follow_from_a_linear_solve() -> None:
    """The chain assembled as a matrix and solved gives each link's share of the give."""
    names, stiffness = list(_STACK), np.array(list(_STACK.values()))
    matrix = np.diag(stiffness + np.append(stiffness[1:], 0.0))
    matrix -= np.diag(stiffness[1:], 1) + np.diag(stiffness[1:], -1)
    places = np.linalg.solve(matrix, np.array([0.0, 0.0, 0.0, _PUSH_N]))
    solved = np.diff(places, prepend=0.0) / places[-1]
    found = {link.name: link.share.likely for link in chained(_layers()).links}
    assert dict(zip(names, solved.tolist(), strict=True)) == pytest.approx(found)
