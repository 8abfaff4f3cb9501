"""The number field takes what marshmallow's own takes, and no text."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from marshmallow import ValidationError, fields, validate

from mountwright.web.schemas.numbers import Number

_ANYTHING = st.one_of(
    st.floats(), st.integers(), st.booleans(), st.none(), st.text(max_size=6), st.lists(st.integers(), max_size=2)
)


def outcome(field: fields.Field[Any], value: object) -> object:
    """Give what a field makes of a value, or that it refuses it."""
    try:
        return field.deserialize(value)
    except ValidationError:
        return ValidationError


@given(value=_ANYTHING)
def test_the_quick_way_and_marshmallows_own_agree(value: object) -> None:
    """For everything but text, the field answers as fields.Float with the same range does."""
    expected = (
        ValidationError
        if isinstance(value, str | bool)
        else outcome(fields.Float(validate=validate.Range(-5, 100)), value)
    )

    assert expected == outcome(Number(-5, 100), value)


@pytest.mark.parametrize("value", ["12.5", "1", True, False])
def test_a_text_or_a_truth_value_is_no_number(value: object) -> None:
    """Marshmallow's own field takes "12.5" for 12.5; a request with it is a slip."""
    with pytest.raises(ValidationError):
        Number(-5, 100).deserialize(value)


def test_the_contract_shows_the_bounds() -> None:
    """The bounds are a marshmallow validator, which is where the contract takes them from."""
    (bounds,) = Number(1, 2).validators

    assert isinstance(bounds, validate.Range)
    assert (1, 2) == (bounds.min, bounds.max)
