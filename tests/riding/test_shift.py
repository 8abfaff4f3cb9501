"""How far slots and holes let a frame be shifted under its boot."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidQuantityError, PatternError
from mountwright.fitting.answers import StepKind
from mountwright.mounts.bolts import bolts_pass
from mountwright.mounts.holes import Hole
from mountwright.riding.shift import Range, Shift, slot_shift

M6 = 6_000


def tapped(name: str, along_um: int, across_um: int = 0) -> Hole:
    """Give a tapped hole for an M6 bolt."""
    return Hole(name, along_um, across_um, M6, tapped=True)


def drilled(name: str, along_um: int, across_um: int = 0, diameter_um: int = 6_600) -> Hole:
    """Give a round hole."""
    return Hole(name, along_um, across_um, diameter_um)


def slot(name: str, along_um: int, length_um: int, direction_deg: float = 0.0, across_um: int = 0) -> Hole:
    """Give a slot of 6.6 mm."""
    return Hole(name, along_um, across_um, 6_600, length_um, direction_deg)


BOOT = (tapped("front", 82_500), tapped("rear", -82_500))


class TestShift:
    """The shift of a frame ..."""

    def test_along_slots_goes_to_their_ends(self) -> None:
        """... is 5 mm of slot and 0.3 mm of play either way along, and the play across, for slots 16.6 long."""
        frame = (slot("front", 82_500, 16_600), slot("rear", -82_500, 16_600))

        assert Shift(
            "ride.shift_known", Range(-5_300, 5_300), Range(-300, 300), ("front", "rear"), (), 0.0, None
        ) == slot_shift(BOOT, frame, M6)

    def test_is_what_the_tighter_bolt_leaves(self) -> None:
        """... goes no further than a round hole at the rear, however long the slot in front."""
        frame = (slot("front", 82_500, 16_600), drilled("rear", -82_500))

        assert Range(-300, 300) == slot_shift(BOOT, frame, M6).along

    def test_starts_where_the_holes_are(self) -> None:
        """... of a frame whose slots lie 2 mm further back is between -3.3 and 7.3 mm: forward is above 0."""
        frame = (slot("front", 80_500, 16_600), slot("rear", -84_500, 16_600))

        found = slot_shift(BOOT, frame, M6).along
        assert found == Range(-3_300, 7_300)
        assert 10_600 == found.width_um

    @pytest.mark.parametrize("direction_deg", [90.0, -90.0])
    def test_inward_goes_by_slots_across(self, direction_deg: float) -> None:
        """... is 5.3 mm either way across for slots across."""
        frame = (slot("front", 82_500, 16_600, direction_deg), slot("rear", -82_500, 16_600, direction_deg))
        found = slot_shift(BOOT, frame, M6)

        assert (Range(-300, 300), Range(-5_300, 5_300)) == (found.along, found.across)

    def test_goes_both_ways_where_slots_cross(self) -> None:
        """... adds up what slots across in the boot and along in the frame give, and both plays."""
        boot = (slot("front", 82_500, 10_600, 90.0), slot("rear", -82_500, 10_600, 90.0))
        frame = (slot("front", 82_500, 16_600, 180.0), slot("rear", -82_500, 16_600, 180.0))
        found = slot_shift(boot, frame, M6)

        assert (Range(-5_600, 5_600), Range(-2_600, 2_600)) == (found.along, found.across)

    def test_ends_on_half_a_micrometre(self) -> None:
        """... keeps the half that an odd play leaves."""
        frame = (drilled("front", 82_500, diameter_um=6_601), drilled("rear", -82_500, diameter_um=6_601))

        assert Range(-300.5, 300.5) == slot_shift(BOOT, frame, M6).along

    def test_is_one_place_where_nothing_gives(self) -> None:
        """... is no range but a place where the holes are as wide as the bolt."""
        frame = (drilled("front", 82_400, 50, M6), drilled("rear", -82_600, 50, M6))
        found = slot_shift(BOOT, frame, M6)

        assert (Range(100, 100), Range(-50, -50)) == (found.along, found.across)

    def test_shrinks_where_holes_do_not_line_up(self) -> None:
        """... is what two plays of 0.5 mm have in common whose middles are 0.6 mm apart across: 0.4 mm either way."""
        boot = (tapped("front", 82_500, 300), tapped("rear", -82_500, -300))
        frame = (drilled("front", 82_500, 0, 7_000), drilled("rear", -82_500, 0, 7_000))
        found = slot_shift(boot, frame, M6)

        assert (Range(-400, 400), Range(-200, 200)) == (found.along, found.across)

    @pytest.mark.parametrize(
        "frame",
        [
            (drilled("front", 83_500), drilled("rear", -83_500)),
            (drilled("front", 82_900, 400), drilled("rear", -82_400, -400)),
            (drilled("front", 82_500, diameter_um=5_900), slot("rear", -82_500, 16_600)),
            # Each way by itself there is something left, but not at one place.
            (drilled("front", 82_500, 0, 8_000), drilled("rear", -84_000, 1_500, 8_000)),
        ],
        ids=["spacing", "across", "thick bolt", "corner"],
    )
    def test_is_none_where_bolts_do_not_pass(self, frame: tuple[Hole, ...]) -> None:
        """... is not there without a turn where no shift lets both bolts through."""
        found = slot_shift(BOOT, frame, M6)

        assert ("ride.shift_bolts_do_not_pass", None, None) == (found.code, found.along, found.across)

    def test_is_none_where_one_hole_is_too_tight(self) -> None:
        """... is not there for a bolt too thick for the frame's hole, however wide the boot's."""
        boot = (drilled("front", 82_500, diameter_um=8_000),)

        assert slot_shift(boot, (drilled("front", 82_500, diameter_um=5_900),), M6).along is None

    def test_ends_at_the_corner_that_two_plays_leave(self) -> None:
        """... goes to the tips of the lens that two circles of 1 mm have in common, 1.3 mm apart either way."""
        frame = (drilled("front", 82_500, 0, 8_000), drilled("rear", -83_800, -1_300, 8_000))
        found = slot_shift(BOOT, frame, M6).along
        # The circles cross 650 um in, and half the chord lies at 45 degrees: sqrt((1 - 2 x 0.65^2) / 2) mm.
        half = 1_000 * ((1 - 2 * 0.65**2) / 2) ** 0.5

        assert found is not None
        assert pytest.approx((650 - half, 650 + half), abs=1) == (found.low_um, found.high_um)

    @pytest.mark.parametrize(
        ("boot", "frame", "code", "kind"),
        [
            ((), BOOT, "ride.shift_no_holes", StepKind.LOOK),
            (BOOT, (), "ride.shift_no_holes", StepKind.LOOK),
            (BOOT, (drilled("toe", 82_500),), "ride.shift_no_bolt_matched", StepKind.LOOK),
            (BOOT, (Hole("front", None, 0, 6_600),), "ride.shift_places_unknown", StepKind.MEASURE),
            (BOOT, (slot("front", 82_500, 16_600, 10.0),), "ride.shift_slot_oblique", StepKind.TRIAL_FIT),
        ],
    )
    def test_is_not_guessed(self, boot: tuple[Hole, ...], frame: tuple[Hole, ...], code: str, kind: StepKind) -> None:
        """... is left open, with what to do, where holes, places or common names are missing or a slot is oblique."""
        found = slot_shift(boot, frame, M6)

        assert (code, None, None) == (found.code, found.along, found.across)
        assert found.next_step is not None
        assert kind is found.next_step.kind

    def test_takes_a_slot_no_longer_than_wide_for_a_hole(self) -> None:
        """... is known for an oblique slot that is as long as it is wide."""
        frame = (slot("front", 82_500, 6_600, 10.0), drilled("rear", -82_500))

        assert Range(-300, 300) == slot_shift(BOOT, frame, M6).along

    def test_names_what_was_not_matched(self) -> None:
        """... goes by the bolts that both have, and says which holes were left out."""
        frame = (slot("front", 82_500, 16_600), drilled("middle", 0))
        found = slot_shift(BOOT, frame, M6)

        assert (("front",), ("middle", "rear")) == (found.bolts, found.unmatched)

    def test_has_the_doubt_of_its_least_certain_bolt(self) -> None:
        """... ends where it ends to 50 um where holes are known to 30 and 40."""
        boot = (replace(BOOT[0], standard_uncertainty_um=30.0), BOOT[1])
        frame = (replace(drilled("front", 82_500), standard_uncertainty_um=40.0), drilled("rear", -82_500))

        assert 50.0 == slot_shift(boot, frame, M6).standard_uncertainty_um

    def test_asks_for_each_name_once(self) -> None:
        """... is not told where two holes of one pattern have one name."""
        with pytest.raises(PatternError, match="each name once"):
            slot_shift(BOOT, (drilled("front", 82_500), drilled("front", -82_500)), M6)

    def test_asks_for_a_bolt(self) -> None:
        """... is not told for a bolt of no thickness."""
        with pytest.raises(InvalidQuantityError, match="thicker than 0"):
            slot_shift(BOOT, BOOT, 0)


PLAYS = st.integers(0, 24)
SHIFTS = st.integers(-20, 20)


@st.composite
def patterns(draw: st.DrawFn) -> tuple[tuple[Hole, ...], tuple[Hole, ...]]:
    """Give small patterns of two or three bolts with slots along and across."""
    names = draw(st.sampled_from([("a", "b"), ("a", "b", "c")]))
    boot = tuple(tapped(name, 1_000 * place, 0) for place, name in enumerate(names))
    frame = []
    for place, name in enumerate(names):
        width = M6 + draw(PLAYS)
        length = draw(st.sampled_from([0, width + draw(PLAYS)]))
        direction = draw(st.sampled_from([0.0, 90.0]))
        frame.append(Hole(name, 1_000 * place + draw(SHIFTS), draw(SHIFTS), width, length, direction))
    return boot, tuple(frame)


def half_micrometres(boot: tuple[Hole, ...], frame: tuple[Hole, ...]) -> np.ndarray:
    """Give every shift on a grid of half micrometres that lets all bolts pass, by trying them all: (n, 2)."""
    along, across = np.meshgrid(np.arange(-100, 101), np.arange(-100, 101), indexing="ij")
    allowed = np.ones(along.shape, dtype=bool)
    for mine, other in zip(boot, frame, strict=True):
        reach = max(0, other.slot_length_um - other.diameter_um) if other.slot_length_um else 0
        turned = other.slot_direction_deg == 90.0
        x = np.maximum(0, abs(along - 2 * (mine.along_um - other.along_um)) - (0 if turned else reach))
        y = np.maximum(0, abs(across - 2 * (mine.across_um - other.across_um)) - (reach if turned else 0))
        allowed &= x * x + y * y <= (other.diameter_um - M6) ** 2
    return np.column_stack([along[allowed], across[allowed]])


@given(patterns())
def test_the_range_is_that_of_every_shift_tried(holes: tuple[tuple[Hole, ...], tuple[Hole, ...]]) -> None:
    """Each end is the last of 40,401 shifts, half a micrometre apart, at which all bolts pass."""
    found, tried = slot_shift(*holes, M6), half_micrometres(*holes)

    if found.along is None or found.across is None:
        assert 0 == len(tried)
    elif len(tried):
        # At a sharp corner the last place need not lie on the grid of the other way.
        lows, highs = tried.min(axis=0) / 2, tried.max(axis=0) / 2
        assert pytest.approx([*lows, *highs], abs=0.5) == [
            found.along.low_um,
            found.across.low_um,
            found.along.high_um,
            found.across.high_um,
        ]


@given(patterns())
def test_bolts_that_pass_without_a_turn_have_a_shift(holes: tuple[tuple[Hole, ...], tuple[Hole, ...]]) -> None:
    """The fit check and the shift agree wherever they are not within half a micrometre of the limit."""
    margin = bolts_pass(*holes, M6, largest_turn_deg=0.0).margin_um

    if abs(margin) > 2:
        assert (margin > 0) is (slot_shift(*holes, M6).along is not None)
