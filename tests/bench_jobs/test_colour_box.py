"""The box around a colour: nothing that is near lies outside, and little that is far lies inside."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from mountwright.bench.colour_box import CHROMAS, HUES, LabBox, box_around, least_differences, least_of_cells
from mountwright.bench.colours import FARTHEST, Lab, differences_from, lab_of

Floats = NDArray[np.float64]

SRGB = st.tuples(*[st.integers(0, 255)] * 3).map(lambda each: "#{:02x}{:02x}{:02x}".format(*each))
LABS = st.builds(Lab, st.floats(0, 100), st.floats(-FARTHEST, FARTHEST), st.floats(-FARTHEST, FARTHEST))

#: Of IEC 61966-2-1, linear light to XYZ, for D65; rows sum to its white.
_TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])


def labs(srgb: Floats) -> Floats:
    """Give L*, a*, b* of screen colours, (n, 3) of 0 to 255, by the formulas of IEC 61966-2-1 and CIE 15."""
    share = srgb / 255
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    white = linear @ _TO_XYZ.T / _TO_XYZ.sum(axis=1)
    x, y, z = np.where(white > 216 / 24389, np.cbrt(white), (24389 / 27 * white + 16) / 116).T
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=1)


def ciede2000(one: Floats, other: Floats) -> Floats:
    """Give the difference of colours, pair by pair, written down from Sharma, Wu and Dalal 2005 as it stands there."""
    (l1, a1, b1), (l2, a2, b2) = one.T, other.T
    mean = ((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2) ** 7
    gain = 1.5 - 0.5 * np.sqrt(mean / (mean + 25.0**7))
    c1, c2 = np.hypot(gain * a1, b1), np.hypot(gain * a2, b2)
    h1, h2 = (np.degrees(np.arctan2(b, gain * a)) % 360 for a, b in ((a1, b1), (a2, b2)))
    is_grey, is_far = c1 * c2 == 0, np.abs(h2 - h1) > 180
    turn = np.where(is_grey, 0, np.where(is_far, h2 - h1 - 360 * np.sign(h2 - h1), h2 - h1))
    halfway = (h1 + h2 + np.where(is_far, np.where(h1 + h2 < 360, 360, -360), 0)) / 2
    hue = np.where(is_grey, h1 + h2, halfway)
    across = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn / 2))
    t = 1 - 0.17 * _cos(hue - 30) + 0.24 * _cos(2 * hue) + 0.32 * _cos(3 * hue + 6) - 0.20 * _cos(4 * hue - 63)
    lightness, chroma = (l1 + l2) / 2 - 50, (c1 + c2) / 2
    s_l = 1 + 0.015 * lightness**2 / np.sqrt(20 + lightness**2)
    r_c = 2 * np.sqrt(chroma**7 / (chroma**7 + 25.0**7))
    r_t = -np.sin(np.radians(60 * np.exp(-(((hue - 275) / 25) ** 2)))) * r_c
    x, y = (c2 - c1) / (1 + 0.045 * chroma), across / (1 + 0.015 * chroma * t)
    found: Floats = np.sqrt(((l2 - l1) / s_l) ** 2 + x * x + y * y + r_t * x * y)
    return found


def _cos(degrees: Floats) -> Any:
    return np.cos(np.radians(degrees))


def row(lab: Lab) -> Floats:
    """Give a colour as a row."""
    return np.array([[lab.lightness, lab.a, lab.b]])


def are_inside(box: LabBox, colours: Floats) -> NDArray[np.bool_]:
    """Tell which colours lie in a box."""
    low, high = np.array([box.lightness, box.a, box.b]).T
    found: NDArray[np.bool_] = np.all((colours >= low) & (colours <= high), axis=1)
    return found


@pytest.fixture(scope="module")
def screen() -> Floats:
    """Give 100,000 colours drawn over all that a screen can show, and every corner and edge of that."""
    drawn = np.random.default_rng(20).integers(0, 256, (100_000, 3))
    levels = np.arange(256)
    edges = [
        np.insert(np.full((256, 2), [first, second]), place, levels, axis=1)
        for place in range(3)
        for first in (0, 255)
        for second in (0, 255)
    ]
    return labs(np.concatenate([drawn, *edges]).astype(float))


#: Greys, muted and full colours all around, the turn of the rotation term (blue) and the jump of the hue (red) closest.
WANTED = [
    *(f"#{grey:02x}{grey:02x}{grey:02x}" for grey in (0, 16, 64, 128, 245, 255)),
    *("#1a8a86", "#a2472b", "#7a6a55", "#5b6c8f", "#e91e63", "#000080", "#2a2ab0", "#6a5acd", "#00305f"),
    *("#ff0000", "#ff0020", "#ff2000", "#00ff00", "#0000ff", "#2000ff", "#0020ff", "#ffff00", "#00ffff", "#ff00ff"),
]


class TestReference:
    """The formula as it is written down here ..."""

    @given(LABS, LABS)
    def test_is_the_one_that_is_in_use(self, one: Lab, other: Lab) -> None:
        """... gives what the library gives."""
        assert differences_from(one, [other]) == pytest.approx(ciede2000(row(one), row(other)), abs=1e-6)

    @given(SRGB)
    def test_shows_the_same_colours(self, srgb: str) -> None:
        """... is fed with the library's own colours, up to how the white of D65 is rounded."""
        parts = np.array([[int(srgb[place : place + 2], 16) for place in (1, 3, 5)]], dtype=float)

        assert np.allclose(row(lab_of(srgb)), labs(parts), atol=0.05)


