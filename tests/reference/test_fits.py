"""What the installed standards allow bearings against ISO 492, and their fits with ISO 286."""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest

from mountwright.measure.quantity import Estimate
from mountwright.mounts.check import Check
from mountwright.mounts.joint import Joint, JointSide
from mountwright.mounts.registry import Registry
from mountwright.mounts.rules import Stack, Term

Given = Mapping[str, float]
Range = tuple[float, float]


def _ends(estimate: Estimate) -> Range:
    """Give the ends of a rectangular spread, back from its standard uncertainty."""
    half_width = estimate.standard_uncertainty * math.sqrt(3)
    return estimate.value - half_width, estimate.value + half_width


def _checks(rule: Stack, outer: Range, inner: Range) -> tuple[Check, Check]:
    """Give the check of the tightest and of the loosest pair of two pieces made within the ends."""
    first, second = rule.terms
    pairs = ((outer[0], inner[1]), (outer[1], inner[0]))
    return tuple(_check(rule, first, second, wide, thin) for wide, thin in pairs)  # type: ignore[return-value]  # two


def _check(rule: Stack, first: Term, second: Term, wide: float, thin: float) -> Check:
    outer = JointSide(first.side, {first.dimension: Estimate(wide, 0)}, {})
    inner = JointSide(second.side, {second.dimension: Estimate(thin, 0)}, {})
    (check,) = rule(Joint("", outer, inner))
    return check


def _clearances(checks: tuple[Check, Check]) -> list[float]:
    return [check.value.value for check in checks if check.value is not None]


def _rule(installed: Registry, standard: str, code: str) -> Stack:
    rules = installed.standards[standard].family.rules
    return next(rule for rule in rules if isinstance(rule, Stack) and rule.code == code)


@pytest.mark.published("fits", "bearing deviation")
def test_bearings_deviate_as_published(given: Mapping[str, str], value: float, installed: Registry) -> None:
    """The installed standard lets a bearing be at most nominal and smaller by the published deviation (ISO 492)."""
    nominal = installed.standards[given["standard"]].nominals[given["dimension"]]
    assert (nominal.stated + value, nominal.stated) == pytest.approx(_ends(nominal.conforming))


@pytest.mark.published("fits", "clearance of a bearing on an axle")
def test_a_bearing_clears_an_axle_as_published(given: Given, value: Range, installed: Registry) -> None:
    """The installed bore on an axle of ISO 286 has the published clearance."""
    bore = _ends(installed.standards["axle-8"].nominals["bore_mm"].conforming)
    axle = (8000 + given["axle_low"], 8000 + given["axle_high"])
    assert value == pytest.approx(_clearances(_checks(_rule(installed, "axle-8", "bearing_on_axle"), bore, axle)))


@pytest.mark.published("fits", "clearance of a bearing on an axle")
@pytest.mark.parametrize("code", ["bearing_on_axle", "bearing_loose"])
def test_an_axle_of_iso_286_always_fits(given: Given, code: str, installed: Registry) -> None:
    """The tightest and the loosest pair of a published fit both stay within the check's limits."""
    bore = _ends(installed.standards["axle-8"].nominals["bore_mm"].conforming)
    axle = (8000 + given["axle_low"], 8000 + given["axle_high"])
    checks = _checks(_rule(installed, "axle-8", code), bore, axle)
    assert [True, True] == [check.value is not None and check.limits.contain(check.value.value) for check in checks]


@pytest.mark.published("fits", "clearance of a bearing in a hub")
def test_a_bearing_clears_a_hub_as_published(given: Given, value: Range, installed: Registry) -> None:
    """The installed bearing in a hub of ISO 286 has the published clearance."""
    checks = _in_hub(given, installed)
    assert value == pytest.approx(_clearances(checks))


@pytest.mark.published("fits", "clearance of a bearing in a hub")
def test_a_hub_of_iso_286_always_fits(given: Given, installed: Registry) -> None:
    """The limits for moulded hubs are wider than any of the published fits of metal ones."""
    checks = _in_hub(given, installed)
    assert [True, True] == [check.value is not None and check.limits.contain(check.value.value) for check in checks]


def _in_hub(given: Given, installed: Registry) -> tuple[Check, Check]:
    bearing = _ends(installed.standards["hub-608"].nominals["outside_diameter_mm"].conforming)
    hub = (22000 + given["hub_low"], 22000 + given["hub_high"])
    return _checks(_rule(installed, "hub-608", "bearing_in_hub"), hub, bearing)


@pytest.mark.published("fits", "clearance of a shaft in a hole")
def test_a_shaft_clears_a_hole_as_published(given: Given, value: Range, installed: Registry) -> None:
    """A difference of two lengths gives the published clearances of ISO 286."""
    rule = _rule(installed, "axle-place-8", "axle_in_frame")
    hole, shaft = ((given[f"{piece}_low"], given[f"{piece}_high"]) for piece in ("hole", "shaft"))
    assert value == pytest.approx(_clearances(_checks(rule, hole, shaft)))
