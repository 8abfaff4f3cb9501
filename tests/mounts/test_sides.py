"""Which side of a position a mount is, where the request does not say."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.sides import side_of
from mountwright.mounts.toml_file import read_standards


@pytest.fixture(scope="module")
def registry(standards_text: Callable[..., str]) -> Registry:
    """Give two families at one position: bar and bell first by key, rail and lamp second."""
    lamps = standards_text("lamp-1", "lamps").replace('["bar", "bell"]', '["rail", "lamp"]')
    lamps = lamps.replace('["bell"]', '["lamp"]').replace(".bar", ".rail").replace(".bell", ".lamp")
    lamps = lamps.replace('"bar.', '"rail.').replace('"bell.', '"lamp.')
    return assembled([read_standards(standards_text(), "bells.toml"), read_standards(lamps, "lamps.toml")])


@pytest.mark.parametrize(
    ("given", "standard", "dimensions", "kind", "expected"),
    [
        ("rail", "bell-22", ["tilt_deg"], "bell", "rail"),
        ("", None, [], "bell", "bell"),
        ("", None, [], "bar", "bar"),
        ("", None, ["tilt_deg"], "", "bell"),
        ("", None, ["tilt_deg", "width_mm"], "gadget", "bell"),
        ("", None, ["width_mm"], "", "bar"),
        ("", None, ["width_mm"], "gadget", "bell"),
        ("", None, [], "", "bar"),
        ("", None, [], "gadget", "bell"),
        ("", None, ["unheard_of_mm"], "gadget", "bell"),
        ("", "lamp-1", [], "", "rail"),
        ("", "lamp-1", [], "gadget", "lamp"),
        ("", "lamp-1", ["tilt_deg"], "", "lamp"),
        ("", "lamp-1", [], "bell", "lamp"),
        ("", "no-such-key", [], "", "bar"),
    ],
    ids=[
        "what was given holds against everything",
        "a part called like the part's side",
        "a part called like the skate's side",
        "only one side has that dimension, even on a skate",
        "only one side has all of the dimensions",
        "both sides have it, on a skate",
        "both sides have it, on a part",
        "nothing said, on a skate",
        "nothing said, on a part",
        "a dimension that nobody knows",
        "the claimed standard's family, on a skate",
        "the claimed standard's family, on a part",
        "the claimed standard's family and its dimension",
        "a kind that is no side of the claimed standard",
        "a standard that nobody knows",
    ],
)
def test_the_side_follows_from_what_is_said(
    registry: Registry, given: str, standard: str | None, dimensions: list[str], kind: str, expected: str
) -> None:
    """A mount's side is what was given, else what its kind, its dimensions and its claim leave."""
    assert expected == side_of("handlebar", given, standard, dimensions, registry, kind)


@pytest.mark.parametrize(("kind", "expected"), [("", "skate"), ("bell", "part")])
def test_a_position_without_standards_has_plain_sides(registry: Registry, kind: str, expected: str) -> None:
    """Where nothing is installed a side is the skate's or the part's."""
    assert expected == side_of("saddle", "", None, [], registry, kind)
