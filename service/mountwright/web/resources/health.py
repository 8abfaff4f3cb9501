"""``/healthz`` and ``/readyz``."""

from __future__ import annotations

from typing import Any

from mountwright.web.answers.standard_answers import failure_json
from mountwright.web.blueprint import Resource
from mountwright.web.schemas.health import HealthSchema, ReadinessSchema
from mountwright.web.workshop import workshop

resource = Resource("health", __name__, description="Is the service alive, and what can it answer with?")


@resource.at("/healthz")
@resource.answers(HealthSchema(), "The process answers.")
def health() -> dict[str, Any]:
    """Say that the process answers."""
    return {"status": "ok"}


@resource.at("/readyz")
@resource.answers(ReadinessSchema(), "Ready; plugins that were left out and rules that raised are named.")
def readiness() -> dict[str, Any]:
    """Say what the service can answer with."""
    registry = workshop().registry
    left_out = [failure_json(failure) for failure in registry.failures]
    faults = dict(sorted(registry.faults.items()))
    return {"status": "ready", "standards": len(registry.standards), "left_out": left_out, "plugin_faults": faults}
