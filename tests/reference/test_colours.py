"""Colours against published pairs, and against libraries other than the one in use."""

from __future__ import annotations

import pytest

from mountwright.bench.colours import Lab, differences_from, lab_of


@pytest.mark.published("colours", "CIEDE2000")
def test_the_difference_of_each_published_pair_is_met_to_its_last_digit(
    given: dict[str, float], value: float, last_digit: float
) -> None:
    """All 34 pairs, the jumps of the mean hue among them, to four decimals, whichever colour comes first."""
    one, other = (Lab(*(given[f"{name}{which}"] for name in "Lab")) for which in (1, 2))

    assert [value, value] == pytest.approx(
        [*differences_from(one, [other]), *differences_from(other, [one])], abs=last_digit
    )


@pytest.mark.published("colours", "screen colour to CIELAB D65")
def test_a_screen_colour_has_the_figures_that_another_library_gives_it(
    given: dict[str, str], value: tuple[float, ...]
) -> None:
    """Three libraries differ by 0.023 at most, by how they round the white of D65; 0.05 is allowed."""
    found = lab_of(given["srgb"])

    assert value == pytest.approx((found.lightness, found.a, found.b), abs=0.05)


@pytest.mark.published("colours", "CIEDE2000 between screen colours")
def test_screen_colours_differ_as_another_library_says(given: dict[str, str], value: float) -> None:
    """From hex to difference, the whole way, to 0.05."""
    (found,) = differences_from(lab_of(given["one"]), [lab_of(given["other"])])

    assert value == pytest.approx(found, abs=0.05)
