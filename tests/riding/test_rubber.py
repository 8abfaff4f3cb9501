"""How stiff rubber is, by two published fits: their agreement with print is in tests/reference."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly
from mountwright.riding.rubber import gent_mpa, log_linear_mpa, modulus_band, modulus_mpa

Fit: TypeAlias = Callable[[Any], Any]

HARDNESS = st.floats(30, 95)
LEANS = st.floats(0, 1)

#: What rounding may do to a ratio.
ROUNDING = 1e-12


@st.composite
def bands(draw: st.DrawFn) -> Band:
    """Give a hardness with its doubt."""
    return Band(*sorted(draw(st.tuples(HARDNESS, HARDNESS, HARDNESS))))


class TestFits:
    """A fit of the modulus ..."""

    @pytest.mark.parametrize("fit", [gent_mpa, log_linear_mpa])
    @given(softer=HARDNESS, harder=HARDNESS)
    def test_rises_with_hardness(self, fit: Fit, softer: float, harder: float) -> None:
        """... never makes a harder tyre softer."""
        assert fit(min(softer, harder)) <= fit(max(softer, harder))

    @pytest.mark.parametrize("fit", [gent_mpa, log_linear_mpa])
    def test_takes_many_at_once(self, fit: Fit) -> None:
        """... gives for each of many what it gives for one."""
        many = np.array([30.0, 62.5, 95.0])
        assert [fit(float(one)) for one in many] == pytest.approx(fit(many).tolist(), rel=ROUNDING)

    @pytest.mark.parametrize("fit", [gent_mpa, log_linear_mpa])
    @pytest.mark.parametrize("hardness", [29.999, 95.001, 99.0, 100.0, -1.0, math.nan, math.inf])
    def test_is_refused_beyond_its_bounds(self, fit: Fit, hardness: float) -> None:
        """... is not stretched to a hardness that it is not made for, alone or among others."""
        with pytest.raises(InvalidQuantityError, match="30 to 95 Shore A"):
            fit(hardness)
        with pytest.raises(InvalidQuantityError, match="30 to 95 Shore A"):
            fit(np.array([80.0, hardness]))

    @pytest.mark.parametrize("fit", [gent_mpa, log_linear_mpa])
    @pytest.mark.parametrize("hardness", [30.0, 95.0])
    def test_holds_on_its_bounds(self, fit: Fit, hardness: float) -> None:
        """... is given on both bounds themselves."""
        assert 1 < fit(hardness) < 50


class TestModulusBetween:
    """The modulus between the fits ..."""

    @given(HARDNESS)
    def test_starts_and_ends_on_a_fit(self, hardness: float) -> None:
        """... is Gent's without a lean, and the log-linear one with all of it."""
        assert gent_mpa(hardness) == pytest.approx(modulus_mpa(hardness, 0.0), rel=ROUNDING)
        assert log_linear_mpa(hardness) == pytest.approx(modulus_mpa(hardness, 1.0), rel=ROUNDING)

    @given(HARDNESS)
    def test_is_the_geometric_mean_halfway(self, hardness: float) -> None:
        """... lies as many times above the one as below the other, halfway."""
        mean = math.sqrt(gent_mpa(hardness) * log_linear_mpa(hardness))
        assert mean == pytest.approx(modulus_mpa(hardness, 0.5), rel=ROUNDING)

    @given(HARDNESS, LEANS)
    def test_lies_between_both(self, hardness: float, lean: float) -> None:
        """... leaves neither end."""
        low, high = sorted((gent_mpa(hardness), log_linear_mpa(hardness)))
        assert low * (1 - ROUNDING) <= modulus_mpa(hardness, lean) <= high * (1 + ROUNDING)

    def test_takes_many_hardnesses_and_leans(self) -> None:
        """... goes through each hardness with each lean."""
        hardness, leans = np.array([[75.0], [85.0]]), np.array([0.0, 0.3, 1.0])
        expected = [[modulus_mpa(float(one), float(lean)) for lean in leans] for one in hardness[:, 0]]
        assert np.array(expected) == pytest.approx(modulus_mpa(hardness, leans), rel=ROUNDING)

    @pytest.mark.parametrize("lean", [-0.001, 1.001, math.nan])
    def test_needs_a_share_for_its_lean(self, lean: float) -> None:
        """... is refused beyond both fits."""
        with pytest.raises(InvalidQuantityError, match="a lean of 0 to 1"):
            modulus_mpa(80.0, lean)


class TestModulusBand:
    """The band of a modulus ..."""

    def test_has_a_fit_at_each_end(self) -> None:
        """... goes from Gent's fit at the softest to the log-linear one at the hardest."""
        found = modulus_band(Band(82.0, 85.0, 87.0))
        assert Band(gent_mpa(82.0), modulus_mpa(85.0, 0.5), log_linear_mpa(87.0)) == found

    def test_of_a_known_hardness_is_the_doubt_between_the_fits(self) -> None:
        """... is not exact even where the hardness is."""
        found = modulus_band(exactly(80.0))
        assert 1.857 == pytest.approx(found.high / found.low, rel=1e-3)

    def test_has_gents_fit_at_the_hard_end_where_that_is_the_stiffer(self) -> None:
        """... turns round at 95 A, where the fits have crossed."""
        found = modulus_band(exactly(95.0))
        assert (log_linear_mpa(95.0), gent_mpa(95.0)) == (found.low, found.high)

    @given(bands())
    def test_holds_both_fits_throughout(self, hardness: Band) -> None:
        """... leaves neither fit out at any hardness within the doubt."""
        found = modulus_band(hardness)
        fits = [fit(at) for fit in (gent_mpa, log_linear_mpa) for at in (hardness.low, hardness.likely, hardness.high)]
        assert found.low <= min(fits)
        assert max(fits) <= found.high

    def test_is_refused_beyond_the_bounds(self) -> None:
        """... is not given for a wheel of 99 A."""
        with pytest.raises(InvalidQuantityError):
            modulus_band(Band(94.0, 97.0, 99.0))
