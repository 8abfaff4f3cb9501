"""Looks a stranger's checks over before the core judges them: what cannot be compared is the plugin's fault."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping

from mountwright.errors import PluginError
from mountwright.measure.quantity import UNITS, Estimate, Limits
from mountwright.mounts.check import Check, Rule
from mountwright.mounts.joint import Joint

# Ready-made, and the usual kind first: this is asked for every check of a rule in Python.
_UNITS = (*UNITS, "")
_NUMBERS = (float, int)
_MOST = sys.float_info.max
_BY_NAME = (dict, Mapping)


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
    if check.unit not in _UNITS:
        return f"check {check.code!r}: unit is {check.unit!r}, expected one of {', '.join(UNITS)} or none"
    if not (check.value is None or _is_estimate(check.value)):
        return f"check {check.code!r}: value is {check.value!r}, expected finite figures and no doubt below 0"
    if not (_is_limits(check.limits) and (check.loosest is None or _is_limits(check.loosest))):
        return f"check {check.code!r}: limits are {check.limits!r} and {check.loosest!r}, expected finite Limits"
    if not _are_params(check.params):
        return f"check {check.code!r}: params are {check.params!r}, expected texts and finite numbers by name"
    for name, places in (("missing", check.missing), ("rests_on", check.rests_on)):
        if not _are_places(places):
            return f"check {check.code!r}: {name} places are {places!r}, expected a tuple of side.dimension"
    return ""


def _is_estimate(value: object) -> bool:
    if not isinstance(value, Estimate):
        return False
    figure, doubt = value
    return _is_finite(figure) and _is_finite(doubt) and doubt >= 0


def _is_limits(limits: object) -> bool:
    if not isinstance(limits, Limits):
        return False
    low, high = limits.low, limits.high
    return (low is None or _is_finite(low)) and (high is None or _is_finite(high))


def _are_params(params: object) -> bool:
    return isinstance(params, _BY_NAME) and all(map(_is_text, params)) and all(map(_is_param, params.values()))


def _are_places(places: object) -> bool:
    return isinstance(places, tuple) and all(map(_is_place, places))


def _is_text(name: object) -> bool:
    return isinstance(name, str)


def _is_param(value: object) -> bool:
    return isinstance(value, str) or _is_finite(value)


def _is_place(place: object) -> bool:
    return isinstance(place, str) and 0 < place.find(".") < len(place) - 1


def _is_finite(value: object) -> bool:
    # Compared rather than handed to math.isfinite, which raises for an integer beyond all floats.
    return isinstance(value, _NUMBERS) and -_MOST <= value <= _MOST
