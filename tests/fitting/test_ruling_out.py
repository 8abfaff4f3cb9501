"""What is ruled out beside a skate's mount is refused by the full judgement, and enough is ruled out to be of use."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.narrowing import Chance, claims_of, has_a_chance, spans_of
from mountwright.fitting.ruling_out import wanted
from mountwright.fitting.verdict import Verdict
from mountwright.measure.quantity import Adjustable, Quantity
from mountwright.mounts.discovery import discovered
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.standard import StandardSet
from mountwright.mounts.toml_file import read_standards

SPACING, STEP = "hole_spacing_mm", "heel_step_mm"
KEYS = ("two-bolt-165", "two-bolt-195", "two-bolt-150", "flat-167", "riveted", "side-bolts-measured")


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


def claimed(standard: str, by: Claimant = Claimant.MAKER, **more: Any) -> Pattern:
    """Give a pattern that somebody claims to follow a standard."""
    return Pattern(standard=standard, claimed_by=by, **more)


def reading(value_um: int, doubt_um: float = 115.0) -> Quantity:
    """Give a reading, by default a caliper's."""
    return Quantity(value_um, doubt_um, "caliper")


def measured(spacing_um: int, doubt_um: float = 115.0, **more: Any) -> Pattern:
    """Give a pattern of which a spacing was measured."""
    return Pattern(figures={SPACING: reading(spacing_um, doubt_um)}, **more)


def boot(*patterns: Pattern) -> Mount:
    """Give a boot's mount under the sole."""
    return Mount("frame", "boot", patterns)


def frame(*patterns: Pattern) -> Mount:
    """Give a frame's mount under the sole."""
    return Mount("frame", "frame", patterns)


def chance_of(part: Mount, chance: Chance) -> bool:
    """Tell whether a part's mount has a chance, by what an index would say of it."""
    return has_a_chance(claims_of(part), spans_of(part), chance)


def verdict(skate: Mount, part: Mount, registry: Registry) -> Verdict:
    """Give the full judgement."""
    request = FitRequest(Part("", (skate,)), (Part("part", (part,)),))
    return fit_checked(request, registry, estimates()).verdict


@dataclass(frozen=True)
class Place:
    """What mounts at one position may be made of, for drawing them."""

    position: str
    skate_side: str
    part_side: str
    standards: tuple[str, ...]
    lengths_um: Mapping[str, tuple[int, ...]]
    looks: Mapping[str, tuple[str, ...]]
    hole_um: tuple[int, ...]


UNDER_THE_SOLE = Place(
    "frame",
    "boot",
    "frame",
    (*KEYS, "not-installed"),
    {
        SPACING: (150_000, 165_000, 167_000, 195_000, 155_000, 160_000, 163_000, 170_000, 180_000),
        STEP: (0, 10_000, 3000, 7000, 13_000),
        "bolt_diameter_mm": (3000, 5000, 6000, 8000),
    },
    {
        "heel": ("raised", "level"),
        "fastening": ("bolts", "rivets"),
        "plane": ("sole", "flank"),
        "bolt_count": ("two", "four"),
        "thread": ("M5", "M6"),
    },
    (5500, 6000, 6600, 9000, 12_000, 20_000),
)
ON_THE_STRAP = Place(
    "strap_instep",
    "shell",
    "buckle",
    ("strap-pitch-15", "not-installed"),
    {
        "hole_pitch_mm": (10_000, 12_000, 14_000, 15_000, 16_000, 18_000, 20_000),
        "ladder_width_mm": (20_000, 25_000),
        "tooth_pitch_mm": (2000, 3000),
    },
    {"piece": ("anchor", "receiver"), "hand": ("left", "right")},
    (3500, 4000, 4500, 4800, 8000),
)


@st.composite
def figures(draw: st.DrawFn, place: Place) -> dict[str, Quantity | Adjustable]:
    """Draw figures for some dimensions: readings near and far, coarse and exact, and ranges that can be set."""
    found: dict[str, Quantity | Adjustable] = {}
    for name in draw(st.lists(st.sampled_from(sorted(place.lengths_um)), unique=True, max_size=3)):
        about = st.sampled_from(place.lengths_um[name])
        if draw(st.integers(0, 5)):
            off = draw(st.sampled_from((0, 0, 100, -300, 600, -1500)))
            found[name] = reading(draw(about) + off, draw(st.sampled_from((0.0, 29.0, 115.0, 433.0, 2000.0))))
        else:
            low, high = sorted((draw(about), draw(about)))
            found[name] = Adjustable(low, high, draw(st.sampled_from((None, 5000))), "teeth")
    return found


