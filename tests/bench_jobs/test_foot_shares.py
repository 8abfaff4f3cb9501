"""How many people have such feet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal

from mountwright.bench.foot_shares import ALIKE_MM, Spread, SurveyGroup, foot_share, survey_groups, survey_source
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, around, exactly

MALE, FEMALE = survey_groups().values()
GROUPS = st.sampled_from([MALE, FEMALE])
LENGTHS, BREADTHS = st.floats(80, 400), st.floats(30, 180)


def _by_library(group: SurveyGroup, length: float, breadth: float) -> float:
    """Give the share of a box of both by a library's integral."""
    across = group.correlation * group.length.deviation * group.breadth.deviation
    both = multivariate_normal(
        [group.length.mean, group.breadth.mean],
        [[group.length.deviation**2, across], [across, group.breadth.deviation**2]],
    )
    upper = [length + ALIKE_MM, breadth + ALIKE_MM]
    return float(both.cdf(upper, lower_limit=[length - ALIKE_MM, breadth - ALIKE_MM]))


class TestShare:
    """The share of people ..."""

    def test_with_a_foot_no_longer_than_the_mean_is_half(self) -> None:
        """... with a foot no longer than the mean is one half, and so it is of breadth at that length."""
        found = foot_share(MALE, exactly(MALE.length.mean), exactly(MALE.breadth.mean))

        assert found.no_broader
        assert (0.5, 0.5) == (found.no_longer.likely, found.no_broader.likely)

    @pytest.mark.parametrize("group", [MALE, FEMALE], ids=["male", "female"])
    @pytest.mark.parametrize(("longer", "broader"), [(0, 0), (1, 1), (-2, 1), (1.5, -2), (3, 3)])
    def test_with_such_a_foot_is_the_integral_of_both(self, group: SurveyGroup, longer: float, broader: float) -> None:
        """... with such a length and breadth is the integral of both together, by a library."""
        length = group.length.mean + longer * group.length.deviation
        breadth = group.breadth.mean + broader * group.breadth.deviation
        found = foot_share(group, exactly(length), exactly(breadth)).such_foot
        expected = max(_by_library(group, length, breadth), 0.5 / (group.people + 1))

        assert pytest.approx(expected, abs=2e-6) == found

    def test_with_broader_feet_rises_with_length(self) -> None:
        """... whose foot is broader than 101 mm is larger among long feet: both go together."""
        short, long = (foot_share(MALE, exactly(each), exactly(101.0)).no_broader for each in (250.0, 290.0))

        assert short
        assert long
        assert long.likely < short.likely

    def test_without_a_breadth_is_of_the_length_alone(self) -> None:
        """... with such a foot is not told where nobody measured the breadth."""
        found = foot_share(FEMALE, exactly(246.0))

        assert (None, None) == (found.no_broader, found.such_foot)

    def test_beyond_everybody_is_not_nothing(self) -> None:
        """... with a foot that nobody of them had is half a person of so many, neither none nor all."""
        found = foot_share(MALE, exactly(399.0), exactly(50.0))

        assert pytest.approx(0.5 / 4083) == found.such_length == found.such_foot
        assert pytest.approx(1 - 0.5 / 4083) == found.no_longer.likely

    @given(GROUPS, LENGTHS, BREADTHS, st.floats(0, 10))
    def test_is_a_share(self, group: SurveyGroup, length: float, breadth: float, doubt: float) -> None:
        """... lies between 0 and 1, and of both never above that of one."""
        found = foot_share(group, around(length, doubt), around(breadth, doubt))

        assert found.no_broader
        assert found.such_foot is not None
        ends = [end for band in (found.no_longer, found.no_broader) for end in (band.low, band.high)]
        assert all(0 < each < 1 for each in (*ends, found.such_length, found.such_foot))
        assert found.such_foot <= found.such_length + 1e-9

    @given(GROUPS, LENGTHS, st.floats(0, 50), BREADTHS, st.floats(0, 50))
    def test_never_falls_as_feet_grow(
        self, group: SurveyGroup, length: float, longer: float, breadth: float, broader: float
    ) -> None:
        """... whose foot is no longer, or no broader at this length, never falls as the foot grows."""
        small = foot_share(group, exactly(length), exactly(breadth))
        long = foot_share(group, exactly(length + longer))
        broad = foot_share(group, exactly(length), exactly(breadth + broader))

        assert small.no_longer.likely <= long.no_longer.likely
        assert small.no_broader
        assert broad.no_broader
        assert small.no_broader.likely <= broad.no_broader.likely

    def test_has_the_doubt_of_the_foot(self) -> None:
        """... has the doubt of the foot."""
        found = foot_share(MALE, Band(268, 270, 273)).no_longer
        ends = [foot_share(MALE, exactly(each)).no_longer.likely for each in (268, 270, 273)]

        assert ends == [found.low, found.likely, found.high]


class TestGroup:
    """A group of the survey ..."""

    def test_is_of_an_army(self) -> None:
        """... says where it comes from."""
        assert ["male", "female"] == list(survey_groups())
        assert "US Army 2012" in survey_source()

    @pytest.mark.parametrize(
        "more", [{"people": 0}, {"length": Spread(270, 0)}, {"breadth": Spread(100, -1)}, {"correlation": 1.0}]
    )
    def test_that_cannot_be_is_refused(self, more: dict[str, Any]) -> None:
        """... of nobody, of no spread or that goes together fully is refused."""
        with pytest.raises(InvalidQuantityError):
            replace(MALE, **more)
