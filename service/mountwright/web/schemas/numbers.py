"""Number fields: a number is a number, never a text that looks like one."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError, fields

from mountwright.messages import Fault
from mountwright.web.faults import Bounds, fault


class Number(fields.Float):
    """A finite number within bounds, both inclusive.

    A plain number within bounds is taken at once; everything else goes marshmallow's own
    way, so that its answers stay the reference. Tests hold the two ways to be equal.

    Parameters
    ----------
    low, high : float
    """

    default_error_messages: Any = {  # noqa: RUF012  # marshmallow's own way to set them
        "required": fault("request.required"),
        "null": fault("request.null"),
        "invalid": [Fault("request.not_number", {"found": "something else"})],
        "special": [Fault("request.not_number", {"found": "no finite number"})],
        "too_large": [Fault("request.not_number", {"found": "too large a number"})],
    }

    def __init__(self, low: float, high: float, **kwargs: Any) -> None:
        self.low, self.high = low, high
        super().__init__(validate=Bounds(low, high), **kwargs)

    def deserialize(self, value: Any, attr: str | None = None, data: Any = None, **kwargs: Any) -> Any:
        """Give the number."""
        if (type(value) is float or type(value) is int) and self.low <= value <= self.high:
            return value
        return super().deserialize(value, attr, data, **kwargs)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> Any:
        if isinstance(value, str | bool):
            raise ValidationError(fault("request.not_number", value))
        found = super()._deserialize(value, attr, data, **kwargs)
        return value if type(value) is int else found


class Whole(fields.Integer):
    """A whole number within bounds, both inclusive.

    Parameters
    ----------
    low, high : int
    """

    default_error_messages: Any = {  # noqa: RUF012  # marshmallow's own way to set them
        "required": fault("request.required"),
        "null": fault("request.null"),
    }

    def __init__(self, low: int, high: int, **kwargs: Any) -> None:
        super().__init__(strict=True, validate=Bounds(low, high), **kwargs)

    def _deserialize(self, value: Any, *_place: Any, **_kwargs: Any) -> Any:
        if type(value) is not int:
            raise ValidationError(fault("request.not_whole", value))
        return value


def is_number(value: object) -> bool:
    """Tell whether a JSON value is a number; orjson has refused NaN and infinities before."""
    return type(value) is float or type(value) is int