@st.composite
def holes(draw: st.DrawFn, place: Place) -> tuple[Hole, ...]:
    """Draw no holes, two, or another number; with and without places, round and slotted, in line and not."""
    names = draw(st.sampled_from(((), (), ("front", "rear"), ("front", "rear"), ("a", "b"), ("a",), ("a", "b", "c"))))
    placed, apart = draw(st.booleans()), draw(st.sampled_from(next(iter(place.lengths_um.values()))))
    found = []
    for number, name in enumerate(names):
        width = draw(st.sampled_from(place.hole_um))
        tapped, longer = draw(st.booleans()), draw(st.sampled_from((0, 0, 2000, 4400, 15_000)))
        found.append(
            Hole(
                name,
                number * apart if placed else None,
                draw(st.sampled_from((0, 0, 3000, 12_000))),
                width,
                0 if tapped or not longer else width + longer,
                draw(st.sampled_from((0.0, 0.0, 90.0, 30.0))),
                tapped,
                draw(st.sampled_from((0.0, 29.0, 289.0))) if placed else 0.0,
            )
        )
    return tuple(found)


@st.composite
def patterns(draw: st.DrawFn, place: Place, name: str = "") -> Pattern:
    """Draw a pattern: a bare claim as often as one with anything beside it that a caller may say."""
    standard = draw(st.none() | st.sampled_from(place.standards))
    pattern = Pattern(name, standard, draw(st.sampled_from(Claimant)) if standard else None)
    if draw(st.booleans()):
        pattern = replace(pattern, figures=draw(figures(place)))
    if draw(st.booleans()):
        pattern = replace(pattern, holes=draw(holes(place)))
    if draw(st.integers(0, 3)) == 0:
        features = draw(st.lists(st.sampled_from(sorted(place.looks)), unique=True, max_size=3))
        pattern = replace(pattern, seen={name: draw(st.sampled_from(place.looks[name])) for name in features})
    return pattern


@st.composite
def mounts(draw: st.DrawFn, place: Place, side: str) -> Mount:
    """Draw a mount of one pattern, or of two alternatives."""
    names = draw(st.sampled_from((("",), ("",), ("",), ("a", "b"))))
    return Mount(place.position, side, tuple(draw(patterns(place, name)) for name in names))


@st.composite
def questions(draw: st.DrawFn) -> tuple[Mount, list[Mount]]:
    """Draw a skate's mount and a number of parts' mounts at the same position."""
    place = draw(st.sampled_from((UNDER_THE_SOLE, UNDER_THE_SOLE, ON_THE_STRAP)))
    plain = st.builds(claimed, st.sampled_from(place.standards), st.sampled_from(Claimant))
    alone = plain.map(lambda pattern: Mount(place.position, place.skate_side, (pattern,)))
    skate = draw(alone | mounts(place, place.skate_side))
    return skate, draw(st.lists(mounts(place, place.part_side), min_size=4, max_size=12))


