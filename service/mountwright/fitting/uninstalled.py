"""What is said where a standard is claimed that is not installed."""

from __future__ import annotations

from collections.abc import Iterable

from mountwright.fitting.answers import NextStep, StepKind
from mountwright.mounts.installed import not_installed
from mountwright.mounts.mount import Mount
from mountwright.mounts.registry import Registry


def step_to_install(mounts: Iterable[Mount], registry: Registry) -> NextStep | None:
    """Give the step that names the first standard which mounts claim and nobody installed; None where there is none.

    Parameters
    ----------
    mounts : iterable of Mount
    registry : Registry
    """
    for mount in mounts:
        for position, standard in not_installed((mount,), registry):
            params: dict[str, str | float] = {"position": position, "standard": standard}
            return NextStep(StepKind.DESCRIBE, "step.standard_not_installed", mount.side, position, "", params)
    return None
