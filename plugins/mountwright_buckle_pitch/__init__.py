"""Buckles on the shell: the anchor on its two holes, the receiver on its single bolt, and the ladder between."""

from mountwright.plugin import StandardSet, hookimpl, standards_of
from mountwright_buckle_pitch.rules import ladder_enters


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give the strap pitches."""
    return standards_of(__name__, own_rules=(ladder_enters,))
