"""Clean the bearings or replace them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.bench.bearing_care import (
    CareAnswer,
    CareQuestion,
    Dirt,
    Outcome,
    bearing_care,
    rating_life_km,
    saved_power_w,
)
from mountwright.bench.estimates import estimates_in
from mountwright.bench.jobs import Range
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band, exactly

#: A set of sixteen simple bearings, a shop's hour, a daily rider.
CHEAP = CareQuestion(1600, 4000, "EUR", 30.4)

#: Nothing in doubt: an hour and 3 EUR to clean, half an hour to replace, half as long, four of five times.
KNOWN = CareQuestion(
    6000,
    4000,
    "EUR",
    30.0,
    km_a_month=exactly(200.0),
    cleaning_minutes=exactly(60.0),
    replacing_minutes=exactly(30.0),
    fluids_minor=exactly(300.0),
    success=exactly(0.8),
    new_set_riding_days=exactly(150.0),
    cleaned_life_share=exactly(0.5),
)

_PRICES = st.integers(0, 50_000)


def codes(found: CareAnswer) -> list[str]:
    """Give the codes of what is said."""
    return [note.code for note in found.notes]


def params(found: CareAnswer, code: str) -> dict[str, Any]:
    """Give what one note is filled with."""
    return dict(next(note for note in found.notes if note.code == code).params)


def played_a_month(rounds: int) -> float:
    """Give what cleaning what is known costs a month, by playing it through round by round."""
    succeeds = np.random.default_rng(1).random(rounds) < 0.8
    months = np.where(succeeds, 2.5, 5.0)
    cost = np.where(succeeds, 4000 + 300, 4000 + 300 + 2000 + 6000)
    return float(cost.sum() / months.sum())


class TestSum:
    """What either way costs ..."""

    def test_of_replacing_is_work_and_set_while_it_lasts(self) -> None:
        """... of replacing is half an hour's wage and the set, over five months; and over what is ridden in them."""
        found = bearing_care(KNOWN).replacing
        assert (Range(8000, 8000, 8000), Range(1600, 1600, 1600)) == (found.once_minor, found.a_month_minor)
        assert pytest.approx((5.0, 8.0)) == (found.lasts_months.likely, found.a_km_minor and found.a_km_minor.likely)
        assert exactly(30.0) == found.minutes

    def test_of_cleaning_counts_the_set_that_goes_in_where_it_fails(self) -> None:
        """... of cleaning is (4300 + 0.2 x 8000) over (0.2 + 0.8 x 0.5) x 5 months."""
        found = bearing_care(KNOWN).cleaning
        assert found
        assert (Range(4300, 4300, 4300), Range(1967, 1967, 1967)) == (found.once_minor, found.a_month_minor)
        assert pytest.approx((2.5, 5900 / 3 / 200)) == (found.lasts_months.likely, found.a_km_minor.likely)  # type: ignore[union-attr]

    def test_of_cleaning_is_what_playing_it_through_costs(self) -> None:
        """... of cleaning is what a hundred thousand rounds cost that are played one by one."""
        found = bearing_care(KNOWN).cleaning
        assert found
        assert pytest.approx(played_a_month(100_000), rel=5e-3) == found.a_month_minor.usual

    def test_is_equal_at_the_break_even_price(self) -> None:
        """... is the same for both at 4300 / (0.8 x 0.5) less the work: 8750."""
        assert Range(8750, 8750, 8750) == bearing_care(KNOWN).break_even_minor
        found = bearing_care(replace(KNOWN, set_price_minor=8750))
        assert found.cleaning
        assert found.replacing.a_month_minor == found.cleaning.a_month_minor

    def test_is_told_by_the_kilometre_only_where_somebody_said_how_far(self) -> None:
        """... has no cost of a kilometre where nobody knows how far is ridden."""
        assert bearing_care(CHEAP).replacing.a_km_minor is None

    def test_takes_the_usual_times_of_the_jobs(self) -> None:
        """... takes an hour if quick and two the first time (common practice)."""
        quick, first = bearing_care(CHEAP).cleaning, bearing_care(replace(CHEAP, is_first_time=True)).cleaning
        assert quick
        assert first
        assert (60.0, 120.0) == (quick.minutes.likely, first.minutes.likely)

    def test_has_a_daily_rider_replace_two_or_three_times_a_year(self) -> None:
        """... lasts a daily rider four to six months (common practice)."""
        lasts = bearing_care(CHEAP).replacing.lasts_months
        assert 12 / 3 < lasts.low < 12 / 2.5 + 0.2 > lasts.likely < lasts.high < 12 / 2

    @given(st.floats(0.5, 31))
    def test_falls_to_those_who_ride_less(self, days: float) -> None:
        """... of a month falls with the days that are ridden, and the answer is the same."""
        daily, found = (
            bearing_care(replace(CHEAP, riding_days_a_month=31)),
            bearing_care(replace(CHEAP, riding_days_a_month=days)),
        )
        assert found.replacing.a_month_minor.usual <= daily.replacing.a_month_minor.usual
        assert (daily.outcome, daily.break_even_minor) == (found.outcome, found.break_even_minor)


