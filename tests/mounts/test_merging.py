"""What was measured on a piece in hand, over what the catalogue has of it."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidMountError
from mountwright.measure.quantity import Adjustable, Estimate, Quantity
from mountwright.measure.updating import is_contradicted, squared_distance
from mountwright.mounts.holes import Hole
from mountwright.mounts.merging import measured_onto, merged_part
from mountwright.mounts.mount import Claimant, Dispute, Mount, Part, Pattern
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.toml_file import read_standards

CALIPER_UM = 115.0


def read(value_um: int, doubt_um: float = CALIPER_UM) -> Pattern:
    """Give a nameless pattern of one reading."""
    return Pattern(figures={"width_mm": Quantity(value_um, doubt_um, "caliper")})


def claimed(standard: str, by: Claimant = Claimant.MAKER, name: str = "") -> Pattern:
    """Give a pattern that is nothing but claimed."""
    return Pattern(name, standard, by)


def mount(*patterns: Pattern, position: str = "handlebar") -> Mount:
    """Give a bell's mount."""
    return Mount(position, "bell", patterns)


@pytest.fixture(scope="module")
def registry(standards_text: Callable[..., str]) -> Registry:
    """Give a registry of bells for bars of 22.2 mm and of 31.8 mm."""
    wide = standards_text("bell-31", "wide_clamp").replace("nominal = 22.2", "nominal = 31.8")
    return assembled([read_standards(text, "bells.toml") for text in (standards_text(), wide)])


@pytest.fixture(scope="module")
def merge(registry: Registry) -> Callable[[Pattern, Pattern], Pattern]:
    """Give a way to lay one pattern over another."""

    def laid_over(known: Pattern, found: Pattern) -> Pattern:
        (pattern,) = measured_onto(mount(known), mount(found), registry).patterns
        return pattern

    return laid_over


Merge = Callable[[Pattern, Pattern], Pattern]


class TestAFigure:
    """A figure ..."""

    def test_that_agrees_is_weighed_with_the_entry(self, merge: Merge) -> None:
        """... of the same doubt as the entry comes to their middle, with the doubt of two readings."""
        found = merge(read(22_200), read(22_300)).figures["width_mm"]

        assert isinstance(found, Quantity)
        assert (22_250, pytest.approx(CALIPER_UM / 2**0.5)) == (found.value, found.standard_uncertainty)

    def test_that_agrees_with_a_drawing_leaves_it(self, merge: Merge) -> None:
        """... beside a drawing that explains it changes nothing: the drawing was exact before."""
        drawing = Pattern(figures={"width_mm": Quantity(22_200, 0.0, "maker_drawing")})

        assert drawing == merge(drawing, read(22_300))

    def test_that_does_not_agree_stands_and_is_disputed(self, merge: Merge) -> None:
        """... far from the entry stands as measured, and both figures are told."""
        found = merge(read(22_200), read(31_800))

        assert read(31_800).figures == found.figures
        assert (Dispute("width_mm", 31_800, 22_200),) == found.disputes

    def test_that_nobody_had_is_added(self, merge: Merge) -> None:
        """... of a dimension without an entry is taken in without a dispute."""
        found = merge(Pattern(), read(22_200))

        assert (read(22_200).figures, ()) == (found.figures, found.disputes)

    def test_within_a_range_that_can_be_set_leaves_the_range(self, merge: Merge) -> None:
        """... taken where a plate stands now does not take its range away."""
        plate = Pattern(figures={"width_mm": Adjustable(20_000, 30_000, None, "friction")})

        assert plate == merge(plate, read(22_200))

    def test_beyond_a_range_that_can_be_set_is_disputed(self, merge: Merge) -> None:
        """... beyond both ends of a range stands, and is held against the nearer end."""
        plate = Pattern(figures={"width_mm": Adjustable(20_000, 30_000, None, "friction")})
        found = merge(plate, read(31_800))

        assert (Dispute("width_mm", 31_800, 30_000),) == found.disputes
        assert read(31_800).figures == found.figures

    def test_that_can_be_set_stands_where_it_was_found(self, merge: Merge) -> None:
        """... that turns out to be a range on the piece in hand is one."""
        plate = Pattern(figures={"width_mm": Adjustable(20_000, 30_000, None, "friction")})

        assert (plate.figures, ()) == (merge(read(31_800), plate).figures, merge(read(31_800), plate).disputes)


