"""Installed standards against ISO 15, ISO 2768-1 and what the trade states in common."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from mountwright.measure.conformity import conformance_probability
from mountwright.measure.quantity import Estimate, Limits
from mountwright.mounts.bolt_rule import BoltsPass
from mountwright.mounts.registry import Registry
from mountwright.mounts.rules import Stack

Given = Mapping[str, str]


def _stated_mm(installed: Registry, standard: str, dimension: str) -> float:
    return installed.standards[standard].nominals[dimension].stated / 1000


@pytest.mark.published("bearings", "bearing dimension")
def test_bearings_have_the_published_dimensions(given: Given, value: float, installed: Registry) -> None:
    """A bearing's nominal dimension is that of ISO 15."""
    assert value == _stated_mm(installed, given["standard"], given["dimension"])


@pytest.mark.published("bearings", "width of a 688")
def test_a_688_may_have_any_published_width(value: float, installed: Registry) -> None:
    """No width is taken for granted of a 688, and each published one may be entered."""
    hub = installed.standards["hub-688"]
    assert "bearing_width_mm" not in hub.nominals
    assert hub.family.dimensions["bearing_width_mm"].plausible.contain(value * 1000)


@pytest.mark.published("trade", "nominal")
def test_standards_have_the_commonly_stated_dimensions(given: Given, value: float, installed: Registry) -> None:
    """A standard's nominal is what the trade commonly states."""
    assert value == _stated_mm(installed, given["standard"], given["dimension"])


@pytest.mark.published("trade", "difference in spacing")
def test_spacings_differ_as_commonly_stated(given: Given, value: float, installed: Registry) -> None:
    """Two spacings differ by what the trade commonly states."""
    larger, smaller = (_stated_mm(installed, given[which], "hole_spacing_mm") for which in ("larger", "smaller"))
    assert value == larger - smaller


@pytest.mark.published("trade", "bolt")
def test_frames_have_the_commonly_stated_bolt(value: str, installed: Registry) -> None:
    """Frames are judged with the bolt that the trade commonly states."""
    rules = installed.standards["two-bolt-165"].family.rules
    assert [value] == [f"M{rule.bolt_um / 1000:g}" for rule in rules if isinstance(rule, BoltsPass)]


@pytest.mark.published("trade", "thread engaged")
def test_a_frames_bolt_engages_by_the_published_rule(value: float, installed: Registry) -> None:
    """At least the published number of bolt diameters has to engage, of the M6 that frames have."""
    rules = installed.standards["two-bolt-165"].family.rules
    assert [value * 6000] == [
        rule.limits.low for rule in rules if isinstance(rule, Stack) and rule.code == "thread_engaged"
    ]


@pytest.mark.published("general_tolerances", "general tolerance on a spacing")
def test_only_the_coarsest_general_tolerance_cannot_tell_165_from_167(value: float, installed: Registry) -> None:
    """A flat mount's spacing conforms to 165 mm by class v of ISO 2768-1 and by no finer class."""
    flat, raised = (_stated_mm(installed, key, "hole_spacing_mm") for key in ("flat-167", "two-bolt-165"))
    limits = Limits((raised - value) * 1000, (raised + value) * 1000)
    assert (1.0 if value == 2.5 else 0.0) == conformance_probability(Estimate(flat * 1000, 0), limits)
