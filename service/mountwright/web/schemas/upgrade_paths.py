"""Upgrade paths: the request."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from marshmallow import ValidationError, post_load, validates_schema

from mountwright.bench.jobs import Where
from mountwright.catalogue.documents import SKATE
from mountwright.checkout.basket import Owned
from mountwright.errors import InvalidQuantityError
from mountwright.messages import Fault
from mountwright.riding.room import shortest_wheelbase_mm
from mountwright.upgrading.complaints import complaints, nearest_complaint
from mountwright.upgrading.customer import KINDS, Customer, Instalment, Money, Wishes
from mountwright.web.carts.owned import OwnedSkate
from mountwright.web.faults import Choice, Flag, ListOf, Matching, ObjectOf, Size, Strict, Text, fault
from mountwright.web.paths.asked import PathAsked
from mountwright.web.rides.limits import MASSES_KG
from mountwright.web.schemas.cart_checks import OwnedSchema
from mountwright.web.schemas.money import MOST_MINOR, MOST_MINOR_PER_HOUR, CurrencyCode
from mountwright.web.schemas.mounts import desk_in_use, workshop_in_use
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.shelved import SeenBasket

#: Most complaints, instalments and further plans of one question.
MOST_COMPLAINTS, MOST_INSTALMENTS, MOST_ALTERNATIVES = 12, 8, 4

#: Further plans where nobody says how many.
USUAL_ALTERNATIVES = 2

#: Days that money may come on, both inclusive.
DAYS = (date(2000, 1, 1), date(2199, 12, 31))

#: An inline skate has so many wheels at least (common practice); how many more it will have, a wish does not say.
_FEWEST_WHEELS = 3

_DAY = Matching(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", "a date such as 2026-05-30")
_SHORT = Size(min=1, max=60)


class PlanDay(Text):
    """A day of the calendar, past or to come, as ISO 8601 writes it."""

    def _deserialize(self, value: Any, *place: Any, **kwargs: Any) -> Any:
        text = super()._deserialize(value, *place, **kwargs)
        _DAY(text)
        try:
            day = date.fromisoformat(text)
        except ValueError as error:
            raise ValidationError(fault("request.form", text, expected=_DAY.expected)) from error
        if not DAYS[0] <= day <= DAYS[1]:
            raise ValidationError(fault("request.bounds", text, low=str(DAYS[0]), high=str(DAYS[1])))
        return day


class _KnownComplaint(Choice):
    """A complaint that is known; of another one the nearest is named, and all of them."""

    def _format_error(self, value: Any) -> Any:
        known, near = ", ".join(complaints()), nearest_complaint(str(value))
        if near is None:
            return fault("path.unknown_complaint", value, known=known)
        return fault("path.unknown_complaint_near", value, known=known, near=repr(near))


def _job_at_home(value: str) -> None:
    """Refuse what is no job of this workshop that anybody may do; the nearest is named, and all of them."""
    jobs = workshop_in_use().jobs
    choices = [key for key, job in jobs.items() if job.where is Where.HOME]
    if value in choices:
        return
    if value in jobs:
        raise ValidationError(fault("path.workshop_only", value))
    known, near = ", ".join(choices), difflib.get_close_matches(value[:60], choices, n=1)
    if not near:
        raise ValidationError(fault("path.unknown_job", value, known=known))
    raise ValidationError(fault("path.unknown_job_near", value, known=known, near=repr(near[0])))


class PathRiderSchema(Strict):
    """Who rides."""

    mass_kg = Number(*MASSES_KG, required=True, metadata={"description": "With everything worn."})


class WishesSchema(Strict):
    """What is wished for beside the complaints."""

    wheel_diameter_mm = Number(40, 160)
    wheelbase_mm = Number(80, 500, metadata={"description": "From the first axle to the last."})
    rocker_mm = Number(0, 10, metadata={"description": "How much higher the outer wheels stand than the lowest."})
    colour = Text(validate=_SHORT)

    @validates_schema
    def _possible(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        diameter, wheelbase = data.get("wheel_diameter_mm"), data.get("wheelbase_mm")
        if diameter is None or wheelbase is None:
            return
        shortest = shortest_wheelbase_mm((diameter,) * _FEWEST_WHEELS)
        if wheelbase < shortest:
            found = fault(
                "path.wishes_clash", wheelbase, diameter=diameter, wheels=_FEWEST_WHEELS, shortest=round(shortest, 1)
            )
            raise ValidationError({"wheelbase_mm": found})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Wishes:
        """Give the wishes."""
        return Wishes(**data)


class InstalmentSchema(Strict):
    """Money that comes on a day."""

    on = PlanDay(metadata={"format": "date", "description": "Wanted for each of several."})
    amount_minor = Whole(0, MOST_MINOR, required=True)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Instalment:
        """Give the instalment."""
        return Instalment(data.get("on"), data["amount_minor"])


class BudgetSchema(Strict):
    """What may be spent: one sum that is there now, or instalments in order of their days."""

    currency = CurrencyCode(required=True, metadata={"description": "ISO 4217, three letters."})
    amount_minor = Whole(0, MOST_MINOR, metadata={"description": "0 for free work only."})
    instalments = ListOf(ObjectOf(InstalmentSchema), validate=Size(min=1, max=MOST_INSTALMENTS))
    until = PlanDay(
        metadata={"format": "date", "description": "How long the skate is to serve; a year after the last instalment."}
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _whole(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        if isinstance(given, dict) and (faults := {**_sum_faults(given), **_day_faults(given)}):
            raise ValidationError(faults)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Money:
        """Give the money."""
        at_once = [Instalment(None, data["amount_minor"])] if "amount_minor" in data else []
        return Money(data["currency"], tuple(data.get("instalments", at_once)), data.get("until"))


def _sum_faults(given: Mapping[str, Any]) -> dict[str, Any]:
    if "amount_minor" in given and "instalments" in given:
        return {"instalments": fault("path.amount_or_instalments")}
    return {} if given.keys() & {"amount_minor", "instalments"} else {"amount_minor": fault("request.required")}


def _day_faults(given: Mapping[str, Any]) -> dict[str, Any]:
    """Give the days that are missing, that come before the one before, and an end that comes before the last."""
    written = [each.get("on") if isinstance(each, dict) else None for each in _list(given.get("instalments"))]
    faults = {number: {"on": wrong} for number, wrong in _out_of_order(written)}
    found: dict[str, Any] = {"instalments": faults} if faults else {}
    days = [day for day in map(_day, written) if day is not None]
    until = _day(given.get("until"))
    if until is not None and not any(written):
        found["until"] = fault("path.until_without_days")
    elif until is not None and days and until <= max(days):
        found["until"] = fault("path.day_order", str(until), before=str(max(days)))
    return found


def _out_of_order(written: list[Any]) -> Iterator[tuple[int, list[Fault]]]:
    last: date | None = None
    for number, each in enumerate(written):
        day = _day(each)
        if each is None and len(written) > 1:
            yield number, fault("request.required")
        elif day is not None and last is not None and day <= last:
            yield number, fault("path.day_order", str(day), before=str(last))
        last = day or last


def _day(value: Any) -> date | None:
    """Give the day that a text stands for, None for what is no day; what is wrong with it, its field says."""
    try:
        return date.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


class WornSchema(Strict):
    """What was measured of parts that wear."""

    wheel_mm = Number(30, 160, metadata={"description": "Diameter of the smallest wheel, across its tread."})


class PathRequestSchema(Strict):
    """A skate, what bothers its rider and what may be spent."""

    skate = ObjectOf(OwnedSchema, required=True)
    rider = ObjectOf(PathRiderSchema, metadata={"description": "80 kg if left out."})
    complaints = ListOf(
        Text(validate=_KnownComplaint(list(complaints()))),
        validate=Size(max=MOST_COMPLAINTS),
        metadata={"description": "The worst first, each once."},
    )
    wishes = ObjectOf(WishesSchema)
    budget = ObjectOf(BudgetSchema, required=True)
    stays = ListOf(
        Text(validate=Choice(KINDS)),
        validate=Size(max=len(KINDS)),
        metadata={"description": "Kinds that are not changed."},
    )
    at_home = ListOf(
        # No list of choices: the contract is one, and what is on a bench depends on the standards files.
        Text(validate=_job_at_home),
        validate=Size(max=200),
        metadata={
            "description": "Jobs of the bench that the customer does without the workshop: they take time and no wage."
        },
    )
    labour_minor_per_hour = Whole(
        0, MOST_MINOR_PER_HOUR, metadata={"description": "Of the workshop; nothing if left out."}
    )
    in_stock_only = Flag(metadata={"description": "Whether only what is in stock may be bought."})
    worn = ObjectOf(WornSchema)
    most_alternatives = Whole(
        0, MOST_ALTERNATIVES, metadata={"description": f"Further plans; {USUAL_ALTERNATIVES} if left out."}
    )

    @validates_schema(skip_on_field_errors=False, pass_original=True)
    def _complained_once(self, _data: Mapping[str, Any], given: Any, **_kwargs: Any) -> None:
        found = _list(given.get("complaints")) if isinstance(given, dict) else []
        texts = [each if isinstance(each, str) else None for each in found]
        twice = {
            number: fault("request.given_again", texts.count(text))
            for number, text in enumerate(texts[: MOST_COMPLAINTS + 1])
            if text is not None and text in texts[:number]
        }
        if twice:
            raise ValidationError({"complaints": twice})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> PathAsked:
        """Give what is asked; the catalogue has not been looked at yet for what may be bought.

        Raises
        ------
        ValidationError
            For what cannot be.
        """
        try:
            return _asked(data)
        except InvalidQuantityError as error:
            params = {"found": str(error.found), "expected": error.expected}
            raise ValidationError([Fault("request.impossible", params)]) from error


def _asked(data: Mapping[str, Any]) -> PathAsked:
    skate: OwnedSkate = data["skate"]
    basket = desk_in_use().basket
    return PathAsked(
        _customer(data, skate.owned),
        skate.sku,
        data.get("in_stock_only", False),
        data.get("most_alternatives", USUAL_ALTERNATIVES),
        "rider" not in data,
        None if basket is None else _trade_in_minor(skate.owned, data["budget"].currency, basket),
        frozenset() if basket is None else basket.paused,
    )


def _customer(data: Mapping[str, Any], owned: Owned) -> Customer:
    worn: Mapping[str, float] = data.get("worn", {})
    told: dict[str, Any] = {"mass_kg": data["rider"]["mass_kg"]} if "rider" in data else {}
    if "wheel_mm" in worn:
        told["worn_mm"] = {"wheel": worn["wheel_mm"]}
    return Customer(
        owned,
        tuple(data.get("complaints", ())),
        data["budget"],
        data.get("wishes", Wishes()),
        frozenset(data.get("stays", ())),
        frozenset(data.get("at_home", ())),
        data.get("labour_minor_per_hour", 0),
        **told,
    )


def _trade_in_minor(owned: Owned, currency: str, basket: SeenBasket) -> int | None:
    """Give what the shop takes a skate back for, where it says the same of all versions that may be meant."""
    records = {each.sku: each.record for found in basket.versions.values() for each in found}
    records |= {sku: each.record for sku, each in basket.articles.items() if each.record["kind"] == SKATE}
    meant = [records.get(version.skate.sku, {}) for version in owned.versions]
    said = {each.get("trade_in_minor") if each.get("currency") == currency else None for each in meant}
    return next(iter(said)) if len(said) == 1 else None
