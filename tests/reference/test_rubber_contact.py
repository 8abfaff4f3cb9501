"""Rubber, the contact of a tyre and the loads on wheels against the published and recomputed values of ``physics.csv``.

A row names its inputs in words; here they stand as figures beside the row's id.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import pytest

from mountwright.errors import InvalidQuantityError
from mountwright.riding.contact import contact_ellipse, stiffness_n_mm15
from mountwright.riding.loads import LoadCases, shared_loads
from mountwright.riding.rubber import gent_mpa, log_linear_mpa

Tables: TypeAlias = dict[str, list[Mapping[str, str]]]

#: Gives what a row's value may be met with: within its tolerance, each of several values on its own.
Published: TypeAlias = Callable[[str], Any]

GENT = {
    "01-001": 30.0,
    "01-002": 40.0,
    "01-003": 50.0,
    "01-004": 60.0,
    "01-005": 70.0,
    "01-006": 80.0,
    "01-007": 74.0,
    "01-008": 76.0,
    "01-009": 78.0,
    "01-010": 82.0,
    "01-011": 84.0,
    "01-012": 85.0,
    "01-013": 86.0,
    "01-014": 88.0,
    "01-015": 90.0,
    "01-016": 95.0,
}

#: The last is 40 Shore D, which the fit takes for 90 A.
LOG_LINEAR = {"01-018": 40.0, "01-019": 50.0, "01-020": 60.0, "01-021": 70.0, "01-022": 80.0, "01-023": 90.0}

SPREAD = {"01-025": 60.0, "01-026": 80.0}


class Tyre(NamedTuple):
    """What presses on what, N, mm and MPa."""

    load: float
    rolling: float
    profile: float
    modulus: float


BALL = Tyre(200.0, 40.0, 40.0, 8.0)
CROWNED = Tyre(184.0, 40.0, 12.0, gent_mpa(85.0))

#: Load per length, N/mm, radius, mm, and modulus, MPa. Of steel on steel E* is that of both together (nu 0.3), half of
#: one alone, and 3/4 of it a tyre's modulus that has it on a rigid floor.
LINE, STEEL = (200.0 / 20.0, 40.0, 8.0), (100.0, 10.0, 0.75 * 206e3 / (1 - 0.3**2) / 2)

#: How a contact changes where one figure of the ball does.
SCALED = {
    "02-019": BALL._replace(load=400.0),
    "02-020": BALL._replace(rolling=50.0, profile=50.0),
    "02-021": BALL._replace(modulus=16.0),
}

FOUR_AXLES = (0.0, 77.0, 154.0, 231.0)


@pytest.fixture
def published(tables: Tables) -> Published:
    """Give a row's value with its tolerance, and half a unit of its last digit where that is more."""
    rows = {row["id"]: row for row in tables["physics"]}

    def met(row: str) -> object:
        kind, _, width = rows[row]["tolerance"].partition(" ")
        texts = rows[row]["value"].replace(" / ", ";").split(";")
        values = [float(text.split()[0]) for text in texts]
        near = {"rel": 0.0, "abs": 0.5 * 10.0 ** -len(texts[0].split()[0].partition(".")[2])}
        near |= {kind: max(float(width), near[kind])} if kind else {}
        return pytest.approx(values if len(values) > 1 else values[0], **near)

    return met


def _rolling_over_radius(tyre: Tyre) -> float:
    """Give the contact's axis along over the radius: what a rolling coefficient goes with."""
    return float(contact_ellipse(*tyre).along_mm) / tyre.rolling


def _line_contact(per_mm: float, radius: float, modulus: float) -> tuple[float, float]:
    """Give half the width and the peak pressure in the middle of a drum, which is a tyre with a crown next to flat.

    A Hertz pressure over half a length b carries 3/(4 b) of the load per length in its middle.
    """
    drum = Tyre(1.0, radius, 1e6 * radius, modulus)
    unit = contact_ellipse(*drum)
    load = (per_mm * float(unit.across_mm) / 0.75) ** 1.5
    along, across = map(float, contact_ellipse(*drum._replace(load=load)))
    return along, 1.5 * load / (math.pi * along * across)


