"""Frames bolted to the side of the sole, compared by measured coordinates or by a drawing that both sides share."""

from mountwright.plugin import StandardSet, hookimpl, standards_of
from mountwright_side_mount.rules import axes_agree


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give the side mount."""
    return standards_of(__name__, own_rules=(axes_agree,))
