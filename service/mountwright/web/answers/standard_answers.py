"""Installed standards as JSON."""

from __future__ import annotations

from typing import Any

from mountwright.bench.gauges import gauge_of
from mountwright.measure.quantity import in_units
from mountwright.messages import Messages
from mountwright.mounts.registry import PluginFailure, Registry
from mountwright.mounts.standard import Dimension, Standard

Json = dict[str, Any]


def standards_json(registry: Registry, messages: Messages) -> Json:
    """Give every standard in short, and what was left out."""
    return {
        "standards": [_short(standard, messages) for standard in registry.standards.values()],
        "left_out": [failure_json(failure) for failure in registry.failures],
        "rules": registry.rules_version,
    }


def failure_json(failure: PluginFailure) -> Json:
    """Give a plugin that was left out."""
    return {"plugin": failure.plugin, "distribution": failure.distribution, "reason": failure.reason}


def _short(standard: Standard, messages: Messages) -> Json:
    return {
        "key": standard.key,
        "title": messages.phrase(standard.title),
        "positions": list(standard.family.positions),
        "also_known_as": list(standard.also_known_as),
        "plugin": standard.family.name,
    }


def standard_json(standard: Standard, registry: Registry, messages: Messages) -> Json:
    """Give one standard in full: what it measures, how, how far sides spread, and what a look tells."""
    family = standard.family
    is_drawn = gauge_of(standard, registry) is not None
    return {
        **_short(standard, messages),
        "sides": list(family.sides),
        "interchange": standard.interchange,
        "mark": messages.phrase(standard.mark),
        "features": dict(standard.features),
        "source": standard.source,
        "cautions": [{"code": code, "message": messages.text(code)} for code in standard.cautions],
        "dimensions": [_dimension(dimension, standard, messages) for dimension in family.dimensions.values()],
        "looks": [
            {"feature": look.feature, "answers": list(look.answers), "sides": list(look.sides)}
            for look in family.looks.values()
        ],
        "gauge": f"/v1/standards/{standard.key}/gauge" if is_drawn else None,
    }


def _dimension(dimension: Dimension, standard: Standard, messages: Messages) -> Json:
    nominal = standard.nominals.get(dimension.name)
    low, high = dimension.plausible.low, dimension.plausible.high
    return {
        "name": dimension.name,
        "sides": list(dimension.sides),
        "measure": messages.phrase(dimension.measure),
        "plausible": [None if end is None else in_units(end) for end in (low, high)],
        "nominal": None if nominal is None else in_units(nominal.stated),
        "conforming_standard_uncertainty": None
        if nominal is None
        else in_units(nominal.conforming.standard_uncertainty),
        "source": None if nominal is None else nominal.source,
    }
