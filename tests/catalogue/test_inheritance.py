"""What a skate is judged by: its own mounts, its family's where it has none, and those of the parts it comes with."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Report
from mountwright.catalogue.reading import articles_of

Json = dict[str, Any]
Judged = Callable[[str], Sequence[tuple[str, Json]]]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
STRAP: Json = {"position": "strap_cuff", "standard": "strap-pitch-15", "claimed_by": "maker"}
SKATE: Json = {"sku": "grow", "kind": "skate", "name": "Grow", "family": "grow", "eu_size_from": 30, "eu_size_to": 34}


@pytest.fixture
def judged(engines: Engines) -> Judged:
    """Give a way to read by which mounts an article is judged, each with the kind of what it belongs to."""

    def read(sku: str) -> Sequence[tuple[str, Json]]:
        with engines.reading() as connection:
            return articles_of(connection, [sku])[sku].signature.owned

    return read


def family(standard: str, **more: Any) -> Json:
    """Give a family with one mount."""
    return {"kind": "family", "family": "grow", "mounts": [{**MOUNT, "standard": standard}], **more}


def test_a_skate_inherits_from_the_span_that_covers_it(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """By sizes and years."""
    bring_in(file(family("two-bolt-150", eu_size_to=34), family("two-bolt-165", eu_size_from=35), SKATE))

    assert ["two-bolt-150"] == [mount["standard"] for _, mount in judged("grow")]


def test_what_the_family_lacks_comes_from_its_parent(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """Position by position, the nearer first."""
    parent = {"kind": "family", "family": "old", "mounts": [{**MOUNT, "standard": "riveted"}, STRAP]}
    bring_in(file(parent, family("two-bolt-150", parent="old"), SKATE))

    assert ["two-bolt-150", "strap-pitch-15"] == [mount["standard"] for _, mount in judged("grow")]


def test_a_measured_figure_overrides_and_the_rest_is_inherited(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """Figure by figure, each with the instrument that it was taken with."""
    heel, spacing = {"value": 10, "plus_minus": 0.5}, {"value": 149.8, "instrument": "caliper"}
    whole = {**MOUNT, "standard": "two-bolt-150", "dimensions": {"heel_step_mm": heel, "hole_spacing_mm": 150}}
    own = {"position": "frame", "dimensions": {"hole_spacing_mm": spacing}}
    span = {"kind": "family", "family": "grow", "mounts": [{**whole, "instrument": "maker_drawing"}]}
    report = bring_in(file(span, {**SKATE, "mounts": [own]}))
    ((_, mount),) = judged("grow")

    assert report.is_good
    assert ("two-bolt-150", spacing, heel) == (
        mount["standard"],
        mount["dimensions"]["hole_spacing_mm"],
        mount["dimensions"]["heel_step_mm"],
    )


def test_a_check_bar_keeps_its_instrument(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """A reading with a doubt of its own leans on its mount's instrument still, where a bar was measured with it."""
    read = {"value": 151.2, "plus_minus": 0.3, "check_bar_mm": 84.9}
    far = {**MOUNT, "standard": "two-bolt-150", "dimensions": {"hole_spacing_mm": read}, "instrument": "printed_gauge"}
    own = {"position": "frame", "instrument": "caliper", "dimensions": {"heel_step_mm": 5}}
    report = bring_in(file({"kind": "family", "family": "grow", "mounts": [far]}, {**SKATE, "mounts": [own]}))
    ((_, mount),) = judged("grow")

    assert report.is_good
    assert {**read, "instrument": "printed_gauge"} == mount["dimensions"]["hole_spacing_mm"]


def test_a_change_of_the_family_reaches_its_skates(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """Also when only the family is in the file."""
    bring_in(file(family("two-bolt-150"), SKATE))
    bring_in(file(family("two-bolt-165")))

    assert ["two-bolt-165"] == [mount["standard"] for _, mount in judged("grow")]


def test_a_change_of_a_part_reaches_the_skates_that_come_with_it(
    bring_in: Callable[..., Report], file: Callable[..., Path], judged: Judged
) -> None:
    """The mounts of its parts are a skate's own."""
    hub = {"position": "hub", "standard": "hub-608", "claimed_by": "maker"}
    wheel = {"sku": "wheel-1", "kind": "wheel", "name": "Bell", "mounts": [hub]}
    skate = {"sku": "grow", "kind": "skate", "comes_with": [{"sku": "wheel-1", "count": 8}]}
    bring_in(file(wheel, skate))
    before = list(judged("grow"))
    bring_in(file({**wheel, "mounts": [{**hub, "standard": "hub-688"}]}))

    assert [("wheel", "hub-608")] == [(kind, mount["standard"]) for kind, mount in before]
    assert [("wheel", "hub-688")] == [(kind, mount["standard"]) for kind, mount in judged("grow")]


def test_articles_with_the_same_mounts_are_judged_once(
    bring_in: Callable[..., Report], file: Callable[..., Path], engines: Engines
) -> None:
    """Colour, price and source do not count."""
    frame = {"sku": "a", "kind": "frame", "name": "A", "mounts": [MOUNT]}
    bring_in(file(frame, {**frame, "sku": "b", "colour": "red", "mounts": [{**MOUNT, "source": "a sheet"}]}))
    with engines.reading() as connection:
        found = articles_of(connection, ["a", "b"])

    assert found["a"].signature == found["b"].signature
