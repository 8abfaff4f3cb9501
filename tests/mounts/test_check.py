"""A check is plain data."""

from __future__ import annotations

import pickle
from collections.abc import Mapping

import pytest

from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.check import Check


@pytest.mark.parametrize("more", [{}, {"params": {"shim_end": "rear"}}], ids=["without params", "with params"])
def test_a_check_can_cross_a_process_boundary(more: Mapping[str, Mapping[str, str]]) -> None:
    """A check comes out of another process as it went in, whether its rule gave params or none."""
    check = Check("room", Estimate(300, 90), Limits(0, None), "mm", "geometry", **more)

    assert check == pickle.loads(pickle.dumps(check))  # noqa: S301  # the bytes are our own


def test_a_check_that_says_nothing_more_has_nothing_more() -> None:
    """A check needs no more than a value, limits, a unit and a source."""
    check = Check("room", None, Limits(0, None), "mm", "geometry")

    assert (None, False, (), (), {}) == (check.loosest, check.magnitude, check.missing, check.rests_on, check.params)
