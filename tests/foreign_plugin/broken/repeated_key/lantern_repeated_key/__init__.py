"""A plugin that calls its standard what another one is called already."""

from mountwright.plugin import StandardSet, hookimpl, standards_of


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give a standard under a key that is taken."""
    return standards_of(__name__)
