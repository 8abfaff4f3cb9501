"""A plugin that loads and then fails on every joint."""

from collections.abc import Iterator

from mountwright.plugin import Check, Joint, StandardSet, hookimpl, standards_of


def hook_is_wide_enough(joint: Joint) -> Iterator[Check]:
    """Raise, as a rule does whose author forgot that a figure may be missing."""
    width = joint.part.figures["hook_width_mm"]
    yield Check("never", width, width, "mm", "invented")


@hookimpl
def mountwright_standards() -> StandardSet:
    """Give a standard whose rule raises."""
    return standards_of(__name__, own_rules=(hook_is_wide_enough,))
