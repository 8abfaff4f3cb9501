"""What a plugin may implement. Hooks are called once, at start-up; a request never calls one."""

from __future__ import annotations

import pluggy

from mountwright.mounts.standard import StandardSet

PROJECT = "mountwright"

hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@hookspec(firstresult=True)
def mountwright_standards() -> StandardSet | tuple[StandardSet, ...]:  # type: ignore[empty-body]  # a specification
    """Give the plugin's standards, conversions and messages, one set a family; called once, at start-up."""
