"""A mount in the plain words of an index: who claims what, and between which ends its figures lie."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.fitting.narrowing import (
    PLACED,
    UNSETTLED,
    Chance,
    Claim,
    Reach,
    Span,
    claims_of,
    has_a_chance,
    spans_of,
)
from mountwright.measure.quantity import Adjustable, Quantity
from mountwright.mounts.holes import Hole
from mountwright.mounts.mount import Claimant, Mount, Pattern

SPACING = "hole_spacing_mm"
MARK = (Span(UNSETTLED, 0, 0),)


def mount(*patterns: Pattern) -> Mount:
    """Give a frame's mount."""
    return Mount("frame", "frame", patterns)


def read(value_um: int, doubt_um: float = 0.0, name: str = "", holes: tuple[Hole, ...] = ()) -> Pattern:
    """Give a pattern of one spacing."""
    return Pattern(name, figures={SPACING: Quantity(value_um, doubt_um, "caliper")}, holes=holes)


def pair(
    diameter_um: int = 3000, slot_um: int = 0, apart_um: int | None = None, across_um: int = 0, tapped: bool = False
) -> tuple[Hole, ...]:
    """Give two holes, the rear one round and just wide enough for the thinnest bolt."""
    rear = Hole("rear", None if apart_um is None else 0, 0, 3000)
    return Hole("front", apart_um, across_um, diameter_um, slot_um, tapped=tapped), rear


class TestSpans:
    """The spans of a mount ..."""

    def test_reach_six_standard_uncertainties_to_either_side(self) -> None:
        """... hold the true value of a reading as surely as anything is said here."""
        assert (Span(SPACING, 164_400, 165_600),) == spans_of(mount(read(165_000, 100)))

    def test_of_what_can_be_set_are_its_range(self) -> None:
        """... of a plate go from end to end, for it will be set."""
        plate = Pattern(figures={SPACING: Adjustable(160_000, 200_000, 5000, "teeth")})

        assert (Span(SPACING, 160_000, 200_000),) == spans_of(mount(plate))

    def test_hold_every_alternative(self) -> None:
        """... of two sets of holes go from the one to the other."""
        assert (Span(SPACING, 165_000, 195_000),) == spans_of(mount(read(165_000, name="a"), read(195_000, name="b")))

    def test_leave_out_what_one_alternative_does_not_say(self) -> None:
        """... say nothing of a dimension that one of the alternatives has no figure for."""
        assert MARK == spans_of(mount(read(165_000, name="a"), Pattern("b", "two-bolt-195", Claimant.MAKER)))

    @pytest.mark.parametrize(
        ("holes", "more_um"),
        [
            (pair(), 0),
            (pair(6600), 1800),
            (pair(6600, 11_000), 4000),
            (pair(6000, tapped=True), 0),
            (pair(across_um=-700), 700),
        ],
        ids=["just wide enough", "round", "slot", "tapped", "askew"],
    )
    def test_are_widened_by_what_the_holes_leave(self, holes: tuple[Hole, ...], more_um: int) -> None:
        """... go as far to either side as a thin bolt can move, and as holes that lie askew seem apart."""
        assert (Span(SPACING, 165_000 - more_um, 165_000 + more_um),) == spans_of(mount(read(165_000, holes=holes)))

    def test_of_holes_in_their_places_go_by_those(self) -> None:
        """... of two holes with places are the distance between them, along the skate and as the crow flies."""
        found = spans_of(mount(Pattern(holes=pair(apart_um=40_000, across_um=30_000))))

        assert (Span(PLACED, 10_000, 80_000),) == found

    def test_of_angles_are_not_widened_by_holes(self) -> None:
        """... of an angle know of no play."""
        tilt = Pattern(figures={"axis_deg": Quantity(3000, 0.0, "maker_drawing")}, holes=pair(9000))

        assert (Span("axis_deg", 3000, 3000),) == spans_of(mount(tilt))

    @pytest.mark.parametrize("count", [1, 3, 4])
    def test_of_other_than_two_holes_say_nothing(self, count: int) -> None:
        """... of a single hole, or of many, are none: no one distance places them."""
        holes = tuple(Hole(str(number), None, 0, 6600) for number in range(count))

        assert MARK == spans_of(mount(read(165_000, holes=holes)))

    def test_of_one_alternative_by_places_and_another_by_a_figure_say_nothing(self) -> None:
        """... cannot be laid together where one pattern's holes have places and another's have none."""
        placed = read(165_000, name="a", holes=pair(apart_um=165_000))

        assert MARK == spans_of(mount(placed, read(165_000, name="b")))

    def test_of_a_bare_claim_are_none(self) -> None:
        """... of which no more is known than a claim, and holes as holes usually are, are not even marked."""
        bare = Pattern("a", "two-bolt-165", Claimant.MAKER)
        usual = Pattern("b", "two-bolt-165", Claimant.MAKER, holes=pair(6600, 11_000))

        assert () == spans_of(mount(bare, usual))

    @pytest.mark.parametrize(
        "pattern",
        [
            Pattern(seen={"heel": "raised"}),
            Pattern(holes=pair(6600, 13_000)),
            Pattern(holes=pair(across_um=3000)),
            Pattern(holes=(Hole("front", None, 0, 6600, 9000, 30.0), Hole("rear", None, 0, 6600))),
        ],
        ids=["a look", "a long slot", "holes askew", "a slot askew"],
    )
    def test_mark_what_may_unsettle_a_claim(self, pattern: Pattern) -> None:
        """... mark where more than a claim is known and no figure tells it."""
        assert MARK == spans_of(mount(pattern))

    @given(value_um=st.integers(1, 500_000), doubt_um=st.floats(0, 1000), slot_um=st.integers(6600, 40_000))
    def test_are_whole_and_hold_the_reading(self, value_um: int, doubt_um: float, slot_um: int) -> None:
        """... have whole ends on both sides of the reading, the farther apart the longer a slot."""
        ((_, low, high),) = spans_of(mount(read(value_um, doubt_um, holes=pair(6600, slot_um))))

        assert low <= value_um <= high
        assert high - low >= 12 * doubt_um + (slot_um - 6600) - 1e-6
        assert (low, high) == (math.floor(low), math.floor(high))


