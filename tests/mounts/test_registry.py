"""The installed standards, looked up by key and by position."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace

import pytest

from mountwright.errors import PluginError
from mountwright.measure.quantity import Limits
from mountwright.mounts.registry import PluginFailure, assembled
from mountwright.mounts.standard import StandardSet
from mountwright.mounts.toml_file import read_standards

Bells = Callable[..., StandardSet]


@pytest.fixture(scope="module")
def bells(standards_text: Callable[..., str]) -> Bells:
    """Give a way to read a set of bells with a key, a family and a range of widths, at some positions."""

    def read(key: str, family: str, plausible: str = "[10, 60]", positions: str = '["handlebar"]') -> StandardSet:
        text = standards_text(key, family).replace("[10, 60]", plausible).replace('["handlebar"]', positions)
        return read_standards(text, f"{family}.toml")

    return read


def with_open_width(found: StandardSet, low: int | None, high: int | None) -> StandardSet:
    """Give a set whose widths are open at an end, as one written in Python may be."""
    dimensions = found.family.dimensions
    width = replace(dimensions["width_mm"], plausible=Limits(low, high))
    family = replace(found.family, dimensions={**dimensions, "width_mm": width})
    return replace(found, family=family, standards=tuple(replace(each, family=family) for each in found.standards))


class TestAt:
    """The standards at a position ..."""

    def test_are_there_by_key(self, bells: Bells) -> None:
        """... are in the order of their keys, whichever plugin was first."""
        registry = assembled([bells("bell-31", "wide"), bells("bell-22", "narrow")])

        assert ["bell-22", "bell-31"] == [standard.key for standard in registry.at("handlebar")]
        assert ["narrow", "wide"] == [family.name for family in registry.families_at("handlebar")]

    def test_are_there_at_each_of_their_positions(self, bells: Bells) -> None:
        """... are there at each position that their family names."""
        registry = assembled([bells("bell-22", "narrow", positions='["stem", "handlebar"]')])

        assert ("handlebar", "stem") == registry.positions
        assert registry.at("stem") == registry.at("handlebar")

    def test_are_none_where_nothing_is_installed(self, bells: Bells) -> None:
        """... are none at a position that nobody serves."""
        registry = assembled([bells("bell-22", "narrow")])

        assert ((), ()) == (registry.at("saddle"), registry.families_at("saddle"))

    def test_share_their_family(self, bells: Bells) -> None:
        """... that come from one file name their family once."""
        found = bells("bell-22", "narrow")
        (standard,) = found.standards
        registry = assembled([replace(found, standards=(standard, replace(standard, key="bell-25")))])

        assert (found.family,) == registry.families_at("handlebar")


class TestPlausible:
    """The range of a figure ..."""

    def test_is_the_widest_of_all_at_the_position(self, bells: Bells) -> None:
        """... reaches from the lowest to the highest that any standard at the position allows."""
        found = [bells("a", "one", "[20, 40]"), bells("b", "two", "[10, 30]"), bells("c", "three", "[21, 60]")]

        assert Limits(10_000, 60_000) == assembled(found).plausible("handlebar", "width_mm")

    def test_is_not_widened_by_another_position(self, bells: Bells) -> None:
        """... at one position does not depend on another."""
        found = [bells("a", "one", "[15, 40]"), bells("b", "two", "[15, 90]", '["stem"]')]

        assert Limits(15_000, 40_000) == assembled(found).plausible("handlebar", "width_mm")

    @pytest.mark.parametrize("backwards", [False, True])
    def test_stays_open_where_any_standard_leaves_it_open(self, bells: Bells, backwards: bool) -> None:
        """... is open at an end that any standard leaves open, whichever comes first."""
        bounded, unbounded = bells("a", "one", "[10, 60]"), with_open_width(bells("b", "two"), 20_000, None)
        if backwards:
            bounded, unbounded = bells("b", "two", "[10, 60]"), with_open_width(bells("a", "one"), 20_000, None)

        assert Limits(10_000, None) == assembled([bounded, unbounded]).plausible("handlebar", "width_mm")

    @pytest.mark.parametrize(("position", "dimension"), [("handlebar", "weight_mm"), ("saddle", "width_mm")])
    def test_is_unknown_for_what_nobody_measures(self, bells: Bells, position: str, dimension: str) -> None:
        """... is none for a dimension or a position that no standard has."""
        assert assembled([bells("bell-22", "narrow")]).plausible(position, dimension) is None


class TestRulesVersion:
    """The version of the rules ..."""

    def test_does_not_depend_on_the_order(self, bells: Bells) -> None:
        """... is the same in whichever order the plugins were found."""
        one, two = bells("bell-22", "narrow"), bells("bell-31", "wide")

        assert assembled([one, two]).rules_version == assembled([two, one]).rules_version

    def test_changes_with_everything_that_is_installed(self, bells: Bells) -> None:
        """... is another one for other content, for one plugin more and for another package."""
        one, two = bells("bell-22", "narrow"), bells("bell-31", "wide")
        changed = bells("bell-22", "narrow", "[10, 61]")
        versions = [assembled(sets).rules_version for sets in ([], [one], [changed], [two], [one, two])]

        assert 6 == len({*versions, assembled([one], package_version="0.2.0").rules_version})

    def test_is_not_moved_by_a_plugin_that_was_left_out(self, bells: Bells) -> None:
        """... counts what judges, not what was left out."""
        one, lost = bells("bell-22", "narrow"), PluginFailure("lost", "stranger", "broken")

        assert assembled([one]).rules_version == assembled([one], [lost]).rules_version


class TestAssembled:
    """A registry ..."""

    def test_has_the_standards_and_conversions_by_key(self, bells: Bells) -> None:
        """... has its standards and its conversions in the order of their keys."""
        registry = assembled([bells("bell-31", "wide"), bells("bell-22", "narrow")])

        assert ["bell-22", "bell-31"] == list(registry.standards)
        assert ["bell-22-shim", "bell-31-shim"] == [conversion.key for conversion in registry.conversions]

    def test_keeps_what_was_left_out(self, bells: Bells) -> None:
        """... keeps the failures for those who ask what is missing."""
        lost = PluginFailure("lost", "stranger", "broken")

        assert (lost,) == assembled([bells("bell-22", "narrow")], [lost]).failures

    def test_refuses_a_key_of_two_sets(self, bells: Bells) -> None:
        """... refuses a key that two sets share."""
        with pytest.raises(PluginError, match="standard key 'bell-22' is already installed"):
            assembled([bells("bell-22", "narrow"), bells("bell-22", "wide")])

    @pytest.mark.parametrize("name", ["narrow.loud", "Narrow", "", "narrow "])
    def test_refuses_a_family_whose_name_reaches_beyond_its_own(self, bells: Bells, name: str) -> None:
        """... refuses a family with another name than of lower-case letters, digits and underscores."""
        found = bells("bell-22", "narrow")

        with pytest.raises(PluginError, match="lower-case letters"):
            assembled([replace(found, family=replace(found.family, name=name))])

    def test_keeps_the_first_sentence_for_a_code(self, bells: Bells) -> None:
        """... keeps the sentence that was there first: nobody puts words into another plugin's mouth."""
        ours, theirs = bells("bell-22", "narrow"), bells("bell-31", "wide")
        theirs = replace(theirs, messages={**theirs.messages, "narrow.loud": "Buy ours."})

        assert assembled([ours, theirs]).messages["narrow.loud"] == "It rings."

    def test_cannot_be_changed(self, bells: Bells) -> None:
        """... is only read once it is built."""
        registry = assembled([bells("bell-22", "narrow")])

        with pytest.raises(TypeError):
            registry.standards["bell-22"] = registry.standards["bell-22"]  # type: ignore[index]  # it is the point


class TestRecordFault:
    """A rule that raised ..."""

    def test_is_counted_by_family(self) -> None:
        """... is counted for its family alone."""
        registry = assembled([])
        for family in ("narrow", "narrow", "wide"):
            registry.record_fault(family, ValueError("no figure"))

        assert {"narrow": 2, "wide": 1} == registry.faults

    def test_is_logged_with_what_it_raised(self, caplog: pytest.LogCaptureFixture) -> None:
        """... is logged as an error, with its family and the exception itself."""
        error = ValueError("no figure")
        assembled([]).record_fault("narrow", error)
        (record,) = caplog.records

        assert ("plugin narrow raised in a check", logging.ERROR) == (record.getMessage(), record.levelno)
        assert record.exc_info is not None
        assert error is record.exc_info[1]
