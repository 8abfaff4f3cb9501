"""The rules of a standards file: a name, a figure or a unit that cannot be is found when the file is read."""

from __future__ import annotations

from collections.abc import Callable

import pytest

Faults = Callable[..., list[str]]

#: What is changed in the good file, and the one fault that this makes.
SLIPS = {
    "limits of a rule the wrong way round": (
        ("at_least_mm = 0\nat_most_mm = 0.5", "at_least_mm = 0.5\nat_most_mm = 0"),
        "rules[0]: limits the wrong way round: found (0.5, 0), expected limits with the lower one first",
    ),
    "loosest limits the wrong way round": (
        ("loosest_at_least_mm = 0", "loosest_at_least_mm = 2"),
        "rules[0]: limits the wrong way round: found (2, 1.5), expected limits with the lower one first",
    ),
    "rule without a limit": (
        ("at_least_mm = 0\nat_most_mm = 0.5\n", ""),
        "rules[0]: no limit: expected at_least_mm or at_most_mm",
    ),
    "limit in another unit": (
        ("within_mm = 0.4", "within_mm = 0.4\nwithin_deg = 1"),
        "rules[1]: within_deg: unknown field, expected one of code, height, kind, source, within_mm",
    ),
    "missing play": (
        ("play_mm = 0.6, ", ""),
        "rules[3].assumed.bell: play_mm: missing",
    ),
    "missing source of a rule": (
        ('within_mm = 0.4\nsource = "geometry"', "within_mm = 0.4"),
        "rules[1]: source: missing",
    ),
    "missing terms": (
        ('terms = [{ of = "bell.width_mm" }, { of = "bar.width_mm", times = -1 }]\n', ""),
        "rules[0]: terms: missing",
    ),
    "no term": (
        ('[{ of = "bell.width_mm" }, { of = "bar.width_mm", times = -1 }]', "[]"),
        "rules[0]: terms: found none, expected at least one",
    ),
    "term without its dimension": (
        ('{ of = "bell.width_mm" }', "{ pieces = 2 }"),
        "rules[0].terms[0]: of: missing",
    ),
    "term of no side": (
        ('{ of = "bell.width_mm" }', '{ of = "width_mm" }'),
        "rules[0].terms[0]: of: found 'width_mm', expected side.dimension",
    ),
    "terms of two units": (
        ('terms = [{ of = "bell.width_mm" }', 'terms = [{ of = "bell.tilt_deg" }, { of = "bell.width_mm" }'),
        "rules[0]: terms: found units deg, mm together, expected one",
    ),
    "pieces in words": (
        ('{ of = "bell.width_mm" }', '{ of = "bell.width_mm", pieces = "two" }'),
        "rules[0].terms[0]: pieces: found 'two', expected a number",
    ),
    "missing height of a rule": (
        ('height = "width_mm"\n', ""),
        "rules[1]: height: missing",
    ),
    "missing feature of a rule": (
        ('feature = "hand"\n', ""),
        "rules[2]: feature: missing",
    ),
    "missing kind of a rule": (
        ('kind = "alike"\n', ""),
        "rules[2]: kind: missing",
    ),
    "bolt thinner than a thousandth": (
        ("bolt_mm = 5.0", "bolt_mm = 0.0001"),
        "rules[3]: bolt_mm: found 0.0001, expected a number from 0.001 to 1e+09",
    ),
    "spacing that is an angle": (
        ('spacing = "width_mm"', 'spacing = "tilt_deg"'),
        "rules[3]: spacing: found 'tilt_deg', expected a length in mm",
    ),
    "play below nothing": (
        ("play_mm = 0.6", "play_mm = -0.6"),
        "rules[3].assumed.bell: play_mm: found -0.6, expected a number from 0 to 1e+09",
    ),
    "holes that are no table": (
        ("assumed.bar = { play_mm = 0, loosest_mm = 0 }", "assumed.bar = 0"),
        "rules[3]: assumed.bar: found 0, expected a table",
    ),
}


@pytest.mark.parametrize(("change", "fault"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_is_named_with_its_place_and_nothing_else_is(
    faults_of: Faults, change: tuple[str, str], fault: str
) -> None:
    """A single slip gives a single fault that says where it is, what was found and what was expected."""
    assert [fault] == faults_of(change)


#: Slips of which the place has to be named; the words are free.
PLACES = {
    "infinite limit": (("at_most_mm = 0.5", "at_most_mm = inf"), "rules[0]"),
    "half a piece": (('{ of = "bell.width_mm" }', '{ of = "bell.width_mm", pieces = 2.5 }'), "rules[0].terms[0]"),
    "no piece": (('{ of = "bell.width_mm" }', '{ of = "bell.width_mm", pieces = 0 }'), "rules[0].terms[0]"),
    "no bolt": (("bolt_mm = 5.0", "bolt_mm = 0"), "rules[3]"),
    "more than half a turn": (("bolt_mm = 5.0", "bolt_mm = 5.0\nlargest_turn_deg = 181"), "rules[3]"),
    "rule about a dimension that nobody declared": (
        ('{ of = "bell.width_mm" }', '{ of = "bell.wdith_mm" }'),
        "rules[0].terms[0]",
    ),
    "rule about a dimension of the other side": (
        ('{ of = "bell.width_mm" }', '{ of = "bar.tilt_deg" }'),
        "rules[0].terms[0]",
    ),
    "rule about a side that is none": (('{ of = "bell.width_mm" }', '{ of = "ball.width_mm" }'), "rules[0].terms[0]"),
    "plane of a dimension that nobody declared": (('height = "width_mm"', 'height = "wdith_mm"'), "rules[1]"),
    "spacing that nobody declared": (('spacing = "width_mm"', 'spacing = "wdith_mm"'), "rules[3]"),
    "bolt that nobody declared": (("bolt_mm = 5.0", 'bolt_mm = 5.0\nbolt = "pin_mm"'), "rules[3]"),
    "holes of a side that is none": (("assumed.bell = ", "assumed.ball = "), "rules[3]"),
    "feature that nothing has": (('feature = "hand"', 'feature = "hnad"'), "rules[2]"),
    "code of two rules": (('code = "level"', 'code = "goes_round"'), "rules"),
    "most play below the least": (("loosest_mm = 2 ", "loosest_mm = 0.1 "), "rules[3].assumed.bell"),
    "source with nothing in it": (('bolt_mm = 5.0\nsource = "geometry"', 'bolt_mm = 5.0\nsource = ""'), "rules[3]"),
}


@pytest.mark.parametrize(("change", "place"), PLACES.values(), ids=PLACES.keys())
def test_a_figure_or_a_name_that_cannot_be_is_found_at_load(
    faults_of: Faults, change: tuple[str, str], place: str
) -> None:
    """A figure or a name that would fail or do nothing later is named with its place when the file is read."""
    assert place in {fault.partition(": ")[0] for fault in faults_of(change)}
