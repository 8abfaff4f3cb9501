"""Looks a stranger's checks over before the core judges them: what cannot be compared is the plugin's fault."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from mountwright.errors import PluginError
from mountwright.measure.quantity import UNITS, Estimate, Limits
from mountwright.mounts.check import Check, Rule
from mountwright.mounts.joint import Joint


class Vetted:
    """A rule written in Python, each check of which is looked over.

    Parameters
    ----------
    family : str
        Named in the fault.
    rule : Rule
    """

    def __init__(self, family: str, rule: Rule) -> None:
        self._family, self._rule = family, rule

    def __call__(self, joint: Joint) -> Iterator[Check]:
        """Yield the rule's checks.

        Raises
        ------
        PluginError
            For one that cannot be judged.
        """
        for check in self._rule(joint):
            fault = fault_of(check)
            if fault:
                raise PluginError(self._family, fault)
            yield check


def fault_of(check: object) -> str:
    """Say what is wrong with a check, or give an empty text."""
    if not isinstance(check, Check):
        return f"a rule gave {check!r}, expected a Check"
    for name, found in (("code", check.code), ("source", check.source)):
        if not isinstance(found, str) or not found:
            return f"check {check.code!r}: {name} is {found!r}, expected a text"
    if check.unit not in (*UNITS, ""):
        return f"check {check.code!r}: unit is {check.unit!r}, expected one of {', '.join(UNITS)} or none"
    if not (check.value is None or _is_estimate(check.value)):
        return f"check {check.code!r}: value is {check.value!r}, expected finite figures and no doubt below 0"
    if not isinstance(check.limits, Limits) or not isinstance(check.loosest, Limits | None):
        return f"check {check.code!r}: limits are {check.limits!r} and {check.loosest!r}, expected Limits"
    if not isinstance(check.params, Mapping) or not all(_is_param(*param) for param in check.params.items()):
        return f"check {check.code!r}: params are {check.params!r}, expected texts and finite numbers by name"
    places = (*check.missing, *check.rests_on)
    if not all(isinstance(place, str) and "." in place for place in places):
        return f"check {check.code!r}: places are {places!r}, expected side.dimension"
    return ""


def _is_estimate(value: object) -> bool:
    return isinstance(value, Estimate) and all(_is_finite(part) for part in value) and value.standard_uncertainty >= 0


def _is_param(name: object, value: object) -> bool:
    return isinstance(name, str) and (isinstance(value, str) or _is_finite(value))


def _is_finite(value: object) -> bool:
    return isinstance(value, int | float) and math.isfinite(value)
