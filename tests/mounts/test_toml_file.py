"""A standards file without a fault, as it comes out."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest

from mountwright.measure.quantity import Estimate, Limits, Quantity
from mountwright.measure.uncertainty import rectangular
from mountwright.mounts.bolt_rule import AssumedHoles, BoltsPass
from mountwright.mounts.check import Check
from mountwright.mounts.joint import Joint
from mountwright.mounts.rules import Alike, PlaneMatch, Stack, Term
from mountwright.mounts.standard import Loan, StandardSet
from mountwright.mounts.toml_file import API_VERSION, read_standards
from mountwright.mounts.vetting import Vetted


@pytest.fixture(scope="module")
def bells(standards_text: Callable[..., str]) -> StandardSet:
    """Give the made-up family, as read."""
    return read_standards(standards_text(), "bells.toml")


def rings(_joint: Joint) -> Iterator[Check]:
    """Check nothing."""
    return iter(())


class TestFamily:
    """The family ..."""

    def test_has_its_name_places_and_sides(self, bells: StandardSet) -> None:
        """... has its name, its positions and its sides, the skate's first."""
        family = bells.family

        assert ("bell_clamp", ("handlebar",), ("bar", "bell")) == (family.name, family.positions, family.sides)

    def test_has_dimensions_in_thousandths(self, bells: StandardSet) -> None:
        """... has each dimension with its range in thousandths and with the sides that it can be taken on."""
        width, tilt = bells.family.dimensions["width_mm"], bells.family.dimensions["tilt_deg"]

        assert (Limits(10_000, 60_000), Limits(-45_000, 45_000)) == (width.plausible, tilt.plausible)
        assert (("bar", "bell"), ("bell",)) == (width.sides, tilt.sides)
        assert width.measure == "Across the clamp."

    def test_has_the_reach_of_a_dimension_where_the_file_says_one(self, standards_text: Callable[..., str]) -> None:
        """... has how far sides may differ at most, in thousandths, and nothing where nobody vouches for it."""
        text = standards_text().replace("plausible = [10, 60]\n", "plausible = [10, 60]\nreach_mm = 2.5\n")
        dimensions = read_standards(text, "bells.toml").family.dimensions

        assert (2500, None) == (dimensions["width_mm"].reach, dimensions["tilt_deg"].reach)

    @pytest.mark.parametrize(
        ("loan", "expected"),
        [
            ('{ kind = "bolt", spec = "diameter_mm" }', Loan("bolt", "diameter_mm", {})),
            (
                '{ kind = "bolt", spec = "diameter_mm", where = { mass_g = [1, 2.5] }, conforming = [-0.2, 0.0] }',
                Loan("bolt", "diameter_mm", {"mass_g": Limits(1000, 2500)}, Estimate(-100, rectangular(100))),
            ),
        ],
        ids=["any", "some"],
    )
    def test_has_whose_figure_a_dimension_is_where_the_file_says(
        self, standards_text: Callable[..., str], loan: str, expected: Loan
    ) -> None:
        """... has whose figure it is, with limits in thousandths, and nothing where it is the mount's own."""
        text = standards_text().replace("plausible = [10, 60]\n", f"plausible = [10, 60]\nlent_by = {loan}\n")
        dimensions = read_standards(text, "bells.toml").family.dimensions

        assert (expected, None) == (dimensions["width_mm"].lent_by, dimensions["tilt_deg"].lent_by)

    def test_has_looks_that_read_a_dimension_or_only_tell_apart(self, bells: StandardSet) -> None:
        """... has looks of which an answer reads a dimension coarsely, or nothing."""
        look = bells.family.looks["clamp"]

        assert {"wide": ("width_mm", Quantity(40_000, rectangular(3000), "look")), "hinged": None} == look.answers
        assert ("bell",) == look.sides

    def test_has_the_declared_rules_in_their_order(self, bells: StandardSet) -> None:
        """... has the rules that the file declares, one for each kind."""
        terms = (Term("bell", "width_mm", 1), Term("bar", "width_mm", -1))
        assumed = {"bar": AssumedHoles(0, 0), "bell": AssumedHoles(600, 2000)}

        assert (
            Stack("goes_round", terms, Limits(0, 500), "geometry", Limits(0, 1500)),
            PlaneMatch("level", "width_mm", 400, "geometry"),
            Alike("same_hand", "hand", "common practice", if_recorded=True),
            BoltsPass("bolts_pass", "width_mm", 5000, assumed, "geometry", 2.0),
        ) == bells.family.rules

    def test_asks_rules_in_python_last(self, standards_text: Callable[..., str], bells: StandardSet) -> None:
        """... asks the rules that came in Python after the declared ones."""
        found = read_standards(standards_text(), "bells.toml", [rings])

        assert bells.family.rules == found.family.rules[:-1]
        assert isinstance(found.family.rules[-1], Vetted)