def test_claims_are_told_pattern_by_pattern() -> None:
    """Where nobody claims anything, both words are empty."""
    patterns = Pattern("a", "two-bolt-165", Claimant.MAKER), Pattern("b")

    assert (Claim("two-bolt-165", "maker"), Claim("", "")) == claims_of(mount(*patterns))


CHANCE = Chance(
    everything=False,
    unwanted=frozenset(("two-bolt-195", "flat-167")),
    claimants=frozenset(("bench", "maker")),
    reaches=(
        Reach((SPACING, PLACED), ((160_000, 162_000), (164_000, 170_000))),
        Reach(("heel_step_mm",), ((5000, 15_000),)),
    ),
)
NOBODY, MAKER, OTHER = Claim("", ""), Claim("two-bolt-195", "maker"), Claim("flat-167", "bench")

IN: dict[str, tuple[tuple[Claim, ...], tuple[Span, ...]]] = {
    "nothing is known": ((NOBODY,), ()),
    "nothing at all": ((), ()),
    "a wanted standard, whatever was measured": ((Claim("two-bolt-165", "maker"),), (Span(SPACING, 195_000, 195_000),)),
    "a standard that nobody installed": ((Claim("three-bolt-180", "bench"),), ()),
    "an unwanted standard by who is not relied on": ((Claim("two-bolt-195", "customer"),), ()),
    "an unwanted standard, measured as a wanted one": ((MAKER,), (Span(SPACING, 164_900, 165_100),)),
    "an unwanted standard with a look": ((MAKER,), MARK),
    "an unwanted standard with any figure": ((MAKER,), (Span("bolt_diameter_mm", 6000, 6000),)),
    "one of two alternatives": ((MAKER, Claim("two-bolt-165", "seller")), ()),
    "a figure on the end of a range": ((NOBODY,), (Span(SPACING, 170_000, 171_000),)),
    "a figure on the other end": ((NOBODY,), (Span(SPACING, 150_000, 160_000),)),
    "a figure out and the holes' places in": (
        (NOBODY,),
        (Span(SPACING, 195_000, 195_000), Span(PLACED, 165_000, 165_000)),
    ),
    "a figure that no reach tells": ((NOBODY,), (Span("bolt_length_mm", 1, 1),)),
}
OUT: dict[str, tuple[tuple[Claim, ...], tuple[Span, ...]]] = {
    "an unwanted standard": ((MAKER,), ()),
    "two unwanted alternatives": ((MAKER, OTHER), ()),
    "a figure beyond": ((NOBODY,), (Span(SPACING, 170_001, 172_000),)),
    "a figure between two ranges": ((NOBODY,), (Span(SPACING, 162_001, 163_999),)),
    "holes placed beyond": ((NOBODY,), (Span(PLACED, 195_000, 195_000),)),
    "one figure beyond and another within": (
        (NOBODY,),
        (Span(SPACING, 165_000, 165_000), Span("heel_step_mm", 0, 100)),
    ),
    "an unwanted standard by anybody, measured beyond": (
        (Claim("two-bolt-195", "customer"),),
        (Span(SPACING, 195_000, 195_000),),
    ),
}


@pytest.mark.parametrize(("claims", "spans"), IN.values(), ids=IN.keys())
def test_what_may_go_on_has_a_chance(claims: tuple[Claim, ...], spans: tuple[Span, ...]) -> None:
    """Who may be right, and what may be within reach, is judged in full."""
    assert has_a_chance(claims, spans, CHANCE)


@pytest.mark.parametrize(("claims", "spans"), OUT.values(), ids=OUT.keys())
def test_what_cannot_go_on_has_none(claims: tuple[Claim, ...], spans: tuple[Span, ...]) -> None:
    """A claim that is relied on, or a figure beyond reach, is enough to leave a mount out."""
    assert not has_a_chance(claims, spans, CHANCE)


@pytest.mark.parametrize(("claims", "spans"), OUT.values(), ids=OUT.keys())
def test_beside_what_is_not_known_everything_has_a_chance(claims: tuple[Claim, ...], spans: tuple[Span, ...]) -> None:
    """A skate of which too little is known rules nothing out."""
    assert has_a_chance(claims, spans, Chance())
