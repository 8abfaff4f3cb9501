"""How much easier a skate rolls with other wheels or bearings agrees with the whole comparison of the rides."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.checkout.article import Price
from mountwright.checkout.basket import Fitted
from mountwright.riding.band import Band
from mountwright.riding.bearing_drag import Seal
from mountwright.riding.line import Line
from mountwright.riding.power import Posture, Rider
from mountwright.riding.rebound import WheelOrigin
from mountwright.riding.ride import Ride, rides_compared
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.gains import (
    PER_CENT,
    gains,
    ride_as_is,
    rides_on_bearings,
    rides_on_wheels,
    usual_rate,
)
from mountwright.upgrading.options import Choice
from mountwright.upgrading.problem import Rate
from mountwright.upgrading.rolling_parts import axles_of, new_tyre, seal_of, standing_tyre, stock_origin

Written = Callable[..., Customer]
MASS_KG = 80.0


@pytest.fixture
def as_is(customer_of: Written) -> Ride:
    """Give how the skate rolls as it is: worn wheels of 76 mm and 84 A on sealed bearings."""
    found = ride_as_is(customer_of())
    assert found is not None
    return found


def by_whole_comparison(as_is: Ride, other: Ride) -> Band:
    """Give the gain as the whole comparison of rides has it, with its doubt."""
    [_, found] = rides_compared([as_is, other], Rider(MASS_KG, 5.5, Posture.UPRIGHT)).rides
    assert found.against_first is not None
    slope = found.against_first.felt_slope_percent
    return Band(-PER_CENT * slope.high, -PER_CENT * slope.likely, -PER_CENT * slope.low)


class TestWheels:
    """Wheels ..."""

    @pytest.mark.parametrize("diameter_mm", [72, 80, 100])
    @pytest.mark.parametrize("hardness_shore_a", [78, 85, 92])
    @pytest.mark.parametrize("more", [{}, {"rebound_percent": 75, "profile_radius_mm": 20}, {"hard_core": True}])
    def test_gain_what_the_whole_comparison_says(
        self, upgrade_shop: Any, as_is: Ride, diameter_mm: float, hardness_shore_a: float, more: dict[str, Any]
    ) -> None:
        """... gain what the whole comparison says, to a fifth of its own doubt."""
        wheel = upgrade_shop.wheel(diameter_mm=diameter_mm, hardness_shore_a=hardness_shore_a, **more)
        [ride] = rides_on_wheels(as_is, [(wheel, 4)])
        assert ride is not None
        whole = by_whole_comparison(as_is, ride)

        assert gains(as_is, [ride], MASS_KG) == [pytest.approx(whole.likely, abs=0.1 * (whole.high - whole.low))]

    def test_are_told_apart_from_those_that_stand(self, upgrade_shop: Any, as_is: Ride) -> None:
        """... of the same make are still another lot, which may have come out otherwise."""
        [ride] = rides_on_wheels(as_is, [(upgrade_shop.wheel(), 4)])

        assert ride is not None
        assert not set(ride.line.lots) & set(as_is.line.lots)
        assert ride.seal is as_is.seal
        assert ride.bearing_lot == as_is.bearing_lot

    @given(data=st.data())
    def test_are_worth_the_same_whatever_is_asked_with_them(self, upgrade_shop: Any, data: st.DataObject) -> None:
        """... are worth the same alone and among others, so that one more article changes no other's worth."""
        wheels = [
            upgrade_shop.wheel(diameter_mm=mark, hardness_shore_a=hardness)
            for mark, hardness in data.draw(st.lists(st.tuples(st.integers(60, 125), st.integers(74, 95)), min_size=1))
        ]
        as_is = Ride(_line(upgrade_shop), seal=Seal.SEALED)
        rides = rides_on_wheels(as_is, [(wheel, 4) for wheel in wheels])

        assert gains(as_is, rides, MASS_KG) == [gains(as_is, [ride], MASS_KG)[0] for ride in rides]

    def test_roll_easier_the_larger_and_the_livelier_they_are(self, upgrade_shop: Any, as_is: Ride) -> None:
        """... gain with their size, their rebound and their hardness."""
        plain = {"diameter_mm": 80, "hardness_shore_a": 84, "rebound_percent": 60}
        better = ({"diameter_mm": 90}, {"rebound_percent": 70}, {"hardness_shore_a": 88})
        wheels = [upgrade_shop.wheel(**plain), *(upgrade_shop.wheel(**(plain | each)) for each in better)]
        found = gains(as_is, rides_on_wheels(as_is, [(wheel, 4) for wheel in wheels]), MASS_KG)

        assert all(each is not None and found[0] is not None and each > found[0] for each in found[1:])

    def test_stand_level_where_they_are_not_as_many_as_now(self, upgrade_shop: Any, as_is: Ride) -> None:
        """... that are not as many as now stand on level axles and carry alike; one wheel alone is no skate."""
        [on_three, on_four, nowhere] = rides_on_wheels(as_is, [(upgrade_shop.wheel(), count) for count in (3, 4, 1)])

        assert on_three is not None
        assert on_four is not None
        assert [(84.0, 0.0), (0.0, 0.0), (-84.0, 0.0)] == [
            (axle.along_mm, axle.stands_mm) for axle in on_three.line.axles
        ]
        assert as_is.line.axles == on_four.line.axles
        assert nowhere is None
        assert [int, int, type(None)] == [type(each) for each in gains(as_is, [on_three, on_four, nowhere], MASS_KG)]

    @pytest.mark.parametrize("unknown", ["diameter_mm", "hardness_shore_a"])
    def test_of_which_too_little_is_known_gain_nothing_that_is_known(
        self, upgrade_shop: Any, as_is: Ride, unknown: str
    ) -> None:
        """... whose size or hardness nobody knows are left open, as are those too hard for the model."""
        assert [None, None] == rides_on_wheels(
            as_is, [(upgrade_shop.wheel(**{unknown: None}), 4), (upgrade_shop.wheel(hardness_shore_a=97), 4)]
        )


