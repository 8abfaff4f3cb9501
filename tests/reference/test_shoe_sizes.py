"""Sizes and feet against published and independently computed values, by id."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from pathlib import Path

import pytest

from mountwright.bench.foot_shares import survey_groups
from mountwright.bench.shoe_sizes import PARIS_POINT_MM, Wish, last_size, mondopoint_size, scales
from mountwright.riding.band import exactly

with (Path(__file__).parent / "physics.csv").open(encoding="utf-8", newline="") as _file:
    _ROWS = {row["id"]: row for row in csv.DictReader(_file)}


def _numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"\d+\.?\d*", text)]


def _as_published(row: str) -> object:
    """Give the value of a row, to be met within its tolerance."""
    kind, size = _ROWS[row]["tolerance"].split()
    value = float(_ROWS[row]["value"])
    return pytest.approx(value, rel=float(size)) if kind == "rel" else pytest.approx(value, abs=float(size))


def _length_mm(row: str) -> float:
    return _numbers(_ROWS[row]["inputs"])[0]


class TestScale:
    """A scale ..."""

    def test_of_the_paris_point_has_its_grade(self) -> None:
        """... that counts in Paris points has a grade of two thirds of a centimetre."""
        assert _as_published("07-001") == PARIS_POINT_MM
        assert _as_published("07-001") == scales()["eu_size"].grade_mm

    @pytest.mark.parametrize("name", ["uk_size", "us_men_size", "us_women_size"])
    def test_of_the_barleycorn_has_its_grade(self, name: str) -> None:
        """... that counts in barleycorns has a grade of a third of an inch, and half of it for half a size."""
        assert _as_published("07-002") == scales()[name].grade_mm
        assert _as_published("07-003") == scales()[name].grade_mm / 2

    @pytest.mark.parametrize("row", ["07-005", "07-008", "07-011", "07-014"])
    def test_gives_the_eu_size_of_a_last(self, row: str) -> None:
        """... of EU sizes divides a last by the Paris point."""
        assert _as_published(row) == last_size(_length_mm(row), scales()["eu_size"]).likely

    @pytest.mark.parametrize("row", ["07-017", "07-019", "07-021", "07-023"])
    def test_gives_the_eu_size_of_a_foot_with_15_mm(self, row: str) -> None:
        """... of EU sizes gives a foot the size of a last that is 15 mm longer."""
        assert _as_published(row) == last_size(_length_mm(row) + 15, scales()["eu_size"]).likely

    @pytest.mark.parametrize("row", ["07-018", "07-020", "07-022", "07-024"])
    def test_gives_the_eu_size_of_a_foot_with_two_paris_points(self, row: str) -> None:
        """... of EU sizes gives a foot the size of a last that is two Paris points longer: 1.5 L + 2."""
        assert _as_published(row) == last_size(_length_mm(row) + 40 / 3, scales()["eu_size"]).likely

    def test_steps_differently_from_another(self) -> None:
        """... of EU sizes has smaller steps than the UK's."""
        assert _as_published("07-025") == scales()["eu_size"].grade_mm / scales()["uk_size"].grade_mm


class TestMondopoint:
    """A Mondopoint size ..."""

    def test_of_a_measured_foot_is_the_next_for_comfort(self) -> None:
        """... of 267.4 mm is the next one up for comfort, the one below for performance, and else the nearest."""
        foot = exactly(_length_mm("07-026"))
        found = [mondopoint_size(foot, wish).try_first for wish in (Wish.COMFORT, Wish.PERFORMANCE, None)]

        assert [float(_ROWS["07-026"]["value"]), 265, 265] == found


class TestSurvey:
    """The survey's ..."""

    @pytest.mark.parametrize(
        ("row", "group", "measure"),
        [
            ("07-027", "male", "length"),
            ("07-028", "male", "breadth"),
            ("07-033", "female", "length"),
            ("07-034", "female", "breadth"),
        ],
    )
    def test_means_and_deviations_are_as_published(self, row: str, group: str, measure: str) -> None:
        """... means, deviations and number of people are those of the public table."""
        found = survey_groups()[group]

        assert _numbers(_ROWS[row]["value"]) == list(getattr(found, measure))
        assert _ROWS[row]["inputs"].endswith(f"n={found.people}")

    @pytest.mark.parametrize(("row", "group"), [("07-032", "male"), ("07-038", "female")])
    def test_correlation_is_as_published(self, row: str, group: str) -> None:
        """... correlation of length and breadth is that of the public table."""
        assert _numbers(_ROWS[row]["value"])[0] == survey_groups()[group].correlation

    @pytest.mark.published("feet", "foot percentile")
    def test_normal_distributions_meet_its_percentiles(self, given: Mapping[str, object], value: float) -> None:
        """... normal distributions put 5, 50 and 95 % within a millimetre, as closely as feet were read."""
        spread = getattr(survey_groups()[str(given["group"])], str(given["measure"]))
        share = float(str(given["percent"])) / 100

        assert spread.share_up_to(value - 1) < share < spread.share_up_to(value + 1)
