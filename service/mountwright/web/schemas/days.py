"""Days of the calendar, as a request writes them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from marshmallow import ValidationError

from mountwright.web.faults import Matching, Text, fault

_DAY = Matching(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", "a date such as 2026-05-30")

#: No skate of the catalogue was made before.
_EARLIEST = date(1950, 1, 1)

#: Where the day begins first, hours ahead of UTC.
_FIRST_ZONE_H = 14


def latest_day(now: datetime) -> date:
    """Give the latest day that has begun anywhere on Earth."""
    return (now.astimezone(UTC) + timedelta(hours=_FIRST_ZONE_H)).date()


class Day(Text):
    """A day of the calendar that has begun, as ISO 8601 writes it."""

    def _deserialize(self, value: Any, *place: Any, **kwargs: Any) -> Any:
        text = super()._deserialize(value, *place, **kwargs)
        _DAY(text)
        try:
            day = date.fromisoformat(text)
        except ValueError as error:
            raise ValidationError(fault("request.form", text, expected=_DAY.expected)) from error
        latest = latest_day(datetime.now(UTC))
        if not _EARLIEST <= day <= latest:
            raise ValidationError(fault("request.bounds", text, low=str(_EARLIEST), high=str(latest)))
        return text
