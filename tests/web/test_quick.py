"""The short way and marshmallow's way give the same parts."""

from __future__ import annotations

import copy
from dataclasses import asdict
from typing import Any

import pytest
from flask import Flask
from hypothesis import given, settings
from hypothesis import strategies as st
from marshmallow import Schema, ValidationError
from marshmallow.experimental.context import Context

from mountwright.mounts.mount import Part
from mountwright.web.quick import quick_part, quick_skate
from mountwright.web.schemas.mounts import PartSchema, SkateSchema
from mountwright.web.workshop import EXTENSION, Desk, Workshop

Json = dict[str, Any]

FRAME: Json = {
    "kind": "frame",
    "mounts": [
        {
            "position": "frame",
            "standard": "two-bolt-165",
            "claimed_by": "maker",
            "instrument": "caliper",
            "dimensions": {
                "hole_spacing_mm": 165.1,
                "heel_step_mm": {"value": 10, "plus_minus": 0.5},
                "bolt_length_mm": {"value": 14.25, "instrument": "steel_rule"},
            },
            "holes": [
                {"name": "front", "diameter_mm": 6.6, "slot_length_mm": 9.4},
                {"name": "rear", "diameter_mm": 6.6},
            ],
        }
    ],
}
BEARING: Json = {
    "kind": "bearing",
    "mounts": [
        {"position": "hub", "standard": "hub-608", "claimed_by": "bench"},
        {"position": "axle", "standard": "axle-8", "claimed_by": "seller", "dimensions": {}},
    ],
}


@pytest.fixture(scope="module")
def workshop(app: Flask) -> Workshop:
    """Give the workshop of the application."""
    found: Workshop = app.extensions[EXTENSION]
    return found


def slow(data: Json, schema: Schema, workshop: Workshop) -> Part | None:
    """Read a part through marshmallow; None where it is refused."""
    try:
        with Context(Desk(workshop)):
            found: Part = schema.load(data)
            return found
    except ValidationError:
        return None


def same(one: Part | None, other: Part | None) -> bool:
    """Tell whether two ways of reading came to the same."""
    return (one and asdict(one)) == (other and asdict(other))


@pytest.mark.parametrize("data", [FRAME, BEARING], ids=["frame", "bearing"])
def test_a_well_formed_part_takes_the_short_way(workshop: Workshop, data: Json) -> None:
    """What a webshop sends is read without a schema object, and read alike."""
    quick = quick_part(data, workshop.registry)

    assert quick is not None
    assert same(slow(data, PartSchema(), workshop), quick)


def test_a_well_formed_skate_takes_the_short_way(workshop: Workshop) -> None:
    """So does the skate, whose sides are the usual ones of a skate."""
    data = {"mounts": FRAME["mounts"]}
    quick = quick_skate(data, workshop.registry)

    assert quick is not None
    assert same(slow(data, SkateSchema(), workshop), quick)


def test_a_reading_with_a_check_bar_goes_the_long_way(workshop: Workshop) -> None:
    """Only one way corrects it, so that no two can differ; the part that it gives has the true length."""
    data = copy.deepcopy(FRAME)
    data["mounts"][0]["dimensions"]["hole_spacing_mm"] = {
        "value": 170.1,
        "instrument": "printed_gauge",
        "check_bar_mm": 83.03,
    }
    found = slow(data, PartSchema(), workshop)

    assert quick_part(data, workshop.registry) is None
    assert found is not None
    assert 164_993 == found.mounts[0].patterns[0].figures["hole_spacing_mm"].value  # type: ignore[union-attr]  # a reading


_VALUES = st.one_of(
    st.sampled_from(
        [
            None, True, 0, -1, 1e9, 165, 165.0005, 6.6, "6.6", "", "x" * 61, "frame", "hub", "boot", "maker", "caliper",
            "maker_drawing", "two-bolt-195", "riveted", [], {}, [{}], {"value": 165.0005, "plus_minus": 0.0004},
            {"value": 165}, {"value": 165, "instrument": "protractor"}, {"from": 160, "to": 170},
            {"hole_spacing_mm": 165.0}, {"axis_deg": 3}, {"hole_spacing_mm": 1e300},
            {"value": 165, "instrument": "printed_gauge", "check_bar_mm": 84.9}, {"value": 165, "check_bar_mm": 84.9},
            [{"name": "front", "diameter_mm": 6.6, "slot_length_mm": 5}],
            [{"name": "a", "diameter_mm": 6.6, "along_mm": 3}], [FRAME["mounts"][0]] * 2,
        ]
    ),
    st.floats(-300, 300),
    st.text(max_size=5),
)  # fmt: skip


def _places(value: Any, here: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [here, *(place for key, entry in below for place in _places(entry, (*here, key)))]


@st.composite
def _nearly_right(draw: st.DrawFn) -> Json:
    """Give a good part in which up to two places were changed, added or taken away."""
    data = copy.deepcopy(draw(st.sampled_from([FRAME, BEARING])))
    for _ in range(draw(st.integers(0, 2))):
        place = draw(st.sampled_from([place for place in _places(data) if place]))
        owner = data
        for step in place[:-1]:
            owner = owner[step]
        act = draw(st.sampled_from(["change", "remove", "add"]))
        if act == "remove":
            del owner[place[-1]]
        elif act == "add" and isinstance(owner, dict):
            added = draw(st.sampled_from(["name", "side", "seen", "damage", "extra", "patterns", "drawing_id"]))
            owner[added] = copy.deepcopy(draw(_VALUES))
        else:
            owner[place[-1]] = copy.deepcopy(draw(_VALUES))
    return data


@given(data=_nearly_right())
@settings(deadline=None, max_examples=600)
def test_what_the_short_way_takes_it_reads_as_marshmallow_does(workshop: Workshop, data: Json) -> None:
    """It may leave anything to marshmallow, but never reads otherwise, and never takes what marshmallow refuses."""
    quick = quick_part(data, workshop.registry)

    assert quick is None or same(slow(data, PartSchema(), workshop), quick)
