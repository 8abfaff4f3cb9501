"""Two bolts under the sole: the spacings that frames are sold by, and the riveted mount that is none of them."""

from mountwright.plugin import StandardSet, hookimpl, standards_of


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give the frame spacings."""
    return standards_of(__name__)