class TestAnswer:
    """The answer ..."""

    def test_is_to_replace_cheap_bearings(self) -> None:
        """... for cheap bearings in a shop is to replace them, and the sum shows it."""
        found = bearing_care(CHEAP)
        assert Outcome.REPLACE is found.outcome
        assert found.clean_probability < 0.05
        assert found.break_even_minor
        assert found.break_even_minor.least > CHEAP.set_price_minor
        assert found.cleaning
        assert found.replacing.a_month_minor.most < found.cleaning.a_month_minor.least

    def test_is_to_clean_dear_ones_at_home(self) -> None:
        """... for dear bearings that their rider cleans is to clean them."""
        found = bearing_care(CareQuestion(20_000, 0, "EUR", 12.0, dirt=Dirt.DULL))
        assert Outcome.CLEAN is found.outcome
        assert "bearing_care.labour_not_counted" in codes(found)

    def test_names_every_degree_of_being_sure(self) -> None:
        """... goes from replacing to cleaning by all degrees, as the set gets dearer."""
        every = [
            bearing_care(replace(CHEAP, set_price_minor=price, dirt=Dirt.DULL)) for price in range(1000, 30_000, 500)
        ]
        outcomes = list(dict.fromkeys(found.outcome for found in every))
        assert list(reversed(Outcome)) == outcomes
        said = list(dict.fromkeys(codes(found)[0] for found in every))
        assert [f"bearing_care.{outcome}" for outcome in outcomes] == said

    def test_is_open_where_both_are_equal(self) -> None:
        """... is one half where both cost the same, and nobody can tell."""
        found = bearing_care(replace(KNOWN, set_price_minor=8750))
        assert (Outcome.CANNOT_TELL, 0.5) == (found.outcome, found.clean_probability)

    @pytest.mark.parametrize(
        ("price", "outcome"), [(8749, Outcome.REPLACE), (8751, Outcome.CLEAN)], ids=["cheaper", "dearer"]
    )
    def test_turns_at_the_break_even_price(self, price: int, outcome: Outcome) -> None:
        """... turns at the break-even price, to the cent where nothing is in doubt."""
        assert outcome is bearing_care(replace(KNOWN, set_price_minor=price)).outcome

    @given(_PRICES, _PRICES, st.sampled_from([None, *Dirt]), st.integers(0, 9000))
    def test_never_turns_to_replacing_as_a_set_gets_dearer(
        self, one: int, other: int, dirt: Dirt | None, labour: int
    ) -> None:
        """... is never likelier to be replacing for a dearer set, and its break-even price does not depend on it."""
        cheaper, dearer = (
            bearing_care(CareQuestion(price, labour, "EUR", 20.0, dirt)) for price in sorted((one, other))
        )
        assert cheaper.clean_probability <= dearer.clean_probability
        assert cheaper.break_even_minor
        assert dearer.break_even_minor
        assert cheaper.break_even_minor == dearer.break_even_minor

    @given(_PRICES)
    def test_turns_to_replacing_as_cleaning_gets_harder(self, price: int) -> None:
        """... is likelier to be replacing for rust than for grit, and for grit than for bearings that are dull."""
        dull, gritty, rusty = (
            bearing_care(CareQuestion(price, 4000, "EUR", 20.0, dirt)).clean_probability for dirt in Dirt
        )
        assert rusty <= gritty <= dull

    def test_is_sure_within_its_band(self) -> None:
        """... holds with the probability that the break-even band has below the price: 5 % at its least."""
        even = bearing_care(CHEAP).break_even_minor
        assert even
        prices = (even.least, even.usual, even.most)
        found = [bearing_care(replace(CHEAP, set_price_minor=price)).clean_probability for price in prices]
        assert pytest.approx([0.05, 0.5, 0.95], abs=3e-3) == found

    def test_has_no_price_below_nothing(self) -> None:
        """... names a break-even price of nothing where cleaning is cheaper at any price."""
        found = bearing_care(replace(KNOWN, cleaning_minutes=exactly(1.0), fluids_minor=exactly(0.0)))
        assert (Range(0, 0, 0), Outcome.CLEAN) == (found.break_even_minor, found.outcome)

    def test_is_the_same_each_time(self) -> None:
        """... is the same for the same question."""
        assert bearing_care(CHEAP) == bearing_care(replace(CHEAP))

    def test_of_bearings_that_do_not_open_is_to_replace(self) -> None:
        """... for bearings that cannot be opened is to replace them, with nothing said of cleaning."""
        found = bearing_care(replace(KNOWN, can_be_opened=False, set_price_minor=90_000))
        assert (Outcome.REPLACE, 0.0, None, None) == (
            found.outcome,
            found.clean_probability,
            found.cleaning,
            found.break_even_minor,
        )
        assert "bearing_care.cannot_be_opened" == codes(found)[0]
        assert "caution.bearing_cleaner" not in codes(found)
        assert "bearing_care.taken_not_told" not in codes(found)
        assert bearing_care(KNOWN).replacing == bearing_care(replace(KNOWN, can_be_opened=False)).replacing