class TestCell:
    """A cell of the plane ..."""

    @pytest.mark.parametrize("seed", range(5))
    def test_promises_no_more_than_holds(self, seed: int) -> None:
        """... promises a difference that none of its colours falls short of, at equal lightness (2.5 million pairs)."""
        draw = np.random.default_rng(seed)
        wanted = [*map(lab_of, WANTED), *(Lab(50, *map(float, each)) for each in draw.uniform(-120, 120, (25, 2)))]
        for each in wanted:
            chroma, hue = draw.uniform(0, CHROMAS[-1], 10_000), draw.uniform(0, HUES[-1], 10_000)
            at = np.searchsorted(CHROMAS, chroma, "right") - 1, np.searchsorted(HUES, hue, "right") - 1
            colours = np.stack([np.full(10_000, each.lightness), chroma * np.cos(hue), chroma * np.sin(hue)], axis=1)
            found = ciede2000(np.broadcast_to(row(each), colours.shape), colours)
            assert (least_of_cells(each)[at] <= found**2 + 1e-9).all(), each


class TestLeast:
    """The least difference of a colour ..."""

    @given(LABS, st.lists(SRGB, max_size=20))
    @settings(max_examples=300)
    def test_is_never_above_the_difference(self, wanted: Lab, others: list[str]) -> None:
        """... is at most what it differs, from a screen's colour or any other."""
        labs_of = [lab_of(each) for each in others]
        least = least_differences(wanted, labs_of)

        assert all(least <= np.array(differences_from(wanted, labs_of)) + 1e-6)

    @pytest.mark.parametrize("srgb", WANTED)
    def test_tells_most_of_what_is_far(self, screen: Floats, srgb: str) -> None:
        """... leaves at most three times what is near, of all that lies in the box of 10."""
        wanted = lab_of(srgb)
        inside = screen[are_inside(box_around(wanted, 10), screen)]
        near = ciede2000(np.broadcast_to(row(wanted), inside.shape), inside) <= 10
        left = least_differences(wanted, [Lab(*each) for each in np.clip(inside, [0, -128, -128], 100)]) <= 10

        assert not (near & ~left).any()
        assert left.sum() <= 3 * near.sum()


class TestBox:
    """The box around a colour ..."""

    @pytest.mark.parametrize("within", [0.0, 1.0, 3.0, 5.0, 10.0, 25.0])
    def test_loses_nothing_that_is_near(self, screen: Floats, within: float) -> None:
        """... holds every colour of a screen that differs no more, around colours of every sort (2.6 million pairs)."""
        for srgb in WANTED:
            wanted = lab_of(srgb)
            near = ciede2000(np.broadcast_to(row(wanted), screen.shape), screen) <= within
            assert are_inside(box_around(wanted, within), screen[near]).all(), srgb

    def test_loses_nothing_around_colours_that_no_screen_shows(self, screen: Floats) -> None:
        """... holds all that is near, too, where the wanted colour is anything at all (20 million pairs)."""
        draw = np.random.default_rng(21)
        for figures in draw.uniform([0, -FARTHEST, -FARTHEST], [100, FARTHEST, FARTHEST], (200, 3)):
            wanted, within = Lab(*map(float, figures)), float(draw.uniform(0, 20))
            near = ciede2000(np.broadcast_to(row(wanted), screen.shape), screen) <= within
            assert are_inside(box_around(wanted, within), screen[near]).all(), (wanted, within)

    @given(SRGB, SRGB)
    @settings(max_examples=500)
    def test_reaches_to_just_the_difference_of_two_colours(self, one: str, other: str) -> None:
        """... holds a colour that differs by just so much."""
        wanted, found = lab_of(one), lab_of(other)
        (difference,) = differences_from(wanted, [found])

        assert are_inside(box_around(wanted, difference), row(found)).all()

    @given(LABS, st.floats(0, 30))
    def test_grows_with_the_difference(self, wanted: Lab, within: float) -> None:
        """... holds all that the box of a smaller difference holds."""
        smaller, larger = box_around(wanted, within), box_around(wanted, within * 1.5)

        assert all(big[0] <= small[0] and small[1] <= big[1] for small, big in zip(smaller, larger, strict=True))

    @pytest.mark.parametrize("srgb", WANTED)
    def test_holds_little_beside(self, screen: Floats, srgb: str) -> None:
        """... of a difference of 10 holds less than a fifth of a screen's colours, at most ten times what is near."""
        wanted = lab_of(srgb)
        near = ciede2000(np.broadcast_to(row(wanted), screen.shape), screen) <= 10
        inside = are_inside(box_around(wanted, 10), screen).sum()

        assert inside < 0.2 * len(screen)
        assert inside <= 10 * near.sum()

    def test_of_what_no_screen_comes_near_is_empty(self, screen: Floats) -> None:
        """... holds nothing where no colour of a screen is near."""
        assert not are_inside(box_around(Lab(50, FARTHEST, FARTHEST), 1), screen).any()

    def test_covers_all_chromas_of_a_screen(self, screen: Floats) -> None:
        """... is made of cells up to a chroma of 136, which no colour of a screen reaches."""
        assert np.hypot(screen[:, 1], screen[:, 2]).max() < 134
        assert math.hypot(*row(lab_of("#0000ff"))[0, 1:]) > 133