def _loads(along: tuple[float, ...], load_along: float) -> list[float]:
    """Give the shares of a load on equal wheels that all stand."""
    places = np.array([along])
    cases = LoadCases(places, np.zeros_like(places), np.full_like(places, 60.0), np.ones(1), np.array([load_along]))
    found: list[float] = shared_loads(cases).loads_n[0].tolist()
    return found


def _loss(wheels: int, radius: float) -> float:
    """Give what round wheels lose together under a load of 1 in their middle, but for factors that all have."""
    places = tuple(100.0 * wheel for wheel in range(wheels))
    loads = _loads(places, places[-1] / 2)
    return sum(load * _rolling_over_radius(Tyre(load, radius, radius, 8.0)) for load in loads)


@pytest.mark.parametrize(("row", "hardness"), GENT.items())
def test_gents_fit_gives_the_published_modulus(published: Published, row: str, hardness: float) -> None:
    """The fit of 1958 gives the modulus that it is published with, from 30 to 95 A."""
    assert published(row) == gent_mpa(hardness)


def test_gents_fit_is_refused_short_of_its_pole(tables: Tables) -> None:
    """At 100 A the published value is infinite, and ours is none."""
    assert {"inf"} == {row["value"] for row in tables["physics"] if row["id"] == "01-017"}
    with pytest.raises(InvalidQuantityError):
        gent_mpa(100.0)


@pytest.mark.parametrize(("row", "hardness"), LOG_LINEAR.items())
def test_the_log_linear_fit_gives_the_published_modulus(published: Published, row: str, hardness: float) -> None:
    """The fit of 2003 gives the modulus that it is published with."""
    assert published(row) == log_linear_mpa(hardness)


def test_the_log_linear_fit_is_to_base_ten(published: Published) -> None:
    """The value to base e that circulates is not ours, but comes from the same exponent."""
    exponent = math.log10(log_linear_mpa(60.0))
    assert published("01-024") == math.exp(exponent)
    assert published("01-024") != log_linear_mpa(60.0)


@pytest.mark.parametrize(("row", "hardness"), SPREAD.items())
def test_the_fits_are_as_far_apart_as_published(published: Published, row: str, hardness: float) -> None:
    """The ratio of both is the doubt that a modulus has."""
    assert published(row) == log_linear_mpa(hardness) / gent_mpa(hardness)


def test_a_drum_has_the_width_of_a_line_contact(published: Published) -> None:
    """A crown next to flat leaves half the width of a cylinder of rubber, and of one of steel."""
    assert published("02-001") == _line_contact(*LINE)[0]
    assert published("02-003") == _line_contact(*STEEL)[0]


def test_a_drum_has_the_pressure_of_a_line_contact(published: Published) -> None:
    """A crown next to flat has a cylinder's pressure in its middle."""
    assert published("02-002") == _line_contact(*LINE)[1]


def test_a_ball_has_the_contact_of_a_point(published: Published) -> None:
    """With one radius both axes are those of the closed form."""
    found = contact_ellipse(*BALL)
    assert published("02-004") == float(found.along_mm)
    assert published("02-004") == float(found.across_mm)


def test_a_ball_is_let_down_by_the_approach_of_a_point(published: Published) -> None:
    """The stiffness gives the approach of the closed form."""
    stiffness = float(stiffness_n_mm15(BALL.rolling, BALL.profile, BALL.modulus))
    assert published("02-005") == (BALL.load / stiffness) ** (2 / 3)


def test_a_ball_has_the_pressure_of_a_point(published: Published) -> None:
    """The load over the ellipse gives the peak pressure of the closed form."""
    along, across = map(float, contact_ellipse(*BALL))
    assert published("02-006") == 1.5 * BALL.load / (math.pi * along * across)


