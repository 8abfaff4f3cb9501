"""Money in a request: whole minor units of a currency."""

from __future__ import annotations

from functools import cache
from typing import Any

from iso4217 import Currency
from marshmallow import ValidationError

from mountwright.web.faults import Text, fault

#: Largest sum that is reckoned with, minor units: eight instalments of it stay within what a plan takes.
MOST_MINOR = 10**9

#: Dearest hour of a workshop, minor units.
MOST_MINOR_PER_HOUR = 10**8


class CurrencyCode(Text):
    """A currency of ISO 4217, three letters."""

    def _deserialize(self, value: Any, *place: Any, **kwargs: Any) -> Any:
        code = super()._deserialize(value, *place, **kwargs)
        if code not in _codes():
            raise ValidationError(fault("request.currency", code))
        return code


@cache
def _codes() -> frozenset[str]:
    return frozenset(currency.code for currency in Currency)
