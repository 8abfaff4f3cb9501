"""What goes on a printed gauge: it follows from what a standard states and what its rules do with it."""

from __future__ import annotations

import pytest

from mountwright.bench.gauges import Gauge, GaugeScale, Neighbour, by_places, gauge_of, instead
from mountwright.errors import InvalidQuantityError
from mountwright.measure.quantity import Limits
from mountwright.mounts.discovery import discovered
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.standard import Dimension, DrawnAs
from mountwright.mounts.toml_file import read_standards

#: A stranger's brackets: a spacing that a rule places two bolts by, a pin that the file says how to draw.
BRACKETS = """
requires_api = "1.0"
family = "brackets"
positions = ["lamp"]
sides = ["cuff", "lamp"]

[dimensions.bolt_gap_mm]
plausible = [10, 400]
measure = "Middle to middle."

[dimensions.pin_mm]
plausible = [1, 100]
measure = "Across the pin."
drawn_as = "circle"

[dimensions.weight_mm]
plausible = [1, 100]
measure = "Not drawn."

[[rules]]
kind = "bolts_pass"
code = "bolts_pass"
spacing = "bolt_gap_mm"
bolt_mm = 5.0
source = "invented"
"""


def standard(key: str, **stated: float) -> str:
    """Give one standard as a file has it."""
    head = f'[[standards]]\nkey = "{key}"\ntitle = "A bracket"\nmark = "A bracket."\nsource = "invented"\n'
    nominal = "[standards.dimensions.{}_mm]\nnominal = {}\nconforming = 0.1\nsource = 'invented'\n"
    return head + "".join(nominal.format(name, value) for name, value in stated.items())


def brackets(*standards: str) -> Registry:
    """Give a registry with the stranger's standards alone."""
    return assembled([read_standards("\n".join((BRACKETS, *standards)), "brackets.toml")])


def drawn(key: str, registry: Registry) -> Gauge:
    """Give the gauge of a standard that has one."""
    found = gauge_of(registry.standards[key], registry)
    assert found is not None
    return found


def figures(scale: GaugeScale) -> tuple[str, DrawnAs, int | None, int]:
    """Give what a scale shows of the standard's own."""
    return scale.dimension.name, scale.drawn_as, scale.nominal_um, scale.hole_um


@pytest.fixture(scope="module")
def installed() -> Registry:
    """Give the standards in the box."""
    return discovered()