def _line(shop: Any) -> Line:
    tyre = standing_tyre(shop.wheel(diameter_mm=76), WheelOrigin.UNKNOWN)
    assert tyre is not None
    axles = axles_of(shop.frame())
    return Line(axles, (tyre,) * len(axles), (0,) * len(axles))


class TestBearings:
    """Bearings ..."""

    @pytest.mark.parametrize("seal", list(Seal))
    def test_gain_what_the_whole_comparison_says(self, upgrade_shop: Any, as_is: Ride, seal: Seal) -> None:
        """... gain what the whole comparison says of their seals, to a tenth of its own doubt."""
        [ride] = rides_on_bearings(as_is, [upgrade_shop.bearing(seal=seal.value)])
        assert ride is not None
        whole = by_whole_comparison(as_is, ride)

        assert as_is.bearing_lot != ride.bearing_lot
        assert gains(as_is, [ride], MASS_KG) == [pytest.approx(whole.likely, abs=0.05 * (whole.high - whole.low))]

    def test_of_which_too_little_is_known_gain_nothing_that_is_known(self, upgrade_shop: Any, as_is: Ride) -> None:
        """... are left open where nobody knows the seal of these, or of those that stand."""
        told, untold = upgrade_shop.bearing(seal="open"), upgrade_shop.bearing(seal=None)

        assert [None] == rides_on_bearings(as_is, [untold])
        assert [None] == rides_on_bearings(replace(as_is, seal=None), [told])


class TestAsIs:
    """The skate as it is ..."""

    def test_rolls_on_worn_wheels(self, customer_of: Written) -> None:
        """... has its wheels as they were measured, else as wheels usually wear."""
        worn, unmeasured = ride_as_is(customer_of(worn_mm={"wheel": 71.5})), ride_as_is(customer_of())

        assert worn is not None
        assert unmeasured is not None
        assert (71.5, True) == (worn.line.tyres[0].diameter.mm, worn.line.tyres[0].diameter.is_measured)
        assert (76, False) == (unmeasured.line.tyres[0].diameter.mm, unmeasured.line.tyres[0].diameter.is_measured)
        assert unmeasured.line.tyres[0].diameter.shared_mm.likely < 0

    def test_gains_from_new_wheels_what_is_worn_off(self, upgrade_shop: Any, customer_of: Written) -> None:
        """... gains more from new wheels the more is worn off its own."""
        found = []
        for worn in (75, 70):
            as_is = ride_as_is(customer_of(worn_mm={"wheel": worn}))
            assert as_is is not None
            found += gains(as_is, rides_on_wheels(as_is, [(upgrade_shop.wheel("own-wheel", 76), 4)]), MASS_KG)

        assert None not in found
        assert found[0] < found[1]

    def test_is_left_open_where_too_little_is_known(self, upgrade_shop: Any, customer_of: Written) -> None:
        """... is left open without a frame, without its axle places, or with wheels of two kinds."""
        stands = upgrade_shop.stands()
        placeless = [Fitted(upgrade_shop.frame(axle_places=()), 2, True), *stands[1:]]
        mixed = [*stands, Fitted(upgrade_shop.wheel("other", 72), 4, True)]

        assert [None] * 5 == [
            ride_as_is(customer_of(fitted=fitted)) for fitted in ((), stands[:1], stands[1:], placeless, mixed)
        ]

    def test_has_the_seal_of_its_bearings(self, customer_of: Written, upgrade_shop: Any) -> None:
        """... has the seal of its bearings, none where they differ or nobody told of any."""
        stands = upgrade_shop.stands()
        mixed = [*stands, Fitted(upgrade_shop.bearing("other", seal="open"), 8, True)]
        untold = [each for each in stands if each.article.kind != "bearing"]
        rides = [ride_as_is(customer_of(fitted=fitted)) for fitted in (stands, mixed, untold)]

        assert [Seal.SEALED, None, None] == [ride and ride.seal for ride in rides]

    @pytest.mark.parametrize(
        ("price", "origin"),
        [
            (None, WheelOrigin.UNKNOWN),
            (Price(9_900, "USD"), WheelOrigin.UNKNOWN),
            (Price(9_900, "EUR"), WheelOrigin.STOCK_CHEAP),
            (Price(13_000, "EUR"), WheelOrigin.STOCK_MIDDLE),
            (Price(28_000, "EUR"), WheelOrigin.STOCK_DEAR),
        ],
    )
    def test_came_with_wheels_of_its_price(self, upgrade_shop: Any, price: Price | None, origin: WheelOrigin) -> None:
        """... came with wheels that its price tells something of."""
        assert origin is stock_origin(upgrade_shop.boot(price=price))