class TestStandard:
    """A standard ..."""

    def test_has_what_the_file_says_of_it(self, bells: StandardSet) -> None:
        """... has its key, its features and all else as written; its cautions carry the family's name."""
        (standard,) = bells.standards

        assert ("bell-22", True, {"hand": "left"}) == (standard.key, standard.interchange, standard.features)
        assert (("narrow",), ("bell_clamp.loud",)) == (standard.also_known_as, standard.cautions)
        assert {"tilt_deg"} == standard.without

    def test_spreads_as_a_rectangle_around_its_nominal(self, bells: StandardSet) -> None:
        """... spreads by a half-width around its nominal, or between two deviations around their middle."""
        nominal = bells.standards[0].nominals["width_mm"]

        assert (22_200, Estimate(22_200, rectangular(300))) == (nominal.stated, nominal.conforming)
        assert Estimate(22_600, rectangular(500)) == nominal.met

    def test_is_met_as_it_conforms_unless_said(self, standards_text: Callable[..., str]) -> None:
        """... of which nobody says how it is met spreads on the bench as it does on paper."""
        text = standards_text().replace("met = [-0.1, 0.9]\n", "")
        nominal = read_standards(text, "bells.toml").standards[0].nominals["width_mm"]

        assert nominal.conforming == nominal.met


class TestConversion:
    """A conversion ..."""

    def test_has_what_the_file_says_of_it(self, bells: StandardSet) -> None:
        """... has its ends, its kind and what it answers for."""
        (found,) = bells.conversions

        assert ("bell-22-shim", "bell-22", "bell-31") == (found.key, found.from_standard, found.to_standard)
        assert ("adapter", True, ("goes_round",)) == (found.kind, found.reversible, found.resolves)
        assert Limits(1000, 2000) == found.added_height

    def test_of_which_the_height_is_not_known_has_none(self, standards_text: Callable[..., str]) -> None:
        """... of which nobody knows the height gives none rather than nothing."""
        text = standards_text().replace("added_height_mm = [1, 2]\n", "")

        assert read_standards(text, "bells.toml").conversions[0].added_height is None


def test_messages_carry_the_name_of_the_family(bells: StandardSet) -> None:
    """A file's messages have the family's name in front, so that they never meet another's."""
    assert {
        "bell_clamp.goes_round.fail": "The clamp is out by {excess} mm.",
        "bell_clamp.loud": "It rings.",
    } == bells.messages


class TestVersion:
    """The version of a set ..."""

    def test_is_the_same_for_the_same_file(self, standards_text: Callable[..., str], bells: StandardSet) -> None:
        """... depends on the content alone and not on the file's name."""
        assert bells.version == read_standards(standards_text(), "other.toml").version

    @pytest.mark.parametrize("now", ["nominal = 22.3", "nominal = 22.2 # same figure"])
    def test_changes_with_the_text(self, standards_text: Callable[..., str], bells: StandardSet, now: str) -> None:
        """... changes with every change of the file."""
        changed = read_standards(standards_text().replace("nominal = 22.2", now), "bells.toml")

        assert bells.version != changed.version

    def test_changes_with_the_rules_beside_the_file(
        self, standards_text: Callable[..., str], bells: StandardSet
    ) -> None:
        """... changes with the rules in Python that come beside the file."""
        assert bells.version != read_standards(standards_text(), "bells.toml", [rings]).version


def test_a_file_may_ask_for_another_minor_version(standards_text: Callable[..., str]) -> None:
    """A file for the same major version of the plugin interface is taken in."""
    major = API_VERSION.partition(".")[0]
    text = standards_text().replace('requires_api = "1.0"', f'requires_api = "{major}"')

    assert read_standards(text, "bells.toml").family.name == "bell_clamp"


class TestBenchJobs:
    """The jobs that a file adds to the bench ..."""

    def test_are_kept_as_they_stand(self, standards_text: Callable[..., str]) -> None:
        """... are kept by key as the file has them, whatever a bench makes of them."""
        jobs = '[bench_jobs.oil_bell]\ntitle = "Oil it"\nminutes = [1, 2, 3]\n[bench_jobs.ring_bell]\nloud = true\n'
        found = read_standards(f"{standards_text()}\n{jobs}", "bells.toml")

        assert {"oil_bell": {"title": "Oil it", "minutes": [1, 2, 3]}, "ring_bell": {"loud": True}} == found.bench_jobs

    def test_need_not_be_there(self, bells: StandardSet) -> None:
        """... are none where the file says nothing of any."""
        assert {} == bells.bench_jobs