@given(question=questions())
@settings(deadline=None, max_examples=120, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_what_has_no_chance_does_not_fit(registry: Registry, question: tuple[Mount, list[Mount]]) -> None:
    """Whatever the index leaves out, the full judgement would have refused: nothing that goes on is ever missed."""
    skate, parts = question
    chance = wanted(skate, registry, estimates())
    left_out = [part for part in parts if not chance_of(part, chance)]

    assert [] == [part for part in left_out if verdict(skate, part, registry) is not Verdict.DOES_NOT_FIT]


@given(spacing_um=st.integers(140_000, 205_000), doubt_um=st.floats(0, 600), slot_um=st.integers(6600, 14_000))
@settings(deadline=None, max_examples=60)
def test_a_spacing_beyond_reach_does_not_fit(
    registry: Registry, spacing_um: int, doubt_um: float, slot_um: int
) -> None:
    """Around the end of the reach, where little would be enough, nothing that might go on is left out."""
    slotted = (Hole("front", None, 0, 6600, slot_um), Hole("rear", None, 0, 6600))
    part, skate = frame(measured(spacing_um, doubt_um, holes=slotted)), boot(claimed("two-bolt-165"))

    assert chance_of(part, wanted(skate, registry, estimates())) or (
        verdict(skate, part, registry) is Verdict.DOES_NOT_FIT
    )


@pytest.fixture(scope="module")
def chance(registry: Registry) -> Callable[..., Chance]:
    """Give a way to ask what has a chance beside a boot."""

    def asked(*patterns: Pattern) -> Chance:
        return wanted(boot(*patterns), registry, estimates())

    return asked


Asked = Callable[..., Chance]

#: What a boot leaves out of the bare claims of makers.
LEFT_OUT = {
    "two-bolt-165": {"two-bolt-150", "two-bolt-195", "flat-167", "riveted"},
    "two-bolt-195": {"two-bolt-150", "flat-167", "riveted"},  # 165 goes on an adapter
    "flat-167": {"two-bolt-150", "two-bolt-165", "two-bolt-195", "riveted"},
    "riveted": {"two-bolt-150", "flat-167"},  # the others after bench work
}


@pytest.mark.parametrize(("standard", "left_out"), LEFT_OUT.items())
def test_frames_of_other_standards_are_left_out_by_their_claims(
    chance: Asked, standard: str, left_out: set[str]
) -> None:
    """Of frames known by a maker's claim alone, those are judged that may go on, as they are or by a conversion."""
    asked = chance(claimed(standard))

    assert left_out == {key for key in KEYS if not chance_of(frame(claimed(key)), asked)}


@pytest.mark.parametrize(
    ("boot_um", "in_um", "out_um"),
    [
        (165_000, (161_000, 165_000, 169_500), (150_000, 155_000, 175_000, 195_000)),
        (195_000, (163_000, 165_000, 167_000, 191_000, 195_000), (150_000, 160_000, 175_000, 180_000, 186_000)),
    ],
    ids=["165", "195, with the adapter for 165"],
)
def test_frames_are_left_out_by_their_spacing(
    chance: Asked, boot_um: int, in_um: tuple[int, ...], out_um: tuple[int, ...]
) -> None:
    """Of frames that were measured and not named, those within reach of the boot or of an adapter go into judgement."""
    asked = chance(claimed(f"two-bolt-{boot_um // 1000}"))

    assert [True] * len(in_um) == [chance_of(frame(measured(um)), asked) for um in in_um]
    assert [False] * len(out_um) == [chance_of(frame(measured(um)), asked) for um in out_um]


def test_a_customers_word_leaves_nothing_out(chance: Asked) -> None:
    """Who is wrong one time in ten is not relied on for a part, and a boot by his word rules nothing out."""
    by_customer = claimed("two-bolt-195", Claimant.CUSTOMER)

    assert chance_of(frame(by_customer), chance(claimed("two-bolt-165")))
    assert not chance_of(frame(claimed("two-bolt-195", Claimant.SELLER)), chance(claimed("two-bolt-165")))
    assert () == chance(claimed("two-bolt-165", Claimant.CUSTOMER)).reaches


def test_a_boot_that_was_measured_narrows_like_one_that_is_named(chance: Asked) -> None:
    """Nobody needs to name a boot whose spacing and heel were read."""
    asked = chance(Pattern(figures={SPACING: reading(165_000), STEP: reading(10_000)}))

    assert not chance_of(frame(claimed("two-bolt-195")), asked)
    assert not chance_of(frame(measured(180_000)), asked)
    assert chance_of(frame(claimed("two-bolt-165")), asked)


def test_a_boot_with_two_sets_of_holes_takes_what_either_takes(chance: Asked) -> None:
    """What one of the alternatives leaves out may go on the other."""
    asked = chance(claimed("two-bolt-165", name="a"), claimed("two-bolt-195", name="b"))

    assert [True, True, False] == [chance_of(frame(measured(um)), asked) for um in (165_000, 195_000, 180_000)]


def test_a_boots_slots_widen_its_reach(chance: Asked) -> None:
    """What a slot of the boot takes up is not held against a frame."""
    slotted = (Hole("front", None, 0, 6600, 26_600), Hole("rear", None, 0, 6000, tapped=True))
    part = frame(measured(155_000))

    assert not chance_of(part, chance(claimed("two-bolt-165")))
    assert chance_of(part, chance(claimed("two-bolt-165", holes=slotted)))


PLACED_PAIR = tuple(Hole(name, along, 0, 6000, tapped=True) for name, along in (("front", 165_000), ("rear", 0)))
PLATE = Pattern(figures={SPACING: Adjustable(180_000, 200_000, None, "teeth")})

#: Boots, and frames that only look beyond their reach.
NOT_BEYOND: dict[str, tuple[Pattern, Pattern]] = {
    "a plate that is set by a figure which the boot has not": (Pattern(holes=PLACED_PAIR), PLATE),
    "a boot that has not two holes": (
        claimed("two-bolt-165", holes=(*PLACED_PAIR, Hole("middle", 80_000, 0, 6000, tapped=True))),
        measured(180_000),
    ),
    "a boot whose holes' places say otherwise than its figure": (
        measured(150_000, holes=PLACED_PAIR),
        measured(165_000),
    ),
    "a boot that only usual holes make up for": (
        measured(161_500, 29),
        claimed("two-bolt-165", holes=tuple(Hole(name, None, 0, 10_000) for name in ("front", "rear"))),
    ),
}


@pytest.mark.parametrize(("pattern", "part"), NOT_BEYOND.values(), ids=NOT_BEYOND.keys())
def test_what_only_looks_beyond_reach_is_not_ruled_out(
    chance: Asked, registry: Registry, pattern: Pattern, part: Pattern
) -> None:
    """Where the full judgement does not refuse, the index does not either."""
    assert Verdict.DOES_NOT_FIT is not verdict(boot(pattern), frame(part), registry)
    assert chance_of(frame(part), chance(pattern))


#: Boots of which too little is known, or that are what a part makes of them.
NOT_KNOWN: dict[str, Pattern] = {
    "nothing": Pattern(),
    "a standard that is not installed": claimed("three-bolt-180"),
    "a plate that can be set": claimed("two-bolt-165", figures={SPACING: Adjustable(160_000, 200_000, None, "teeth")}),
}


@pytest.mark.parametrize("pattern", NOT_KNOWN.values(), ids=NOT_KNOWN.keys())
def test_a_boot_that_is_not_known_rules_nothing_out(chance: Asked, pattern: Pattern) -> None:
    """Where the boot might be anything, every frame is judged."""
    assert Chance() == chance(pattern)


def test_where_no_reach_is_declared_nothing_is_ruled_out(registry: Registry) -> None:
    """Hubs declare none: their seats are told by other figures than the bearings' that go in."""
    hub = Mount("hub", "wheel", (claimed("hub-608"),))

    assert Chance() == wanted(hub, registry, estimates())


def test_at_a_position_that_nothing_serves_nothing_is_ruled_out(registry: Registry) -> None:
    """Without a standard there is nothing to judge by."""
    assert Chance() == wanted(Mount("toe_loop", "boot", (Pattern(),)), registry, estimates())


#: A frame standard of a shop's own, beside those in the box.
OWN = """
requires_api = "1.0"
family = "clip"
positions = ["frame"]
sides = ["boot", "frame"]

[dimensions.hole_spacing_mm]
plausible = [120, 220]
measure = "Between the clips."

[dimensions.clip_width_mm]
plausible = [1, 50]
measure = "Across the clip."

[[standards]]
key = "clip-20"
title = "A clip"
mark = "A clip."
source = "common practice"
{without}

[standards.dimensions.clip_width_mm]
nominal = 20
conforming = 0.2
source = "common practice"
"""


@pytest.mark.parametrize(
    ("without", "left_out"), [("", False), ('without = ["hole_spacing_mm"]', True)], ids=["may have it", "has it not"]
)
def test_a_figure_rules_out_only_where_no_other_family_may_have_it(
    registry: Registry, without: str, left_out: bool
) -> None:
    """A spacing of 180 mm may belong to a mount whose own rules do not ask for the spacing."""
    own = read_standards(OWN.format(without=without), "clip.toml")
    families = {standard.family.name: standard.family for standard in registry.at("frame")}
    sets = [_set_of(registry, name) for name in families]
    asked = wanted(boot(claimed("two-bolt-165")), assembled([*sets, own]), estimates())

    assert left_out is not chance_of(frame(measured(180_000)), asked)
    assert chance_of(frame(claimed("clip-20")), asked)


def _set_of(registry: Registry, family: str) -> StandardSet:
    standards = tuple(standard for standard in registry.at("frame") if standard.family.name == family)
    ways = tuple(way for way in registry.conversions if way.from_standard in {each.key for each in standards})
    return StandardSet(standards[0].family, standards, ways, {}, family)