class TestNotes:
    """What is said besides ..."""

    def test_is_that_fatigue_never_limits(self) -> None:
        """... is how far bearings roll until fatigue, by the references' case and by the worst load taken."""
        found = params(bearing_care(CHEAP), "bearing_care.fatigue_never_limits")
        assert pytest.approx(1_290_050, rel=1e-5) == found["distance_km"]
        assert 50_000 < found["least_distance_km"] < found["distance_km"]

    def test_is_that_clean_bearings_save_little(self) -> None:
        """... is that a cleaned set saves less than a watt, unless it was gritty."""
        found = params(bearing_care(CHEAP), "bearing_care.saves_little")
        assert pytest.approx(0.784532, rel=1e-5) == found["power_w"]
        for dirt in (Dirt.GRITTY, Dirt.RUSTY):
            said = codes(bearing_care(replace(CHEAP, dirt=dirt)))
            assert "bearing_care.saves_little" not in said
            assert "bearing_care.grit_drags" in said

    def test_is_that_rust_is_replaced(self) -> None:
        """... is that rust is replaced, of rusty ones alone."""
        said = [
            dirt for dirt in Dirt if "bearing_care.rust_is_replaced" in codes(bearing_care(replace(CHEAP, dirt=dirt)))
        ]
        assert [Dirt.RUSTY] == said

    def test_is_what_was_taken_and_not_told(self) -> None:
        """... names every figure that nobody told, and nothing where all were."""
        named = params(bearing_care(replace(KNOWN, success=None)), "bearing_care.taken_not_told")
        assert {"what": "success"} == named
        assert "bearing_care.taken_not_told" not in codes(bearing_care(KNOWN))

    def test_is_the_price_that_decides(self) -> None:
        """... are price, break-even and how sure, in the currency that was asked in."""
        found = params(bearing_care(replace(KNOWN, currency="SEK")), "bearing_care.replace")
        assert (6000, 8750, "SEK") == (found["set_price_minor"], found["break_even_minor"], found["currency"])
        assert found["break_even_least_minor"] <= found["break_even_minor"] <= found["break_even_most_minor"]

    def test_are_cautions_at_the_end(self) -> None:
        """... are the cautions of cleaner and air, of nuts, and whose word is the last, after everything else."""
        assert [
            "caution.bearing_cleaner",
            "caution.bearing_air",
            "caution.self_locking",
            "caution.follow_maker",
        ] == codes(bearing_care(CHEAP))[-4:]


