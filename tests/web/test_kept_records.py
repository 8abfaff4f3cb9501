"""What the catalogue keeps though no installed standard can read it, and what it still refuses."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Mount
from mountwright.mounts.registry import Registry
from mountwright.web.reading import mount_read

Json = dict[str, Any]
Read = Callable[[Json], tuple[Mount, Json]]

#: A mount whose plugin may be there or not; its bolt pattern is the plugin's own to read.
FLANK: Json = {
    "position": "frame",
    "standard": "side-bolts-measured",
    "claimed_by": "maker",
    "instrument": "caliper",
    "dimensions": {"axis_deg": {"value": 3, "plus_minus": 1}, "hole_spacing_mm": 165.1},
    "seen": {"plane": "flank", "fastening": "bolts"},
}


@pytest.fixture(scope="module")
def whole() -> Registry:
    """Give all standards in the box."""
    return discovered()


@pytest.fixture(scope="module")
def lacking() -> Registry:
    """Give the standards in the box without those at the side of the sole, and without buckles."""
    return discovered(blocked=("side_mount", "buckle_pitch"))


@pytest.fixture(scope="module")
def read(lacking: Registry) -> Read:
    """Give a way to read a mount of the catalogue where two plugins are missing."""
    return lambda data: mount_read(data, lacking, kept=True)


def test_a_standard_that_is_not_installed_is_kept_with_who_claims_it(read: Read) -> None:
    """The claim stays as it is; what only the missing plugin can read is left out."""
    mount, faults = read(FLANK)
    (pattern,) = mount.patterns

    assert {} == faults
    assert ("side-bolts-measured", "maker") == (pattern.standard, pattern.claimed_by)
    assert ({"hole_spacing_mm"}, {"fastening"}) == (set(pattern.figures), set(pattern.seen))


def test_the_same_mount_is_read_whole_once_its_plugin_is_there(whole: Registry) -> None:
    """Nothing was lost: the same document gives every figure and every look."""
    mount, faults = mount_read(FLANK, whole, kept=True)

    assert {} == faults
    assert FLANK["dimensions"].keys() == mount.patterns[0].figures.keys()
    assert FLANK["seen"] == mount.patterns[0].seen


def test_a_request_is_refused_what_the_catalogue_keeps(lacking: Registry) -> None:
    """Who asks about a standard that is not installed is told so at once."""
    _, faults = mount_read(FLANK, lacking)

    assert {"standard", "dimensions", "seen"} == set(faults)


KEPT: dict[str, Json] = {
    "a position that nothing serves": {
        "position": "toe_loop",
        "dimensions": {"loop_width_mm": 12},
        "instrument": "caliper",
    },
    "a standard at a position that nothing serves": {
        "position": "toe_loop",
        "standard": "loop-12",
        "claimed_by": "bench",
    },
    "a position whose plugin is missing": {
        "position": "strap_instep",
        "standard": "strap-pitch-15",
        "claimed_by": "seller",
        "seen": {"piece": "anchor"},
    },
    "a side that only the missing plugin knows": {**FLANK, "side": "flank_plate"},
    "an answer that only the missing plugin knows": {**FLANK, "seen": {"heel": "sloped"}},
    "a figure that only the missing plugin finds plausible": {**FLANK, "dimensions": {"hole_spacing_mm": 90}},
    "what a neighbour that can be read shares": {
        **FLANK,
        "patterns": [{"name": "flank"}, {"name": "sole", "standard": "two-bolt-165", "claimed_by": "maker"}],
    },
}


@pytest.mark.parametrize("data", KEPT.values(), ids=KEPT.keys())
def test_what_a_missing_plugin_may_know_is_no_fault(read: Read, data: Json) -> None:
    """Whatever an installed standard cannot speak against is kept."""
    assert {} == read(data)[1]


BOLTS: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker", "instrument": "caliper"}

REFUSED: dict[str, tuple[Json, str]] = {
    "a misspelt dimension of a known standard": ({**BOLTS, "dimensions": {"hole_spacng_mm": 165}}, "dimensions"),
    "a misspelt look of a known standard": ({**BOLTS, "seen": {"heels": "raised"}}, "seen"),
    "an implausible figure of a known standard": ({**BOLTS, "dimensions": {"hole_spacing_mm": 1650}}, "dimensions"),
    "a side that a known standard has not": ({**BOLTS, "side": "bootleg"}, "side"),
    "a misspelt dimension where nothing is claimed": (
        {"position": "frame", "instrument": "caliper", "dimensions": {"hole_spacng_mm": 165}},
        "dimensions",
    ),
    "a known standard where it does not serve": ({**BOLTS, "position": "hub"}, "standard"),
    "a known standard at a misspelt position": ({**BOLTS, "position": "fraem"}, "standard"),
    "a name in place of the key": ({**BOLTS, "standard": "UFS"}, "standard"),
    "a claim by nobody": ({"position": "frame", "standard": "three-bolt-180"}, "claimed_by"),
    "a dimension without a unit": ({**FLANK, "dimensions": {"axis": 3}}, "dimensions"),
    "a dimension in a unit of no plugin": (
        {**FLANK, "dimensions": {"axis_in": {"value": 3, "plus_minus": 1}}},
        "dimensions",
    ),
    "a figure without doubt": (
        {"position": "toe_loop", "standard": "loop-12", "claimed_by": "bench", "dimensions": {"loop_width_mm": 12}},
        "dimensions",
    ),
    "a range the wrong way round": ({**FLANK, "dimensions": {"axis_deg": {"from": 3, "to": 1}}}, "dimensions"),
}


@pytest.mark.parametrize(("data", "field"), REFUSED.values(), ids=REFUSED.keys())
def test_what_no_plugin_could_mend_stays_a_fault(read: Read, data: Json, field: str) -> None:
    """A slip beside a standard that is known, and what is wrong in itself, is told in the catalogue too."""
    assert [field] == list(read(data)[1])


def test_a_neighbours_own_slip_is_told_where_it_stands(read: Read) -> None:
    """An alternative that can be read answers for what it says itself, beside one that cannot."""
    sole = {"name": "sole", "standard": "two-bolt-165", "claimed_by": "maker", "dimensions": {"hole_spacng_mm": 165}}
    _, faults = read({**FLANK, "patterns": [{"name": "flank"}, sole]})

    assert ["hole_spacng_mm"] == list(faults["patterns"][1]["dimensions"])
