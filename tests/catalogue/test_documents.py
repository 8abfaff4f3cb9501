"""Records in canonical form, and texts as a search compares them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.catalogue.documents import canonical, folded


@given(st.text(max_size=40))
def test_what_is_folded_stays_as_it_is(text: str) -> None:
    """What is kept folded is compared with what was folded once."""
    assert folded(text) == folded(folded(text))


@pytest.mark.parametrize(
    ("text", "expected"), [("Größe", "grosse"), ("CAFÉ", "cafe"), ("Towpath™", "towpathtm"), ("ŁÓDŹ", "łodz")]
)
def test_case_accents_and_signs_do_not_matter(text: str, expected: str) -> None:
    """A search finds what a person means."""
    assert expected == folded(text)


@pytest.mark.parametrize(
    ("record", "same"),
    [
        ({"b": 1, "a": 80.0}, {"a": 80, "b": 1}),
        ({"a": None, "links": [], "specs": {}}, {}),
        (
            {"mounts": [{"position": "hub"}, {"position": "axle"}]},
            {"mounts": [{"position": "axle"}, {"position": "hub"}]},
        ),
    ],
)
def test_what_says_the_same_has_one_form(record: dict[str, Any], same: dict[str, Any]) -> None:
    """So that the same content gives the same bytes."""
    assert canonical(record) == canonical(same)


def test_a_number_too_large_for_a_whole_one_stays_a_float() -> None:
    """It is kept as it was given, and nothing fails."""
    assert b'{"a":1e+300}' == canonical({"a": 1e300})
