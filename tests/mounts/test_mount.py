"""Mounts and patterns that do not contradict themselves."""

from __future__ import annotations

import pytest

from mountwright.errors import InvalidMountError
from mountwright.mounts.mount import Claimant, Mount, Pattern


@pytest.mark.parametrize(
    ("standard", "claimed_by"),
    [("two-bolt-165", None), (None, Claimant.MAKER)],
    ids=["nobody claims it", "nothing is claimed"],
)
def test_a_claim_needs_a_standard_and_somebody_who_makes_it(standard: str | None, claimed_by: Claimant | None) -> None:
    """A claim of which only half is there is refused, and the pattern is named."""
    with pytest.raises(InvalidMountError, match=r"pattern 'rear set': standard .*, expected both or neither") as caught:
        Pattern("rear set", standard, claimed_by)

    assert caught.value.where == "pattern 'rear set'"


@pytest.mark.parametrize("claimed_by", Claimant)
def test_everybody_may_claim(claimed_by: Claimant) -> None:
    """Bench, maker, seller and customer may each claim a standard."""
    assert claimed_by is Pattern(standard="two-bolt-165", claimed_by=claimed_by).claimed_by


def test_a_pattern_may_be_nothing_but_there() -> None:
    """A pattern of which nothing is known is a pattern."""
    assert ({}, {}, (), ()) == (Pattern().figures, Pattern().seen, Pattern().holes, Pattern().damage)


def test_a_mount_needs_a_pattern() -> None:
    """A mount without a pattern is refused, and its position is named."""
    with pytest.raises(InvalidMountError, match="mount at 'frame': no pattern, expected at least one"):
        Mount("frame", "boot", ())