class TestGauge:
    """The gauge of a standard ..."""

    def test_shows_what_rules_place_bolts_and_compare_planes_by(self, installed: Registry) -> None:
        """... shows a spacing as holes as wide as the rule's bolt, and a height as a comb, without being told so."""
        holes, comb = drawn("two-bolt-165", installed).scales

        assert ("hole_spacing_mm", DrawnAs.HOLES, 165_000, 6_000) == figures(holes)
        assert ("heel_step_mm", DrawnAs.COMB, 10_000, 0) == figures(comb)

    def test_shows_the_nearest_neighbours_first(self, installed: Registry) -> None:
        """... shows the three standards that state the most similar length at the same position."""
        holes, comb = drawn("two-bolt-165", installed).scales

        near = (Neighbour("flat-167", 167_000), Neighbour("two-bolt-150", 150_000), Neighbour("two-bolt-195", 195_000))
        assert near == holes.neighbours
        assert (Neighbour("two-bolt-195", 10_000), Neighbour("flat-167", 0)) == comb.neighbours

    def test_shows_a_comb_though_the_height_is_not_known(self, installed: Registry) -> None:
        """... has a comb for a mount whose heel step nobody states: it is to be measured."""
        assert [None] == [scale.nominal_um for scale in drawn("two-bolt-150", installed).scales[1:]]

    def test_shows_what_the_file_draws(self, installed: Registry) -> None:
        """... shows the diameters that the file says are circles, each side's own."""
        scales = drawn("hub-608", installed).scales

        assert [("seat_diameter_mm", 22_000), ("outside_diameter_mm", 22_000)] == [
            (scale.dimension.name, scale.nominal_um) for scale in scales
        ]
        assert {DrawnAs.CIRCLE} == {scale.drawn_as for scale in scales}

    def test_says_what_no_print_tells_apart(self, installed: Registry) -> None:
        """... names the standards within twice a reading's doubt, for 6 and 6.3 mm look the same on paper."""
        assert ("axle-6", "axle-7") == drawn("axle-6-3", installed).not_told_apart
        assert () == drawn("axle-8", installed).not_told_apart

    def test_tells_apart_by_any_length(self, installed: Registry) -> None:
        """... does not name a standard with the same heel step whose bolts stand elsewhere."""
        assert () == drawn("two-bolt-195", installed).not_told_apart

    @pytest.mark.parametrize("key", ["riveted", "side-bolts-measured"])
    def test_is_not_there_where_nothing_is_stated(self, installed: Registry, key: str) -> None:
        """... is not there where the standard states no length that could be drawn."""
        assert gauge_of(installed.standards[key], installed) is None

    def test_of_a_stranger_follows_from_the_file(self) -> None:
        """... needs nothing but the file: no line of ours knows a standard by name."""
        registry = brackets(standard("bracket-40", bolt_gap=40, pin=8), standard("bracket-44", bolt_gap=44))
        holes, pin = drawn("bracket-40", registry).scales

        assert (40_000, 5_000, (Neighbour("bracket-44", 44_000),)) == (*figures(holes)[2:], holes.neighbours)
        assert (DrawnAs.CIRCLE, 8_000, 0, ()) == (*figures(pin)[1:], pin.neighbours)

    def test_leaves_out_what_nothing_says_how_to_draw(self) -> None:
        """... is not there for a length that neither a rule nor the file makes a shape of."""
        registry = brackets(standard("bracket-1", weight=5))

        assert gauge_of(registry.standards["bracket-1"], registry) is None

    def test_takes_the_lower_of_two_neighbours_first(self) -> None:
        """... has an order for neighbours that are equally far: the shorter first, then by key."""
        others = (standard(f"b-{number}", bolt_gap=gap) for number, gap in ((1, 42), (2, 38), (3, 42), (4, 90)))
        registry = brackets(standard("bracket-40", bolt_gap=40), *others)

        assert ["b-2", "b-1", "b-3"] == [each.standard for each in drawn("bracket-40", registry).scales[0].neighbours]

    def test_names_a_standard_of_the_same_figures(self) -> None:
        """... says of two standards with equal figures that no print tells them apart."""
        registry = brackets(standard("bracket-40", bolt_gap=40), standard("bracket-40-b", bolt_gap=40, pin=9))

        assert ("bracket-40-b",) == drawn("bracket-40", registry).not_told_apart


class TestInstead:
    """What is measured instead ..."""

    def test_leaves_out_what_such_a_mount_has_not(self, installed: Registry) -> None:
        """... is every dimension of the family that a mount of this standard has."""
        assert ["axis_deg"] == [each.name for each in instead(installed.standards["side-bolts-measured"])]

    def test_is_the_places_of_holes_where_rules_compare_those(self, installed: Registry) -> None:
        """... is the holes' places where bolts are compared by these alone."""
        places = {key: by_places(standard.family) for key, standard in installed.standards.items()}

        assert {"side-bolts-measured"} == {key for key, is_so in places.items() if is_so}


@pytest.mark.parametrize("nominal", [None, 0, -5])
def test_a_scale_has_a_length_above_nothing(nominal: int | None) -> None:
    """Holes and circles of no size cannot be drawn."""
    dimension = Dimension("gap_mm", ("cuff",), Limits(0, 10), "Across.")
    with pytest.raises(InvalidQuantityError):
        GaugeScale(dimension, DrawnAs.CIRCLE, nominal, 0, ())
