"""Lanterns that clip to the cuff: one standard, one declared rule and one of its own."""

from lantern_mounts.teeth import teeth_meet_notches
from mountwright.plugin import StandardSet, hookimpl, standards_of


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give the lamp rail."""
    return standards_of(__name__, own_rules=(teeth_meet_notches,))