class TestParts:
    """A part ..."""

    def test_has_bands_around_what_is_written(self, upgrade_shop: Any) -> None:
        """... has its figures with their doubt, within what the model takes."""
        tyre = new_tyre(upgrade_shop.wheel(hardness_shore_a=94, profile_radius_mm=2, rebound_percent=96))

        assert tyre is not None
        assert Band(92, 94, 95) == tyre.hardness_shore_a
        assert Band(1, 2, 3) == tyre.profile_radius_mm
        assert (0.96, 0.98) == (tyre.rebound.likely, tyre.rebound.high)

    def test_has_axles_from_the_front_at_their_usual_setting(self, upgrade_shop: Any) -> None:
        """... that is a frame has its axles from the front, set nearest to the drawing; none at one place twice."""
        rows = [{"along_mm": along, "down_mm": 50, "down_settings_mm": [2, -1]} for along in (-100, 100)]
        axles = axles_of(upgrade_shop.frame(axle_places=rows))

        assert [(100, 49), (-100, 49)] == [(axle.along_mm, axle.stands_mm) for axle in axles]
        assert () == axles_of(upgrade_shop.frame(axle_places=[rows[0], rows[0]]))

    def test_may_have_a_seal(self, upgrade_shop: Any) -> None:
        """... that is a bearing has a seal where somebody said."""
        assert [Seal.OPEN, None] == [seal_of(upgrade_shop.bearing(seal=seal)) for seal in ("open", None)]


class TestInTheQuestion:
    """The question of a plan ..."""

    def test_holds_the_gains(self, upgrade_shop: Any, customer_of: Written, choose: Callable[..., Choice]) -> None:
        """... holds the gains of wheels and bearings, and says of how many nobody knows them."""
        parts = (
            upgrade_shop.wheel("large", 80),
            upgrade_shop.wheel("untold", hardness_shore_a=None),
            upgrade_shop.bearing("open", seal="open"),
            upgrade_shop.axle("axle"),
        )
        choice = choose(customer_of(), *parts)
        found = {option.key: option.gain for position in choice.problem.positions for option in position.options}

        assert found["large"] > 0
        assert found["open"] > 0
        assert (0, 0) == (found["untold"], found["axle"])
        assert 1 == choice.unknown_gains

    def test_holds_them_for_as_many_wheels_as_are_bought(
        self, upgrade_shop: Any, customer_of: Written, choose: Callable[..., Choice]
    ) -> None:
        """... tells three wheels from four, and leaves open what an unknown skate gains."""
        parts = upgrade_shop.wheel("large", 110), upgrade_shop.frame("three", wheels=3)
        known, unknown = choose(customer_of(), *parts), choose(customer_of(fitted=upgrade_shop.stands()[:1]), *parts)

        assert known.offers["wheel", "large for 3"].gain != known.offers["wheel", "large for 4"].gain
        assert 0 == known.unknown_gains
        assert 2 == unknown.unknown_gains

    def test_holds_what_they_are_worth(self, customer_of: Written, choose: Callable[..., Choice]) -> None:
        """... weighs a tenth of a per cent over a year against 10.00, an estimate."""
        rate = usual_rate()

        assert rate == choose(customer_of()).problem.rate == Rate(1, 365)
        assert PER_CENT // 10 * 365 * rate.gain_worth == 1000 * rate.price_worth
