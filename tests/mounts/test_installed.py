"""Standards that mounts claim and nobody installed."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mountwright.mounts.installed import Absent, is_installed, judgeable, not_installed
from mountwright.mounts.mount import Claimant, Mount, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.toml_file import read_standards


@pytest.fixture(scope="module")
def registry(standards_text: Callable[..., str]) -> Registry:
    """Give a registry of the made-up bells alone."""
    return assembled([read_standards(standards_text(), "bells.toml")])


def claimed(*standards: str | None, position: str = "handlebar") -> Mount:
    """Give a mount with one pattern for each standard; None for one that claims nothing."""
    patterns = [Pattern(str(number), key, key and Claimant.MAKER) for number, key in enumerate(standards)]  # type: ignore[arg-type]  # no text is empty here
    return Mount(position, "bell", tuple(patterns))


@pytest.mark.parametrize(
    ("standard", "position", "installed"),
    [("bell-22", "handlebar", True), ("bell-22", "saddle", False), ("bell-31", "handlebar", False)],
    ids=["served", "known, but not there", "unknown"],
)
def test_a_standard_is_installed_where_it_serves(
    registry: Registry, standard: str, position: str, installed: bool
) -> None:
    """A key alone is not enough: the standard has to serve the position."""
    assert installed is is_installed(standard, position, registry)


def test_what_is_not_installed_is_named_once_with_its_position(registry: Registry) -> None:
    """Each missing standard is told once a position, in the order in which it was met."""
    mounts = [claimed("bell-31", "bell-22", None), claimed("bell-31"), claimed("bell-9", position="saddle")]

    assert (Absent("handlebar", "bell-31"), Absent("saddle", "bell-9")) == not_installed(mounts, registry)


def test_only_the_alternatives_that_can_be_judged_are_left(registry: Registry) -> None:
    """What claims nothing, or something installed, is judged; the rest waits for its plugin."""
    left = judgeable(claimed("bell-31", "bell-22", None), registry)

    assert left is not None
    assert ["bell-22", None] == [pattern.standard for pattern in left.patterns]


def test_a_mount_of_which_nothing_can_be_judged_is_not_left(registry: Registry) -> None:
    """Where every alternative waits for a plugin, there is no mount to judge."""
    assert judgeable(claimed("bell-31", "bell-9"), registry) is None


def test_a_mount_of_which_all_can_be_judged_is_the_same_one(registry: Registry) -> None:
    """What needs no change is not copied: what is believed of a pattern is kept by its identity."""
    mount = claimed("bell-22", None)

    assert mount is judgeable(mount, registry)
