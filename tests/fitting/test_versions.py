"""One name over several versions: the answer is that of all that are left, and asks where they differ."""

from __future__ import annotations

from itertools import permutations

import pytest

from mountwright.fitting.answers import FitAnswer, StepKind
from mountwright.fitting.estimates import estimates
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.verdict import Verdict
from mountwright.fitting.versions import SkateVersion, VersionsRequest, versions_checked
from mountwright.measure.quantity import Quantity
from mountwright.mounts.discovery import discovered
from mountwright.mounts.mount import Claimant, Mount, Part, Pattern
from mountwright.mounts.registry import Registry

SPACING = "hole_spacing_mm"


@pytest.fixture(scope="module")
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered()


def pattern(standard: str, spacing_um: int | None = None) -> Pattern:
    """Give a pattern that its maker claims to follow a standard, perhaps measured."""
    figures = {} if spacing_um is None else {SPACING: Quantity(spacing_um, 115.0, "caliper")}
    return Pattern(standard=standard, claimed_by=Claimant.MAKER, figures=figures)


def frame(standard: str) -> Part:
    """Give a frame."""
    return Part("frame", (Mount("frame", "frame", (pattern(standard),)),))


def version(sku: str, standard: str, *parts: Part, mark: str = "", spacing_um: int | None = None) -> SkateVersion:
    """Give a version of a skate that is asked about some parts."""
    skate = Part("", (Mount("frame", "boot", (pattern(standard, spacing_um),)),))
    return SkateVersion(sku, "", mark, FitRequest(skate, parts))


def checked(registry: Registry, *versions: SkateVersion) -> FitAnswer:
    """Give the answer over all versions."""
    return versions_checked(VersionsRequest(versions), registry, estimates())


def test_one_version_is_answered_as_if_it_had_been_named(registry: Registry) -> None:
    """But for saying which one it is."""
    only = version("a", "two-bolt-165", frame("two-bolt-165"))
    (part,) = checked(registry, only).parts

    assert fit_checked(only.request, registry, estimates()).parts == (part._replace(versions=()),)
    assert ["a"] == [each.sku for each in part.versions]


def test_versions_that_agree_are_answered_by_the_least_probable(registry: Registry) -> None:
    """Nobody is asked, and nobody is promised more than the worst of them keeps."""
    part = frame("two-bolt-165")
    versions = version("a", "two-bolt-165", part), version("b", "two-bolt-165", part, spacing_um=165_000)
    each = [fit_checked(one.request, registry, estimates()).parts[0].probability for one in versions]
    (answer,) = checked(registry, *versions).parts

    assert (Verdict.FITS, None, min(each)) == (answer.verdict, answer.next_step, answer.probability)
    assert min(each) < max(each)


def test_versions_that_differ_ask_for_what_tells_them_apart(registry: Registry) -> None:
    """The step names every version by its mark, and one without a mark by its SKU."""
    part = frame("two-bolt-165")
    (answer,) = checked(
        registry, version("a", "two-bolt-165", part, mark="silver rivets"), version("b", "flat-167", part)
    ).parts
    assert answer.next_step is not None

    assert (Verdict.CANNOT_TELL, StepKind.LOOK) == (answer.verdict, answer.next_step.kind)
    assert "a: silver rivets; b: b" == answer.next_step.params["versions"]


def test_the_bounds_hold_whichever_version_it_is(registry: Registry) -> None:
    """From the least of all versions to the most of them."""
    part = frame("two-bolt-165")
    versions = version("a", "two-bolt-165", part), version("b", "two-bolt-195", part), version("c", "flat-167", part)
    single = [fit_checked(one.request, registry, estimates()).parts[0] for one in versions]
    (answer,) = checked(registry, *versions).parts

    assert min(one.probability for one in single) == answer.probability
    assert max(one.probability_at_most for one in single) == answer.probability_at_most


def test_the_order_of_versions_changes_no_verdict(registry: Registry) -> None:
    """Whichever comes first."""
    part = frame("two-bolt-165")
    versions = version("a", "two-bolt-165", part), version("b", "two-bolt-195", part), version("c", "flat-167", part)
    answers = [checked(registry, *order).parts[0] for order in permutations(versions)]

    assert 1 == len({(answer.verdict, answer.probability, answer.probability_at_most) for answer in answers})


def test_each_part_is_answered_by_itself(registry: Registry) -> None:
    """Versions may agree on one part and differ on another; the whole is the worst of them."""
    parts = frame("two-bolt-165"), Part("frame", (Mount("frame", "frame", (pattern("riveted"),)),))
    versions = version("a", "two-bolt-165", *parts), version("b", "two-bolt-165", *parts)
    whole = checked(registry, *versions)
    single = fit_checked(versions[0].request, registry, estimates())

    assert (single.verdict, [part.verdict for part in single.parts]) == (
        whole.verdict,
        [part.verdict for part in whole.parts],
    )


def test_a_version_that_its_measured_mount_speaks_against_is_out(registry: Registry) -> None:
    """What was found on the skate in hand tells which it is, and nobody has to look."""
    part = frame("two-bolt-165")
    versions = (
        version("a", "two-bolt-165", part, spacing_um=165_000),
        version("b", "two-bolt-195", part, spacing_um=165_000),
    )
    (answer,) = checked(registry, *versions).parts

    assert (["a"], Verdict.FITS) == ([each.sku for each in answer.versions], answer.verdict)


def test_where_every_version_is_spoken_against_all_are_left(registry: Registry) -> None:
    """Rather all of them than none."""
    part = frame("two-bolt-165")
    versions = [version(sku, "two-bolt-195", part, spacing_um=165_000) for sku in "ab"]
    (answer,) = checked(registry, *versions).parts

    assert ["a", "b"] == [each.sku for each in answer.versions]
