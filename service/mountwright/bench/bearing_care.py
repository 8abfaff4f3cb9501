"""Clean the bearings or replace them: what either costs while it lasts, and the price of a set at which both are equal.

Cleaning costs ``C``, succeeds with ``p`` and then lasts the share ``f`` of what a new set lasts, ``T``; where it fails,
a new set goes in after all, for ``R``: its price ``S`` and the work. Over many rounds (renewal reward) ::

    cleaning  (C + (1 - p) R) / ((1 - p + p f) T)        replacing  R / T

Both are equal at ``R = C / (p f)``, however long a set lasts: ``S* = C / (p f) - work``. Nothing of it is a matter of
fatigue, which never sets the life of a skate's bearings: grit and water do.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import inf, pi
from typing import NamedTuple

from mountwright.bench.estimates import estimates_in
from mountwright.bench.job_order import ordered
from mountwright.bench.jobs import COST_CURRENCY, Range, bench_jobs
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.estimates import estimates
from mountwright.riding.band import Band, exactly
from mountwright.riding.draws import Floats, drawn, share_below, summed_up, uniform
from mountwright.riding.line import STANDARD_GRAVITY_M_S2
from mountwright.riding.note import Note

#: The rider, the speed and the wheel that the references work their cases with.
_MASS_KG, _SPEED_M_S, _WHEEL_MM = 80.0, 5.0, 80.0

#: Where the estimates stand.
_FILE = "estimates.toml"

_CURRENCY = re.compile(r"[A-Z]{3}")


class Dirt(StrEnum):
    """How the bearings feel."""

    DULL = "dull"
    GRITTY = "gritty"
    RUSTY = "rusty"


class Outcome(StrEnum):
    """What is cheaper, and how sure."""

    CLEAN = "clean"
    LIKELY_CLEAN = "likely_clean"
    CANNOT_TELL = "cannot_tell"
    LIKELY_REPLACE = "likely_replace"
    REPLACE = "replace"


#: What is taken from the estimates where it was not told.
_TAKEN_TO_REPLACE = ("replacing_minutes", "new_set_riding_days")
_TAKEN_TO_CLEAN = ("cleaning_minutes", "fluids_minor", "success", "cleaned_life_share")

#: Spelt out, so that each is found where messages are looked for.
_SAID = {
    Outcome.CLEAN: "bearing_care.clean",
    Outcome.LIKELY_CLEAN: "bearing_care.likely_clean",
    Outcome.CANNOT_TELL: "bearing_care.cannot_tell",
    Outcome.LIKELY_REPLACE: "bearing_care.likely_replace",
    Outcome.REPLACE: "bearing_care.replace",
}


@dataclass(frozen=True)
class CareQuestion:
    """What is asked about one set of bearings: those of a pair of skates.

    What is None is taken from the estimates in the box. Each band's bounds are inclusive.

    Parameters
    ----------
    set_price_minor, labour_minor_per_hour : int
        Minor units of the currency, 0 or more; labour is 0 for riders who do it themselves and count no time.
    currency : str
        ISO 4217 code.
    riding_days_a_month : float
        Above 0, up to 31.
    dirt : Dirt or None
    is_first_time : bool
        Whether whoever cleans does it for the first time.
    can_be_opened : bool
        Whether the shields come off.
    km_a_month : Band or None
        Above 0; None where nobody asks for the cost of a kilometre.
    cleaning_minutes, replacing_minutes : Band or None
        With the wheels off and on, 0 or more.
    fluids_minor : Band or None
        What cleaner and grease cost, minor units, 0 or more; wanted in any other currency than EUR.
    success : Band or None
        How likely a cleaned set runs well, above 0, up to 1.
    new_set_riding_days : Band or None
        How many days of riding a new set lasts, above 0.
    cleaned_life_share : Band or None
        Of that, how much a cleaned one lasts, above 0, up to 1.

    Raises
    ------
    InvalidQuantityError
        For figures beyond these bounds.
    """

    set_price_minor: int
    labour_minor_per_hour: int
    currency: str
    riding_days_a_month: float
    dirt: Dirt | None = None
    is_first_time: bool = False
    can_be_opened: bool = True
    km_a_month: Band | None = None
    cleaning_minutes: Band | None = None
    replacing_minutes: Band | None = None
    fluids_minor: Band | None = None
    success: Band | None = None
    new_set_riding_days: Band | None = None
    cleaned_life_share: Band | None = None

    def __post_init__(self) -> None:
        if not (self.set_price_minor >= 0 and self.labour_minor_per_hour >= 0):
            found = (self.set_price_minor, self.labour_minor_per_hour)
            raise InvalidQuantityError(found, "a price and a wage of 0 or more")
        if not 0 < self.riding_days_a_month <= 31:
            raise InvalidQuantityError(self.riding_days_a_month, "more than 0 and up to 31 days of riding a month")
        if not _CURRENCY.fullmatch(self.currency):
            raise InvalidQuantityError(self.currency, "an ISO 4217 code")
        if self.fluids_minor is None and self.currency != COST_CURRENCY:
            raise InvalidQuantityError(None, f"what fluids cost in {self.currency}: the estimate is in {COST_CURRENCY}")
        self._check_bands()

    def _check_bands(self) -> None:
        least = {"cleaning_minutes": 0.0, "replacing_minutes": 0.0, "fluids_minor": 0.0}
        most = {"success": 1.0, "cleaned_life_share": 1.0}
        for name in (*_TAKEN_TO_REPLACE, *_TAKEN_TO_CLEAN, "km_a_month"):
            band: Band | None = getattr(self, name)
            if band is None:
                continue
            is_above = band.low >= least[name] if name in least else band.low > 0
            if not (is_above and band.high <= most.get(name, inf)):
                raise InvalidQuantityError(f"{name} {band}", f"above 0, up to {most.get(name, inf):g}")


@dataclass(frozen=True)
class CareCost:
    """What one way costs.

    Parameters
    ----------
    once_minor : Range
        Work and material of one time, minor units; of cleaning without the set that goes in where it fails.
    a_month_minor : Range
        Over many rounds, minor units.
    a_km_minor : Band or None
        Likewise, parts of a minor unit; None where nobody told how far is ridden.
    lasts_months : Band
        Of cleaning, where it succeeds.
    minutes : Band
    """

    once_minor: Range
    a_month_minor: Range
    a_km_minor: Band | None
    lasts_months: Band
    minutes: Band


@dataclass(frozen=True)
class CareAnswer:
    """What is to be said: clean, replace, or nobody can tell.

    Parameters
    ----------
    outcome : Outcome
        By the thresholds of a fit: said outright, worth a try, or neither.
    clean_probability : float
        That cleaning is cheaper, within 0 and 1; 0 where it cannot be done.
    cleaning : CareCost or None
        None where it cannot be done.
    replacing : CareCost
    break_even_minor : Range or None
        The price of a set from which on cleaning is cheaper, minor units, 0 where it is at any price; None where
        cleaning cannot be done. 5 % lie below its least and as many above its most, as of all that is given here.
    currency : str
    notes : tuple of Note
        What else is to be said, cautions last.
    """

    outcome: Outcome
    clean_probability: float
    cleaning: CareCost | None
    replacing: CareCost
    break_even_minor: Range | None
    currency: str
    notes: tuple[Note, ...]


class _Drawn(NamedTuple):
    """What is known within bounds only, drawn; (512,) each."""

    cleaning: Floats
    replacing: Floats
    success: Floats
    share: Floats
    months: Floats

    @property
    def cleaning_a_month(self) -> Floats:
        """Give what cleaning costs over many rounds."""
        failing = 1 - self.success
        return (self.cleaning + failing * self.replacing) / ((failing + self.success * self.share) * self.months)

    @property
    def worth_as_new(self) -> Floats:
        """Give what a new set, fitted, may cost until cleaning is cheaper."""
        return self.cleaning / (self.success * self.share)


def bearing_care(question: CareQuestion) -> CareAnswer:
    """Tell whether to clean the bearings or to replace them.

    The answer follows from 512 fixed draws of what is known within bounds only: the same question, the same answer.
    """
    taken = _bands(question)
    draws = _draws(question, taken)
    replacing = _cost(
        draws.replacing, draws.replacing / draws.months, draws.months, taken["replacing_minutes"], question
    )
    if not question.can_be_opened:
        notes = (Note("bearing_care.cannot_be_opened"), *_notes(question), *_cautions(question))
        return CareAnswer(Outcome.REPLACE, 0.0, None, replacing, None, question.currency, notes)
    lasts = draws.share * draws.months
    cleaning = _cost(draws.cleaning, draws.cleaning_a_month, lasts, taken["cleaning_minutes"], question)
    even = draws.worth_as_new - (draws.replacing - question.set_price_minor)
    probability = share_below(even, question.set_price_minor)
    outcome, break_even = _outcome(probability), _money(even)
    said = Note(_SAID[outcome], _params(question, probability, break_even))
    notes = (said, *_notes(question), *_cautions(question))
    return CareAnswer(outcome, probability, cleaning, replacing, break_even, question.currency, notes)


def rating_life_km(load_n: float, rating_n: float, wheel_mm: float) -> float:
    """Give how far a wheel rolls until fatigue ends a tenth of its bearings, ``(C/P)^3`` million turns (ISO 281).

    Parameters
    ----------
    load_n, rating_n, wheel_mm : float
        Load on one bearing, its dynamic rating and the diameter of the wheel, each above 0.
    """
    # A million turns of pi mm are pi km.
    return (rating_n / load_n) ** 3 * pi * wheel_mm


def saved_power_w(saved_rolling_coefficient: float, mass_kg: float, speed_m_s: float) -> float:
    """Give the power that a smaller rolling coefficient saves, ``dCrr m g v``, W; each figure 0 or more."""
    return saved_rolling_coefficient * mass_kg * STANDARD_GRAVITY_M_S2 * speed_m_s


def _bands(question: CareQuestion) -> dict[str, Band]:
    usual = {
        "cleaning_minutes": _cleaning_minutes(question.is_first_time),
        "replacing_minutes": _work_minutes("swap_bearings"),
        "fluids_minor": _estimate("fluids_eur_cents"),
        "success": _estimate(f"success_{question.dirt or 'unknown'}"),
        "new_set_riding_days": _estimate("new_set_riding_days"),
        "cleaned_life_share": _estimate("cleaned_life_share"),
    }
    return {name: getattr(question, name) or band for name, band in usual.items()}


def _estimate(name: str) -> Band:
    return estimates_in(_FILE)[name].band


def _work_minutes(key: str) -> Band:
    """Give the time of a job with the wheels off and on."""
    found = ordered([bench_jobs()[key]]).minutes
    return Band(float(found.least), float(found.usual), float(found.most))


def _cleaning_minutes(is_first_time: bool) -> Band:
    usual = _work_minutes("service_bearings")
    more = _estimate("first_time_more_minutes") if is_first_time else exactly(0.0)
    return Band(usual.low + more.low, usual.likely + more.likely, usual.high + more.high)


def _draws(question: CareQuestion, taken: Mapping[str, Band]) -> _Drawn:
    at = {name: drawn(band, uniform(f"bearing_care_{name}")) for name, band in taken.items()}
    a_minute = question.labour_minor_per_hour / 60
    return _Drawn(
        cleaning=a_minute * at["cleaning_minutes"] + at["fluids_minor"],
        replacing=a_minute * at["replacing_minutes"] + question.set_price_minor,
        success=at["success"],
        share=at["cleaned_life_share"],
        months=at["new_set_riding_days"] / question.riding_days_a_month,
    )


def _cost(once: Floats, a_month: Floats, months: Floats, minutes: Band, question: CareQuestion) -> CareCost:
    km = question.km_a_month
    a_km = None if km is None else summed_up(a_month / drawn(km, uniform("bearing_care_km")))
    return CareCost(_money(once), _money(a_month), a_km, summed_up(months), minutes)


def _money(values: Floats) -> Range:
    """Give the band of a sum of money in whole minor units, nothing where it is below."""
    band = summed_up(values)
    return Range(*[max(0, round(each)) for each in (band.low, band.likely, band.high)])


def _outcome(clean_probability: float) -> Outcome:
    sure, worth_a_try = estimates().fits, estimates().try_it
    if max(clean_probability, 1 - clean_probability) < worth_a_try:
        return Outcome.CANNOT_TELL
    if clean_probability > 0.5:
        return Outcome.CLEAN if clean_probability >= sure else Outcome.LIKELY_CLEAN
    return Outcome.REPLACE if 1 - clean_probability >= sure else Outcome.LIKELY_REPLACE


def _params(question: CareQuestion, probability: float, break_even: Range) -> dict[str, str | float]:
    return {
        "clean_probability": probability,
        "set_price_minor": question.set_price_minor,
        "break_even_minor": break_even.usual,
        "break_even_least_minor": break_even.least,
        "break_even_most_minor": break_even.most,
        "currency": question.currency,
    }


def _notes(question: CareQuestion) -> Iterator[Note]:
    if not question.labour_minor_per_hour:
        yield Note("bearing_care.labour_not_counted")
    if question.dirt is Dirt.RUSTY:
        yield Note("bearing_care.rust_is_replaced")
    if question.dirt in (Dirt.GRITTY, Dirt.RUSTY):
        yield Note("bearing_care.grit_drags")
    else:
        saved_w = saved_power_w(_estimate("saved_rolling_coefficient").high, _MASS_KG, _SPEED_M_S)
        yield Note("bearing_care.saves_little", {"power_w": saved_w, "mass_kg": _MASS_KG, "speed_m_s": _SPEED_M_S})
    load, rating = _estimate("bearing_load_n"), _estimate("dynamic_rating_n")
    usual, least = (
        rating_life_km(*each, _WHEEL_MM) for each in ((load.likely, rating.likely), (load.high, rating.low))
    )
    yield Note("bearing_care.fatigue_never_limits", {"distance_km": usual, "least_distance_km": least})
    yield Note("bearing_care.precision_class_is_no_speed")
    asked = (*_TAKEN_TO_REPLACE, *(_TAKEN_TO_CLEAN if question.can_be_opened else ()))
    if guessed := [name for name in asked if getattr(question, name) is None]:
        yield Note("bearing_care.taken_not_told", {"what": ", ".join(guessed)})


def _cautions(question: CareQuestion) -> Iterator[Note]:
    if question.can_be_opened:
        yield Note("caution.bearing_cleaner")
        yield Note("caution.bearing_air")
    yield Note("caution.self_locking")
    yield Note("caution.follow_maker")