class TestReferences:
    """The references' cases ..."""

    def test_of_the_rating_life_hold(self) -> None:
        """... of 3.45 kN under 200 N hold: 5132.95 million turns, 1.29 million km on 80 mm (03-017, 03-018)."""
        assert pytest.approx(5132.95, rel=1e-5) == rating_life_km(200, 3450, 1 / np.pi)
        assert pytest.approx(1_290_050, rel=1e-5) == rating_life_km(200, 3450, 80)

    def test_of_half_the_load_holds(self) -> None:
        """... of half the load hold: eight times the life (BR-095)."""
        assert pytest.approx(8.0) == rating_life_km(100, 3450, 80) / rating_life_km(200, 3450, 80)

    def test_of_what_a_service_saves_hold(self) -> None:
        """... of 0.0002 less at 80 kg and 5 m/s hold: 0.784532 W (03-021)."""
        assert pytest.approx(0.784532, rel=1e-6) == saved_power_w(0.0002, 80, 5)


class TestQuestion:
    """A question ..."""

    @pytest.mark.parametrize(
        ("more", "expected"),
        [
            ({"set_price_minor": -1}, "0 or more"),
            ({"labour_minor_per_hour": -1}, "0 or more"),
            ({"riding_days_a_month": 0.0}, "days of riding"),
            ({"riding_days_a_month": 31.5}, "days of riding"),
            ({"riding_days_a_month": float("nan")}, "days of riding"),
            ({"currency": "euro"}, "ISO 4217"),
            ({"success": exactly(0.0)}, "up to 1"),
            ({"success": Band(0.5, 0.9, 1.1)}, "up to 1"),
            ({"cleaned_life_share": Band(0.5, 0.9, 1.1)}, "up to 1"),
            ({"new_set_riding_days": exactly(0.0)}, "above 0"),
            ({"km_a_month": exactly(0.0)}, "above 0"),
            ({"cleaning_minutes": exactly(-1.0)}, "above 0"),
            ({"fluids_minor": exactly(-1.0)}, "above 0"),
        ],
    )
    def test_beyond_its_bounds_is_refused(self, more: dict[str, Any], expected: str) -> None:
        """... with figures that cannot be is refused."""
        with pytest.raises(InvalidQuantityError, match=expected):
            replace(CHEAP, **more)

    def test_in_another_currency_has_to_tell_what_fluids_cost(self) -> None:
        """... in another currency wants the price of the fluids: no rate is invented."""
        with pytest.raises(InvalidQuantityError, match="fluids cost in SEK"):
            replace(CHEAP, currency="SEK")
        assert "SEK" == bearing_care(replace(CHEAP, currency="SEK", fluids_minor=exactly(4000.0))).currency

    def test_on_the_bounds_is_taken(self) -> None:
        """... on its bounds is taken: a set for nothing, a daily rider, cleaning that always succeeds."""
        found = replace(CHEAP, set_price_minor=0, riding_days_a_month=31, success=exactly(1.0))
        assert Outcome.REPLACE is bearing_care(found).outcome


class TestEstimates:
    """The coefficients ..."""

    def test_have_their_range_and_standing(self) -> None:
        """... each have a standing and a range that is no point."""
        assert {"common practice", "estimate"} == {each.standing for each in estimates_in("estimates.toml").values()}
        assert [] == [name for name, each in estimates_in("estimates.toml").items() if each.band.is_exact]

    def test_have_one_for_every_kind_of_dirt(self) -> None:
        """... of not knowing how a bearing feels are as wide as all that may be."""
        each = [estimates_in("estimates.toml")[f"success_{dirt}"].band for dirt in Dirt]
        unknown = estimates_in("estimates.toml")["success_unknown"].band
        assert (min(band.low for band in each), max(band.high for band in each)) == (unknown.low, unknown.high)
