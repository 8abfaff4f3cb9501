"""An import keeps all of its files or nothing, tells every fault with its place, and changes nothing twice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Report, Watch
from mountwright.catalogue.versions import version_of

Json = dict[str, Any]
Imports = Callable[..., Report]
Content = Callable[[], Sequence[str]]

MOUNT: Json = {"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}
FRAME: Json = {"sku": "frame-1", "kind": "frame", "name": "Towpath", "mounts": [MOUNT]}
SKATE: Json = {"sku": "skate-1", "kind": "skate", "name": "Lantern", "mounts": [MOUNT]}


def told(report: Report) -> list[tuple[int, str, str]]:
    """Give line, column and code of every fault."""
    return [(fault.line, fault.column, fault.code) for fault in report.findings.faults]


def test_good_records_are_kept_and_counted(bring_in: Imports, file: Callable[..., Path], content: Content) -> None:
    """The report says how many of each sort were read, and how many rows changed."""
    report = bring_in(file(FRAME, SKATE))

    assert ({"families": 0, "parts": 1, "skates": 1}, 2) == (report.counts, report.changed)
    assert 2 == len(content())


def test_the_same_file_once_more_changes_nothing(
    bring_in: Imports, file: Callable[..., Path], engines: Engines
) -> None:
    """The version stays, so that no cache is emptied for nothing."""
    first = bring_in(file(FRAME, SKATE))
    again = bring_in(file(FRAME, SKATE))
    with engines.reading() as connection:
        assert first.version == version_of(connection)

    assert (0, None) == (again.changed, again.version)


def test_one_version_an_import(bring_in: Imports, file: Callable[..., Path]) -> None:
    """However many rows it writes."""
    versions = [bring_in(file({**FRAME, "stock": stock}, SKATE)).version for stock in (1, 2)]

    assert [1, 2] == [version.number for version in versions if version]


def test_a_fault_anywhere_keeps_everything_out(bring_in: Imports, file: Callable[..., Path], content: Content) -> None:
    """Nothing is half-loaded."""
    bring_in(file(FRAME))
    before = content()
    report = bring_in(file({**FRAME, "stock": 9}, {**SKATE, "sku": "no good"}))

    assert (False, before) == (report.is_good, content())


def test_every_fault_is_told_with_its_place(bring_in: Imports, file: Callable[..., Path]) -> None:
    """One run shows all there is to mend."""
    wrong_mount = {**MOUNT, "dimensions": {"hole_spacing_mm": {"value": 1650, "instrument": "caliper"}}}
    report = bring_in(
        file({**FRAME, "gtin": "4006381333932", "price_minor": 100}, {**SKATE, "mounts": [wrong_mount], "maker": 7})
    )

    assert [
        (1, "/currency", "request.no_currency"),
        (1, "/gtin", "request.gtin"),
        (2, "/maker", "request.not_text"),
        (2, "/mounts/0/dimensions/hole_spacing_mm", "request.implausible"),
    ] == sorted(told(report))


def test_a_sku_that_comes_twice_is_told_with_both_places(bring_in: Imports, file: Callable[..., Path]) -> None:
    """Also when it comes again in another file."""
    report = bring_in(file(FRAME, name="a.jsonl"), file(SKATE, FRAME, name="b.jsonl"))
    (fault,) = report.findings.faults

    assert (2, "/sku", "import.twice") == (fault.line, fault.column, fault.code)
    assert ("a.jsonl", 1) == (Path(str(fault.params["file"])).name, fault.params["line"])


@pytest.mark.parametrize(
    ("record", "place", "code"),
    [
        ({**SKATE, "comes_with": [{"sku": "frame-9", "count": 2}]}, "/comes_with/0/sku", "request.unknown_part"),
        ({**SKATE, "family": "nobody"}, "/family", "request.unknown_family"),
    ],
)
def test_a_name_that_leads_nowhere_is_told(
    bring_in: Imports, file: Callable[..., Path], content: Content, record: Json, place: str, code: str
) -> None:
    """A skate cannot come with what is not there."""
    report = bring_in(file(FRAME, record))

    assert [(2, place, code)] == told(report)
    assert [] == content()


def test_names_may_lead_forward_and_into_another_file(bring_in: Imports, file: Callable[..., Path]) -> None:
    """The order of files and rows does not matter."""
    skate = {**SKATE, "family": "lantern", "comes_with": [{"sku": "frame-1", "count": 2}]}
    report = bring_in(file(skate, name="a.jsonl"), file(FRAME, {"kind": "family", "family": "lantern"}, name="b.jsonl"))

    assert report.is_good


def test_families_in_a_ring_are_refused(bring_in: Imports, file: Callable[..., Path], content: Content) -> None:
    """The ring is told; nothing is kept."""
    ring = [{"kind": "family", "family": a, "parent": b} for a, b in ("ab", "bc", "ca")]
    report = bring_in(file(*ring))
    (fault,) = report.findings.faults

    assert ("import.ring", "a from b from c from a") == (fault.code, fault.params["ring"])
    assert [] == content()


def test_a_skate_that_its_family_covers_only_in_part_is_refused(bring_in: Imports, file: Callable[..., Path]) -> None:
    """One SKU with two mounts in it would be answered wrongly for some of its sizes."""
    small = {"kind": "family", "family": "grow", "eu_size_to": 34, "mounts": [MOUNT]}
    report = bring_in(file(small, {**SKATE, "family": "grow", "eu_size_from": 30, "eu_size_to": 38}))

    assert [(2, "/family", "request.family_split")] == told(report)


def test_a_family_may_not_be_cut_under_the_skates_that_stand(
    bring_in: Imports, file: Callable[..., Path], content: Content
) -> None:
    """A skate that is there already would lose what it inherits."""
    skate = {**SKATE, "family": "grow", "eu_size_from": 30, "eu_size_to": 38}
    bring_in(file({"kind": "family", "family": "grow", "mounts": [MOUNT]}, skate))
    before = content()
    report = bring_in(file({"kind": "family", "family": "grow", "eu_size_to": 34}))

    assert ["import.torn"] == [code for _, _, code in told(report)]
    assert before == content()


def test_a_parent_that_covers_a_skate_only_in_part_is_told(bring_in: Imports, file: Callable[..., Path]) -> None:
    """What a skate inherits from farther up holds for all of its sizes, too."""
    old = [
        {"kind": "family", "family": "old", "eu_size_to": 32, "mounts": [{**MOUNT, "standard": "two-bolt-150"}]},
        {"kind": "family", "family": "old", "eu_size_from": 33, "mounts": [MOUNT]},
    ]
    skate = {**SKATE, "mounts": [], "family": "grow", "eu_size_from": 30, "eu_size_to": 34}
    torn = bring_in(file(*old, {"kind": "family", "family": "grow", "parent": "old"}, skate))
    whole = bring_in(file(*old, {"kind": "family", "family": "grow", "parent": "old", "mounts": [MOUNT]}, skate))

    assert [(4, "/family", "request.family_split")] == told(torn)
    assert whole.is_good


def test_a_parent_that_is_nowhere_is_told(bring_in: Imports, file: Callable[..., Path], content: Content) -> None:
    """Nothing would be inherited from it, and nobody would notice."""
    report = bring_in(file({"kind": "family", "family": "grow", "parent": "gorw", "mounts": [MOUNT]}))

    assert [(0, "parent", "request.unknown_family")] == told(report)
    assert [] == content()


def test_a_skate_does_not_come_with_a_skate(bring_in: Imports, file: Callable[..., Path]) -> None:
    """It is a boot and its parts."""
    report = bring_in(file(SKATE, {**SKATE, "sku": "skate-2", "comes_with": [{"sku": "skate-1", "count": 1}]}))

    assert [(2, "/comes_with/0/sku", "request.unknown_part")] == told(report)


@pytest.mark.parametrize("second", [{"side": "frame"}, {"standard": "two-bolt-195"}, {}])
def test_two_mounts_in_one_place_are_refused(
    bring_in: Imports, file: Callable[..., Path], content: Content, second: Json
) -> None:
    """The second would be lost; alternatives are patterns of one mount."""
    bring_in(file(FRAME))
    before = content()
    report = bring_in(file({**FRAME, "mounts": [MOUNT, {**MOUNT, **second}]}))

    assert [(1, "/mounts/1/position", "request.position_twice")] == told(report)
    assert before == content()


def test_a_dry_run_judges_everything_and_keeps_nothing(
    bring_in: Imports, file: Callable[..., Path], content: Content
) -> None:
    """Also what only the whole catalogue can tell."""
    good = bring_in(file(FRAME), dry_run=True)
    bad = bring_in(file({**SKATE, "family": "nobody"}), dry_run=True)

    assert (True, 1, None, False) == (good.is_good, good.changed, good.version, bad.is_good)
    assert [] == content()


def test_a_standard_that_is_not_installed_is_kept_and_noted(
    bring_in: Imports, file: Callable[..., Path], content: Content
) -> None:
    """Its plugin may come later; until then the answer is cannot_tell."""
    part = {
        **FRAME,
        "mounts": [{**MOUNT, "standard": "bell-mount-9", "instrument": "caliper", "dimensions": {"clapper_mm": 3}}],
    }
    report = bring_in(file(part))
    (note,) = report.findings.notes

    assert ("/mounts/0/standard", "import.not_installed") == (note.column, note.code)
    assert '"clapper_mm":3' in content()[0]


def test_a_known_standard_with_a_dimension_that_nobody_knows_is_a_fault(
    bring_in: Imports, file: Callable[..., Path]
) -> None:
    """A slip of the pen must not hide in what is kept for later."""
    report = bring_in(file({**FRAME, "mounts": [{**MOUNT, "dimensions": {"hole_spacng_mm": 165}}]}))

    assert [(1, "/mounts/0/dimensions/hole_spacng_mm", "request.unknown_name_near")] == told(report)


def test_progress_reaches_every_row_twice(bring_in: Imports, file: Callable[..., Path]) -> None:
    """Once when it is read, once when it is written."""
    steps: list[int] = []
    bring_in(file(FRAME, SKATE), watch=Watch(steps.append, steps.append))

    assert 4 == sum(steps)