_FIGURE = st.builds(
    Quantity, st.integers(21_000, 23_000), st.just(0.0) | st.floats(1, 2000, allow_subnormal=False), st.just("caliper")
)


@given(known=_FIGURE, found=_FIGURE)
def test_a_figure_that_agrees_never_leaves_more_doubt_than_it_had(
    merge: Merge, known: Quantity, found: Quantity
) -> None:
    """Whatever the catalogue said before: who measured and found it right knows no less than by measuring alone."""
    merged = merge(Pattern(figures={"width_mm": known}), Pattern(figures={"width_mm": found}))
    figure = merged.figures["width_mm"]

    assert isinstance(figure, Quantity)
    assert figure.standard_uncertainty <= found.standard_uncertainty


@given(known=_FIGURE, found=_FIGURE)
def test_a_dispute_is_what_the_chi_square_gate_shuts_out(merge: Merge, known: Quantity, found: Quantity) -> None:
    """Two figures are either weighed together or disputed, by the test that a claim is held against a reading with."""
    entry, reading = (Estimate(each.value, each.standard_uncertainty) for each in (known, found))
    merged = merge(Pattern(figures={"width_mm": known}), Pattern(figures={"width_mm": found}))

    assert is_contradicted(squared_distance(entry, reading), 1) is bool(merged.disputes)
    assert not merged.disputes or found == merged.figures["width_mm"]


class TestAClaim:
    """A claim ..."""

    def test_of_another_standard_stands_and_is_disputed(self, merge: Merge) -> None:
        """... by a customer that speaks against the catalogue stands, and both standards are told."""
        found = merge(claimed("bell-22"), claimed("bell-31", Claimant.CUSTOMER))

        assert ("bell-31", Claimant.CUSTOMER) == (found.standard, found.claimed_by)
        assert (Dispute("standard", "bell-31", "bell-22"),) == found.disputes

    def test_of_the_bench_is_not_disputed(self, merge: Merge) -> None:
        """... by who had it on the bench corrects the catalogue."""
        found = merge(claimed("bell-22"), claimed("bell-31", Claimant.BENCH))

        assert ("bell-31", ()) == (found.standard, found.disputes)

    @pytest.mark.parametrize(
        ("known", "found"), [(Claimant.MAKER, Claimant.CUSTOMER), (Claimant.SELLER, Claimant.MAKER)]
    )
    def test_of_the_same_standard_is_by_the_more_trusted(self, merge: Merge, known: Claimant, found: Claimant) -> None:
        """... that agrees with the catalogue's never weakens it."""
        assert Claimant.MAKER is merge(claimed("bell-22", known), claimed("bell-22", found)).claimed_by

    def test_is_kept_where_none_was_found(self, merge: Merge) -> None:
        """... of the catalogue stays where nobody claims anything of the piece in hand."""
        assert ("bell-22", Claimant.MAKER) == (
            merge(claimed("bell-22"), read(22_200)).standard,
            merge(claimed("bell-22"), read(22_200)).claimed_by,
        )

    def test_is_taken_where_the_catalogue_has_none(self, merge: Merge) -> None:
        """... of the piece in hand is taken in where the catalogue says nothing."""
        found = merge(read(22_200), claimed("bell-22", Claimant.SELLER))

        assert ("bell-22", Claimant.SELLER, ()) == (found.standard, found.claimed_by, found.disputes)


