"""What the tests of mounts share: a made-up family of standards, and joints from a few words."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from mountwright.errors import StandardsFileError
from mountwright.measure.quantity import Estimate
from mountwright.mounts.holes import Hole
from mountwright.mounts.joint import Joint, JointSide
from mountwright.mounts.toml_file import read_standards

FAMILY = """\
requires_api = "1.0"
family = "{family}"
positions = ["handlebar"]
sides = ["bar", "bell"]

[dimensions.width_mm]
plausible = [10, 60]
measure = "Across the clamp."

[dimensions.tilt_deg]
sides = ["bell"]
plausible = [-45, 45]
measure = "A protractor laid on the clamp."

[looks.clamp]
sides = ["bell"]
answers.wide = {{ dimension = "width_mm", value = 40, plus_minus = 3 }}
answers.hinged = {{}}

[[rules]]
kind = "stack"
code = "goes_round"
terms = [{{ of = "bell.width_mm" }}, {{ of = "bar.width_mm", times = -1 }}]
at_least_mm = 0
at_most_mm = 0.5
loosest_at_least_mm = 0
loosest_at_most_mm = 1.5
source = "geometry"

[[rules]]
kind = "plane_match"
code = "level"
height = "width_mm"
within_mm = 0.4
source = "geometry"

[[rules]]
kind = "alike"
code = "same_hand"
feature = "hand"
if_recorded = true
source = "common practice"

[[rules]]
kind = "bolts_pass"
code = "bolts_pass"
spacing = "width_mm"
bolt_mm = 5.0
source = "geometry"
assumed.bar = {{ play_mm = 0, loosest_mm = 0 }}
assumed.bell = {{ play_mm = 0.6, loosest_mm = 2 }}

[[standards]]
key = "{key}"
title = "A bell for a bar of 22.2 mm"
interchange = true
features = {{ hand = "left" }}
mark = "A narrow clamp."
source = "common practice"
also_known_as = ["narrow"]
cautions = ["loud"]
without = ["tilt_deg"]

[standards.dimensions.width_mm]
nominal = 22.2
conforming = 0.3
met = [-0.1, 0.9]
source = "common practice"

[[conversions]]
key = "{key}-shim"
kind = "adapter"
from = "{key}"
to = "bell-31"
reversible = true
resolves = ["goes_round"]
added_height_mm = [1, 2]
source = "common practice"

[messages]
"goes_round.fail" = "The clamp is out by {{excess}} mm."
loud = "It rings."
"""


@pytest.fixture(scope="session")
def standards_text() -> Callable[..., str]:
    """Give a way to write a standards file without a fault."""

    def written(key: str = "bell-22", family: str = "bell_clamp") -> str:
        return FAMILY.format(key=key, family=family)

    return written


@pytest.fixture(scope="session")
def faults_of(standards_text: Callable[..., str]) -> Callable[..., list[str]]:
    """Give a way to list the faults of the good file after changes, or after lines added at its end."""

    def found(*changes: tuple[str, str], more: str = "") -> list[str]:
        text = standards_text()
        for old, new in changes:
            assert text.count(old) > 0, f"{old} is not in the file"
            text = text.replace(old, new, 1)
        with pytest.raises(StandardsFileError) as caught:
            read_standards(f"{text}\n{more}", "bells.toml")
        return list(caught.value.faults)

    return found


@pytest.fixture(scope="session")
def joint() -> Callable[..., Joint]:
    """Give a way to bring a bar and a bell together by their figures, or by their features or holes."""

    def brought_together(
        bar: Mapping[str, Estimate] | None = None,
        bell: Mapping[str, Estimate] | None = None,
        features: tuple[Mapping[str, str], Mapping[str, str]] = ({}, {}),
        holes: tuple[tuple[Hole, ...], tuple[Hole, ...]] = ((), ()),
    ) -> Joint:
        sides = [
            JointSide(name, figures or {}, seen, bolts, recorded=frozenset(figures or {}))
            for name, figures, seen, bolts in zip(("bar", "bell"), (bar, bell), features, holes, strict=True)
        ]
        return Joint("handlebar", *sides)

    return brought_together
