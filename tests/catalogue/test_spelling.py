"""The SKU that was meant: one slip anywhere finds it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.spelling import near
from mountwright.catalogue.writing import Writing

SKUS = ("towpath-4x80", "lantern", "ferrule_2019", "kelp.base", "quay-3x125-black", "ribbon", "dozy", "MARROW-77")
LETTERS = "abcdefghijklmnopqrstuvwxyz0123456789-._"


@pytest.fixture
def kept(engines: Engines) -> Iterator[Connection]:
    """Give a connection to a catalogue with a handful of SKUs that are far apart."""
    with engines.writing() as connection:
        writing = Writing(connection, lambda _: [], "rules")
        writing.add_articles([{"sku": sku, "kind": "frame", "name": "Frame"} for sku in SKUS])
        writing.finish()
    with engines.reading() as connection:
        yield connection


def slips(sku: str) -> st.SearchStrategy[str]:
    """Draw a SKU with one letter wrong, left out, too many, or two that changed places."""
    places, letters = st.integers(0, len(sku) - 1), st.sampled_from(LETTERS)
    return st.one_of(
        st.builds(lambda at, letter: sku[:at] + letter + sku[at + 1 :], places, letters),
        st.builds(lambda at: sku[:at] + sku[at + 1 :], places),
        st.builds(lambda at, letter: sku[:at] + letter + sku[at:], st.integers(0, len(sku)), letters),
        st.builds(lambda at: sku[:at] + sku[at : at + 2][::-1] + sku[at + 2 :], places),
    )


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(meant=st.sampled_from(SKUS), data=st.data())
def test_one_slip_anywhere_finds_what_was_meant(kept: Connection, meant: str, data: st.DataObject) -> None:
    """A letter wrong, missing, too many, or two changed over, at the beginning, in the middle and at the end."""
    written = data.draw(slips(meant))
    assume(written != meant)

    assert meant == near(kept, written)


@pytest.mark.parametrize("sku", SKUS)
def test_two_letters_that_changed_places_in_the_middle_are_found(kept: Connection, sku: str) -> None:
    """Where neither half is whole, what lies around the two letters is."""
    places = range(len(sku) - 1)
    swapped = {sku[:at] + sku[at : at + 2][::-1] + sku[at + 2 :] for at in places}

    assert {sku} == {near(kept, each) for each in swapped}


@pytest.mark.parametrize("sku", ["", "x", "zzzzzzzz", "lamppost", "nretnal"])
def test_what_is_far_from_everything_is_nothing(kept: Connection, sku: str) -> None:
    """No guess is better than a wild one."""
    assert near(kept, sku) is None


def test_an_empty_catalogue_has_nothing_near(engines: Engines) -> None:
    """And that is no fault."""
    with engines.reading() as connection:
        assert near(connection, "lantern") is None
