"""What is known of feet and wheels proves a cause before anybody looks, and what is not known proves none."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mountwright.checkout.basket import Fitted, Owned, Version
from mountwright.upgrading.complaints import complaint
from mountwright.upgrading.known_causes import known_causes

Feet = tuple[float, float]

#: By the allowances of the trade a foot of so many micrometres wears EU 38 to 39.
FOOT = 240_000

LARGE = {"boot_too_large": {"more": True}}
SMALL = {"boot_too_small": {"shell": True}}
DEAD = {"rolls_slowly": {"wheels_hard_dead": True}}


@pytest.fixture
def standing_on(upgrade_shop: Any) -> Callable[..., Version]:
    """Give a way to write a skate that stands on wheels which return so much of a drop, None for untold."""

    def written(*rebounds: float | None) -> Version:
        told = [{} if each is None else {"rebound_percent": each} for each in rebounds]
        wheels = [upgrade_shop.wheel(f"wheel-{number}", 80, **each) for number, each in enumerate(told)]
        return Version(upgrade_shop.boot(), tuple([Fitted(wheel, 8, as_sold=True) for wheel in wheels]))

    return written


@pytest.mark.parametrize(
    ("eu_size", "known"), [(40.5, LARGE), (40, {}), (39, {}), (38, {}), (37, {}), (36.5, SMALL)], ids=str
)
def test_a_boot_that_is_out_by_more_than_a_size_is_known_to_be(
    standing_on: Callable[..., Version], eu_size: float, known: dict[str, Any]
) -> None:
    """Up to a whole size from what the foot wears a part may still make it fit, and nothing is proved."""
    assert known == known_causes(Owned((standing_on(),), eu_size, (FOOT, FOOT)))


@pytest.mark.parametrize(
    ("feet", "eu_size", "known"),
    [((FOOT, 250_000), 41.0, {}), ((250_000, FOOT), 41.0, {}), ((FOOT, 250_000), 38.0, SMALL)],
)
def test_the_longer_foot_decides(
    standing_on: Callable[..., Version], feet: Feet, eu_size: float, known: dict[str, Any]
) -> None:
    """What fits the longer foot is not too large for the shorter, and what only fits the shorter is too small."""
    assert known == known_causes(Owned((standing_on(),), eu_size, feet))


def test_nothing_is_known_of_a_boot_without_its_size_or_without_feet(standing_on: Callable[..., Version]) -> None:
    """One figure alone proves nothing."""
    assert {} == known_causes(Owned((standing_on(),), None, (FOOT, FOOT)))
    assert {} == known_causes(Owned((standing_on(),), 48.0, None))


@pytest.mark.parametrize(
    ("rebounds", "known"),
    [((49.0,), DEAD), ((50.0,), {}), ((30.0, 49.0), DEAD), ((30.0, 50.0), {}), ((30.0, None), {}), ((None,), {})],
)
def test_wheels_that_hardly_bounce_are_known_to_be_dead(
    standing_on: Callable[..., Version], rebounds: tuple[float | None, ...], known: dict[str, Any]
) -> None:
    """All of them have to be told of, and each to return less than half of its drop."""
    assert known == known_causes(Owned((standing_on(*rebounds),)))


def test_nothing_is_known_of_wheels_that_nobody_told_of(standing_on: Callable[..., Version]) -> None:
    """A boot without wheels says nothing of them."""
    assert {} == known_causes(Owned((standing_on(),)))


def test_each_version_of_a_model_has_to_say_so(standing_on: Callable[..., Version]) -> None:
    """A model that hides a skate with lively wheels, or with wheels that nobody told of, proves nothing."""
    dead, lively, untold = standing_on(30.0), standing_on(70.0), standing_on()

    assert DEAD == known_causes(Owned((dead, dead)))
    assert {} == known_causes(Owned((dead, lively)))
    assert {} == known_causes(Owned((dead, untold)))


def test_feet_and_wheels_may_both_prove_something(standing_on: Callable[..., Version]) -> None:
    """The one does not hide the other."""
    assert {**LARGE, **DEAD} == known_causes(Owned((standing_on(30.0),), 42.0, (FOOT, FOOT)))


def test_every_cause_that_may_be_known_is_one_of_its_complaint(standing_on: Callable[..., Version]) -> None:
    """What is proved is looked up under the names of the reviewed file."""
    small, large = (known_causes(Owned((standing_on(30.0),), size, (FOOT, FOOT))) for size in (30.0, 45.0))

    for code, causes in {**small, **large}.items():
        assert causes.keys() <= {cause.key for cause in complaint(code).causes}