def test_a_crowned_wheel_has_the_published_ellipse(published: Published) -> None:
    """A wheel of 80 with a crown of 12 mm has both axes as recomputed by another route."""
    found = contact_ellipse(*CROWNED)
    assert published("02-007") == float(found.along_mm)
    assert published("02-008") == float(found.across_mm)


def test_the_short_cut_is_out_by_what_is_published(published: Published) -> None:
    """The mild-ellipse short cut is met by its own formula, and the exact mean axis lies 2 % below it."""
    short_cut = (0.75 * CROWNED.load * math.sqrt(40.0 * 12.0) / (CROWNED.modulus / 0.75)) ** (1 / 3)
    assert published("02-009") == short_cut
    assert 0.981 == pytest.approx(math.prod(map(float, contact_ellipse(*CROWNED))) ** 0.5 / short_cut, abs=5e-4)


def test_the_exact_axes_are_in_the_published_ratio(published: Published) -> None:
    """Of radii of 40 and 12 the short cut and the exact solution give the published ratios."""
    along, across = map(float, contact_ellipse(*CROWNED))
    assert published("02-010") == [(40 / 12) ** (2 / 3), along / across]


def test_a_drum_rolls_as_published(published: Published) -> None:
    """The rolling coefficient of a cylinder goes with its half width: 2a/(3 pi R) of what is lost."""
    assert published("02-011") == 2 * _line_contact(*LINE)[0] / (3 * math.pi * LINE[1])


@pytest.mark.parametrize(("row", "tyre"), [("02-012", BALL), ("02-013", CROWNED)])
def test_a_round_contact_rolls_as_published(published: Published, row: str, tyre: Tyre) -> None:
    """The rolling coefficient of a ball and of an ellipse goes with the axis along: 3a/(16R) of what is lost."""
    assert published(row) == 3 / 16 * _rolling_over_radius(tyre)


def test_a_drum_rolls_heavier_with_load_and_lighter_with_radius(published: Published) -> None:
    """Doubling the load of a cylinder, or a radius of 50 for 40, changes it by the published factor."""
    per_mm, radius, modulus = LINE
    before = _line_contact(*LINE)[0] / radius
    assert published("02-017") == _line_contact(2 * per_mm, radius, modulus)[0] / radius / before
    assert published("02-018") == _line_contact(per_mm, 50.0, modulus)[0] / 50.0 / before


@pytest.mark.parametrize(("row", "tyre"), SCALED.items())
def test_a_ball_rolls_by_its_figures_as_published(published: Published, row: str, tyre: Tyre) -> None:
    """Twice the load or the modulus, or a radius of 50 for 40, changes it by the published factor."""
    assert published(row) == _rolling_over_radius(tyre) / _rolling_over_radius(BALL)


def test_two_wheels_share_by_the_lever_rule(published: Published) -> None:
    """A load 100 mm behind the front wheel of a base of 240 leaves the front the published share."""
    assert published("04-028") == _loads((0.0, -240.0), -100.0)[0]


def test_four_wheels_share_as_springs_to_first_order(published: Published) -> None:
    """What a small shift of the load moves between equal wheels, drawn out to 125 mm, is the linear springs' share.

    A tyre's own stiffness grows as it is pressed in, but all have the same while the load stands in their middle.
    """
    middle, step = 115.5, 1e-3
    behind, ahead = _loads(FOUR_AXLES, middle - step), _loads(FOUR_AXLES, middle + step)
    found = [0.25 + (more - less) / (2 * step) * (125.0 - middle) for more, less in zip(ahead, behind, strict=True)]
    assert published("04-029") == found


def test_three_wheels_lose_against_four_as_published(published: Published) -> None:
    """Each of fewer wheels carries more; where they are larger too, the three are ahead."""
    assert published("04-030") == _loss(3, 40.0) / _loss(4, 40.0)
    assert published("04-031") == _loss(3, 55.0) / _loss(4, 40.0)