class TestWhatWasSeen:
    """What was seen ..."""

    def test_stands_over_the_entry(self, merge: Merge) -> None:
        """... otherwise than the catalogue has it stands, and both answers are told; the rest is joined."""
        known = Pattern(seen={"hand": "left", "clamp": "wide"}, drawing_id="b-1")
        found = merge(known, Pattern(seen={"hand": "right"}, drawing_id="b-2"))

        assert {"hand": "right", "clamp": "wide"} == found.seen
        assert (Dispute("hand", "right", "left"), Dispute("drawing_id", "b-2", "b-1")) == found.disputes

    def test_of_holes_and_damage(self, merge: Merge) -> None:
        """... of holes replaces the entry, and damage adds to what was known."""
        old, new = Hole("front", None, 0, 6600), Hole("front", None, 0, 6600, 9000)
        known = Pattern(holes=(old,), damage=("worn",))
        found = merge(known, Pattern(holes=(new,), damage=("bent", "worn")))

        assert ((new,), ("worn", "bent")) == (found.holes, found.damage)
        assert (old,) == merge(known, Pattern()).holes


class TestAlternatives:
    """Alternatives ..."""

    def test_are_matched_by_name(self, registry: Registry) -> None:
        """... are told apart by their names, and one with a new name is added."""
        known = mount(claimed("bell-22", name="front set"), claimed("bell-31", name="rear set"))
        found = measured_onto(known, mount(Pattern("rear set", damage=("worn",)), Pattern("third set")), registry)

        assert [("front set", ()), ("rear set", ("worn",)), ("third set", ())] == [
            (pattern.name, pattern.damage) for pattern in found.patterns
        ]

    def test_that_the_reading_cannot_be_of_are_left_as_they_are(self, registry: Registry) -> None:
        """... of which one explains a nameless reading, by its standard, get it there and nowhere else."""
        known = mount(claimed("bell-22", name="a"), claimed("bell-31", name="b"))
        found = measured_onto(known, mount(read(31_700)), registry)

        assert [{}, read(31_700).figures] == [pattern.figures for pattern in found.patterns]

    def test_that_all_explain_a_reading_all_get_it(self, registry: Registry) -> None:
        """... that all may have been measured are all updated."""
        known = mount(Pattern("a"), Pattern("b"))
        found = measured_onto(known, mount(read(31_700)), registry)

        assert [read(31_700).figures] * 2 == [pattern.figures for pattern in found.patterns]

    def test_of_which_none_explains_a_reading_all_dispute_it(self, registry: Registry) -> None:
        """... none of which was measured so before are none of them what is in hand."""
        sets = [Pattern(name, figures=read(um).figures) for name, um in (("a", 22_200), ("b", 31_800))]
        found = measured_onto(mount(*sets), mount(read(26_000)), registry)

        assert [(Dispute("width_mm", 26_000, um),) for um in (22_200, 31_800)] == [p.disputes for p in found.patterns]

    def test_are_told_apart_by_the_claim(self, registry: Registry) -> None:
        """... of which one is claimed to what was found get everything there."""
        known = mount(claimed("bell-22", name="a"), claimed("bell-31", name="b"))
        found = measured_onto(known, mount(claimed("bell-31", Claimant.BENCH)), registry)

        assert [Claimant.MAKER, Claimant.BENCH] == [pattern.claimed_by for pattern in found.patterns]


def test_mounts_of_two_places_are_not_merged(registry: Registry) -> None:
    """A mount is laid over the one at its own place, and over no other."""
    with pytest.raises(InvalidMountError, match="found at 'saddle', 'bell', expected 'handlebar', 'bell'"):
        measured_onto(mount(Pattern()), mount(Pattern(), position="saddle"), registry)


def test_a_part_gets_its_mounts_updated_and_new_ones_added(registry: Registry) -> None:
    """A part's mounts are matched by position and side; the others stay, and new ones come after them."""
    stem = mount(Pattern(), position="stem")
    bell = Part("bell", (mount(claimed("bell-22")), stem), "Loud one")
    found = merged_part(bell, (mount(read(22_200)), mount(Pattern(), position="saddle")), registry)

    assert ("bell", "Loud one") == (found.kind, found.name)
    assert ["handlebar", "stem", "saddle"] == [each.position for each in found.mounts]
    assert ("bell-22", read(22_200).figures) == (
        found.mounts[0].patterns[0].standard,
        found.mounts[0].patterns[0].figures,
    )
