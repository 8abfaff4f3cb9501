"""A stranger's check is looked over before it is judged."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pytest

from mountwright.errors import PluginError
from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.check import Check
from mountwright.mounts.joint import Joint, JointSide
from mountwright.mounts.vetting import Vetted, fault_of

SOUND = Check("round", Estimate(100, 5), Limits(0, None), "mm", "geometry", missing=(), rests_on=("bar.width_mm",))
JOINT = Joint("handlebar", JointSide("bar", {}, {}), JointSide("bell", {}, {}))


@pytest.mark.parametrize(
    "check",
    [
        SOUND,
        SOUND._replace(value=None, missing=("bar.width_mm",)),
        SOUND._replace(unit="", limits=Limits(0, 0), params={"bar_has": "a ring", "turns": 2.5}),
        SOUND._replace(loosest=Limits(-1, None)),
    ],
)
def test_a_sound_check_goes_through_as_it_is(check: Check) -> None:
    """Nothing is changed and nothing is lost."""
    assert [check] == list(Vetted("bells", lambda _joint: [check])(JOINT))


@pytest.mark.parametrize(
    ("check", "named"),
    [
        (SOUND._replace(code=""), "code"),
        (SOUND._replace(source=None), "source"),
        (SOUND._replace(unit="inch"), "unit"),
        (SOUND._replace(value=Estimate(math.nan, 1)), "value"),
        (SOUND._replace(value=Estimate(1, -1)), "value"),
        (SOUND._replace(value=3), "value"),
        (SOUND._replace(limits=(0, 1)), "limits"),
        (SOUND._replace(loosest=5), "limits"),
        (SOUND._replace(params={"set": {1}}), "params"),
        (SOUND._replace(params={"far": math.inf}), "params"),
        (SOUND._replace(limits=Limits(0, math.inf)), "limits"),
        (SOUND._replace(loosest=Limits(math.nan, 0)), "limits"),
        (SOUND._replace(value=Estimate(10**400, 1)), "value"),
        (SOUND._replace(params=["far"]), "params"),
        (SOUND._replace(params={1: "far"}), "params"),
        (SOUND._replace(missing=("width",)), "missing"),
        (SOUND._replace(missing=["bar.width_mm"]), "missing"),
        (SOUND._replace(missing="bar.width_mm"), "missing"),
        (SOUND._replace(rests_on=("bar.",)), "rests_on"),
        (SOUND._replace(rests_on=(".width_mm",)), "rests_on"),
        (SOUND._replace(rests_on=None), "rests_on"),
        ("no check at all", "expected a Check"),
    ],
)
def test_a_check_that_cannot_be_judged_is_the_plugins_fault(check: object, named: str) -> None:
    """The family is named, and what is wrong with which check."""

    def rule(_joint: Joint) -> Iterator[object]:
        yield check

    assert named in fault_of(check)
    with pytest.raises(PluginError, match="bells"):
        list(Vetted("bells", rule)(JOINT))  # type: ignore[arg-type]  # that is the point
