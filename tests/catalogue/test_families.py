"""Families that inherit from each other: rings are refused with their names, long and wide ones are no trouble."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.catalogue.families import inherited, require_no_ring
from mountwright.errors import FamilyCycleError

Json = dict[str, Any]

FAMILIES = "abcdef"


def spans(**parents: str) -> dict[str, list[Json]]:
    """Give families with one span for each letter of their parents, and one for none."""
    return {
        family: [{"family": family, "parent": parent} for parent in above] or [{"family": family}]
        for family, above in parents.items()
    }


@pytest.mark.parametrize(
    ("parents", "ring"),
    [
        ({"a": "a"}, "aa"),
        ({"a": "b", "b": "a"}, "aba"),
        ({"c": "b", "b": "d", "d": "c"}, "bdcb"),
        ({"a": "z", "z": "b", "b": "z"}, "bzb"),
        ({"a": "bc", "b": "d", "c": "a", "d": ""}, "aca"),
    ],
)
def test_a_ring_is_named_from_its_first_family_on(parents: dict[str, str], ring: str) -> None:
    """Each before what it inherits from; what only leads to the ring is not in it."""
    with pytest.raises(FamilyCycleError) as refused:
        require_no_ring(spans(**parents))

    assert tuple(ring) == refused.value.ring


def ring_in(parents: dict[str, str]) -> tuple[str, ...]:
    """Give the ring that is named; none where none is."""
    try:
        require_no_ring(spans(**parents))
    except FamilyCycleError as error:
        return error.ring
    return ()


def are_ranked(parents: dict[str, str]) -> bool:
    """Tell whether all families can be taken away one after another, each once its parents are gone."""
    left = dict(parents)
    while ends := [family for family in left if not set(left[family]) & left.keys()]:
        for family in ends:
            del left[family]
    return not left


@given(st.dictionaries(st.sampled_from(FAMILIES), st.text(FAMILIES, max_size=3), max_size=6))
def test_only_a_ring_is_refused(parents: dict[str, str]) -> None:
    """What is named is one, step by step and closed; where none is named there is none."""
    ring = ring_in(parents)

    assert are_ranked(parents) == (not ring)
    assert all(above in parents[family] for family, above in pairwise(ring))
    assert ring[:1] == ring[-1:]


def test_a_long_line_of_families_is_no_ring() -> None:
    """Longer than calls may be nested."""
    line = {f"f{number}": [{"parent": f"f{number + 1}"}] for number in range(3000)}
    require_no_ring(line)

    with pytest.raises(FamilyCycleError):
        require_no_ring({**line, "f3000": [{"parent": "f0"}]})


def test_families_that_meet_again_are_no_ring() -> None:
    """Forty times two parents are 2**40 ways up, and none of them is walked twice."""
    crossed: dict[str, list[Json]] = {
        f"{side}{number}": [{"parent": f"{above}{number + 1}"} for above in "ab"]
        for number in range(40)
        for side in "ab"
    }
    crossed["a40"] = [{"mounts": [{"position": "frame"}]}]
    require_no_ring(crossed)

    assert [{"position": "frame"}] == inherited({"family": "a0"}, crossed)
