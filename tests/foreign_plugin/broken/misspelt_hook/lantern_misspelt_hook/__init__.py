"""A plugin whose author left a letter out of the hook's name."""

from mountwright.plugin import StandardSet, hookimpl, standards_of


@hookimpl
def mountwright_standard() -> StandardSet:
    """Give a rail that never arrives."""
    return standards_of(__name__)
