"""What a part changes about how the skate stands."""

from __future__ import annotations

from typing import Any

import pytest

from mountwright.checkout.article import Article
from mountwright.mounts.mount import Part
from mountwright.upgrading.effects import Effect, effect_of, wheelbase_mm


def article(kind: str, **specs: Any) -> Article:
    """Give an article with figures and nothing else."""
    return Article(kind, Part(kind, ()), specs=specs)


def places(down_mm: float, *along_mm: float) -> list[dict[str, float]]:
    """Give axles at one depth under the sole."""
    return [{"along_mm": along, "down_mm": down_mm} for along in along_mm]


LONG, SHORT = places(46, 121.5, 40.5, -40.5, -121.5), places(60, 105, 0, -105)


def test_a_larger_wheel_lifts_the_sole_by_its_radius() -> None:
    """Of four millimetres of diameter two are height; the wheelbase stays."""
    assert Effect(None, 2.0) == effect_of(article("wheel", diameter_mm=80), article("wheel", diameter_mm=76))


def test_a_frame_changes_wheelbase_and_height() -> None:
    """Three wheels on 210 mm instead of four on 243 mm, its axles 14 mm lower: shorter and higher."""
    new, old = article("frame", axle_places=SHORT), article("frame", axle_places=LONG)

    assert Effect(-33.0, 14.0) == effect_of(new, old)


def test_a_wheelbase_that_is_told_goes_before_one_that_is_reckoned() -> None:
    """The maker's own figure is taken, and one axle alone has none."""
    told, one = article("frame", wheelbase_mm=240, axle_places=LONG), article("frame", axle_places=places(46, 0))

    assert (240, 243.0, None) == (
        wheelbase_mm(told),
        wheelbase_mm(article("frame", axle_places=LONG)),
        wheelbase_mm(one),
    )


@pytest.mark.parametrize(
    ("new", "old"),
    [
        (None, article("wheel", diameter_mm=80)),
        (article("wheel", diameter_mm=80), None),
        (article("wheel", diameter_mm=80), article("wheel")),
        (article("frame"), article("frame", axle_places=LONG)),
        (article("liner"), article("liner")),
    ],
    ids=["work alone", "nobody knows what stands", "a wheel without a mark", "a frame without figures", "a liner"],
)
def test_what_is_not_known_is_not_told(new: Article | None, old: Article | None) -> None:
    """A change needs both figures."""
    assert Effect() == effect_of(new, old)
