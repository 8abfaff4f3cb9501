"""What may stand in for a part: found by figures, mounts, size and side, the nearest first, with one statement."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.catalogue import alternatives
from mountwright.catalogue.alternatives import MOST_SOUGHT, Chances, Sought, alternatives_of
from mountwright.catalogue.engines import Engines
from mountwright.catalogue.importing import Checks, Report
from mountwright.catalogue.reading import Kept, articles_of
from mountwright.catalogue.versions import version_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import InvalidSpecError
from mountwright.fitting.narrowing import Chance

Json = dict[str, Any]
Find = Callable[..., list[str]]

STANDARDS = ("two-bolt-165", "two-bolt-195", "flat-167")

#: What lets only the first of these go on, whoever claims it.
FIRST_ONLY: Chances = (("frame", (Chance(False, frozenset(STANDARDS[1:]), frozenset({"maker"})),)),)


def wheel(sku: str, diameter_mm: float | None = None, **more: Any) -> Json:
    """Give a wheel."""
    specs = {} if diameter_mm is None else {"diameter_mm": diameter_mm}
    return {"sku": sku, "kind": "wheel", "name": "Wheel", "specs": {**specs, **more.pop("specs", {})}, **more}


def frame(sku: str, standard: str, wheel_count: int = 4, **more: Any) -> Json:
    """Give a frame that claims a standard."""
    mounts = [{"position": "frame", "standard": standard, "claimed_by": "maker"}]
    return {
        "sku": sku,
        "kind": "frame",
        "name": "Frame",
        "mounts": mounts,
        "specs": {"wheel_count": wheel_count},
        **more,
    }


@pytest.fixture
def find(engines: Engines, checks: Checks, bring_in: Callable[..., Report], file: Callable[..., Path]) -> Find:
    """Give a way to bring articles in and to look for others among them, by SKU."""

    def found(records: list[Json], sought: Sought) -> list[str]:
        assert bring_in(file(*records)).is_good
        with engines.reading() as connection:
            _, (found,) = alternatives_of(connection, [sought], checks.rules)
        return [kept.sku for kept in found]

    return found


class TestConditions:
    """What is given ..."""

    def test_is_of_the_kind(self, find: Find) -> None:
        """... is of the kind that is looked for."""
        assert ["w"] == find([wheel("w", 80), frame("f", STANDARDS[0])], Sought("wheel", {}, {}))

    @pytest.mark.parametrize(
        ("ends", "expected"),
        [((None, 80), ["a", "b"]), ((80, None), ["b", "c"]), ((80, 80), ["b"]), ((None, None), ["a", "b", "c"])],
        ids=str,
    )
    def test_lies_within_bounds_and_has_the_figure(self, find: Find, ends: Any, expected: list[str]) -> None:
        """... has the figure, and it lies between both ends, inclusive; an open end bounds nothing."""
        wheels = [wheel("a", 76), wheel("b", 80), wheel("c", 84), wheel("none")]

        assert expected == find(wheels, Sought("wheel", {"diameter_mm": ends}, {}))

    def test_meets_every_bound(self, find: Find) -> None:
        """... meets the bounds of all figures, whichever of them stands first."""
        wheels = [
            wheel(f"{size}-{shore}", size, specs={"hardness_shore_a": shore}) for size in (76, 80) for shore in (80, 85)
        ]
        bounds = {"diameter_mm": (80, None), "hardness_shore_a": (None, 82)}
        assert ["80-80"] == find(wheels, Sought("wheel", bounds, {}))
        assert ["80-80"] == find(wheels, Sought("wheel", dict(reversed(bounds.items())), {}))

    def test_has_a_chance_at_every_position(self, find: Find) -> None:
        """... may go on by what its mounts are claimed to be, at each position that is asked for."""
        frames = [frame(standard, standard) for standard in STANDARDS]
        nowhere: Chances = (("hub", (Chance(),)),)

        assert [STANDARDS[0]] == find(frames, Sought("frame", {}, {}, FIRST_ONLY))
        assert [] == find(frames, Sought("frame", {}, {}, FIRST_ONLY + nowhere))

    def test_may_have_any_of_several_chances(self, find: Find) -> None:
        """... is let be by one of the mounts at a position."""
        everything: Chances = (("frame", (*FIRST_ONLY[0][1], Chance())),)

        assert 3 == len(
            find([frame(standard, standard) for standard in STANDARDS], Sought("frame", {}, {}, everything))
        )

    def test_is_made_for_the_size(self, find: Find) -> None:
        """... has a run that contains the size, both ends inclusive; an end that is not told is open."""
        runs = {"to-42": (None, 42), "from-42": (42, None), "39-41": (39, 41), "any": (None, None), "43": (43, 43)}
        liners = [
            {"sku": sku, "kind": "liner", "name": "Liner", "eu_size_from": low, "eu_size_to": high}
            for sku, (low, high) in runs.items()
        ]
        found = find(
            [{name: value for name, value in liner.items() if value is not None} for liner in liners],
            Sought("liner", {}, {}, eu_size=42),
        )
        assert ["any", "from-42", "to-42"] == found

    @pytest.mark.parametrize(
        ("hand", "expected"), [("left", ["both", "l"]), ("right", ["both", "r"]), (None, ["both", "l", "r"])]
    )
    def test_is_not_for_the_other_side(self, find: Find, hand: str | None, expected: list[str]) -> None:
        """... is for the side that is asked for, or says nothing of sides."""
        frames = [
            frame("l", STANDARDS[0], side="left"),
            frame("r", STANDARDS[0], side="right"),
            frame("both", STANDARDS[0]),
        ]

        assert expected == find(frames, Sought("frame", {}, {}, hand=hand))

    def test_is_none_of_those_left_out(self, find: Find) -> None:
        """... is not what stands in the basket already."""
        assert ["b"] == find([wheel("a", 80), wheel("b", 80)], Sought("wheel", {}, {}, not_skus=("a",)))

    def test_is_looked_for_whatever_a_basket_names(self, find: Find) -> None:
        """... is found, too, beside texts that no catalogue can hold."""
        assert ["a"] == find([wheel("a", 80)], Sought("wheel", {}, {}, not_skus=("\0", ""), colour_folded="\0"))


class TestOrder:
    """What comes first ..."""

    def test_is_in_stock_or_may_be(self, find: Find) -> None:
        """... is not known to be sold out, however near that would be."""
        wheels = [wheel("sold-out", 80, stock=0), wheel("unknown", 84), wheel("stocked", 88, stock=1)]

        assert ["unknown", "stocked", "sold-out"] == find(wheels, Sought("wheel", {}, {"diameter_mm": 80}))

    def test_is_nearest_in_all_figures_together(self, find: Find) -> None:
        """... has the least sum of distances; one that lacks a figure comes after all that have it."""
        sizes = {"exact": (80, 85), "softer": (80, 82), "larger": (81, 85), "both": (78, 83)}
        wheels = [wheel(sku, size, specs={"hardness_shore_a": shore}) for sku, (size, shore) in sizes.items()]
        wheels += [wheel("no-shore", 80), wheel("nothing")]

        assert ["exact", "larger", "softer", "both", "no-shore", "nothing"] == find(
            wheels, Sought("wheel", {}, {"diameter_mm": 80, "hardness_shore_a": 85})
        )

    def test_claims_no_standard_that_does_not_go_on(self, find: Find) -> None:
        """... claims what goes on before what was measured and may yet go on, however near that is otherwise."""
        spacing = {"hole_spacing_mm": {"value": 165, "instrument": "caliper"}}
        frames = [frame("near", STANDARDS[1]), frame("far", STANDARDS[0], wheel_count=3)]
        frames[0]["mounts"][0]["dimensions"] = spacing

        assert ["far", "near"] == find(frames, Sought("frame", {}, {"wheel_count": 4}, FIRST_ONLY))

    def test_has_the_colour_of_equally_near_ones(self, find: Find) -> None:
        """... has the same colour, without regard to case and accents."""
        wheels = [wheel("a", 80, colour="Rust"), wheel("b", 80, colour="Gruen"), wheel("c", 79, colour="Rosé")]

        assert ["c", "a", "b"] == find(wheels, Sought("wheel", {}, {}, colour_folded="rose"))
        assert ["a", "b", "c"] == find(wheels, Sought("wheel", {}, {"diameter_mm": 80}, colour_folded="rose"))

    def test_has_any_colour_where_none_is_asked_for(self, find: Find) -> None:
        """... may as well have a colour as none."""
        assert ["a", "b"] == find([wheel("a", 80, colour="Rust"), wheel("b", 80)], Sought("wheel", {}, {}))

    def test_is_nearest_in_price_of_equally_near_ones(self, find: Find) -> None:
        """... costs about the same in the same currency; other currencies and no price come last, then by SKU."""
        prices = {"dear": (990, "EUR"), "cheap": (700, "EUR"), "same": (800, "EUR"), "abroad": (800, "SEK")}
        wheels = [wheel(sku, 80, price_minor=minor, currency=currency) for sku, (minor, currency) in prices.items()]
        wheels.append(wheel("a-gift", 80))

        assert ["same", "cheap", "dear", "a-gift", "abroad"] == find(
            wheels, Sought("wheel", {}, {}, price_minor=800, currency="EUR")
        )

    def test_is_all_that_is_given_of_many(self, find: Find) -> None:
        """... so many, and no more."""
        wheels = [wheel(f"{size}", size) for size in range(70, 90)]

        assert ["80", "79", "81"] == find(wheels, Sought("wheel", {}, {"diameter_mm": 80}, most=3))


SIZES = st.one_of(st.none(), st.sampled_from([72, 76, 80, 80.5, 84]))
ENDS = st.tuples(st.one_of(st.none(), st.just(76)), st.one_of(st.none(), st.just(80)))
ROWS = st.tuples(SIZES, st.sampled_from([None, 0, 3]), st.sampled_from(STANDARDS))
BOUNDS = st.dictionaries(st.just("largest_wheel_mm"), ENDS)
NEAR = st.dictionaries(st.sampled_from(["largest_wheel_mm", "wheel_count"]), st.sampled_from([3, 80]))


def meant(rows: list[Json], sought: Sought) -> list[str]:
    """Give what has to be found, by going through everything."""

    def meets(row: Json) -> bool:
        ends = sought.figures.get("largest_wheel_mm")
        size = row["specs"].get("largest_wheel_mm")
        within = ends is None or (size is not None and (ends[0] or 0) <= size <= (ends[1] or 999))
        return within and (not sought.chances or row["mounts"][0]["standard"] == STANDARDS[0])

    def rank(row: Json) -> tuple[Any, ...]:
        far = sum(
            abs(row["specs"][name] - near) if name in row["specs"] else 10**12 for name, near in sought.near.items()
        )
        return row.get("stock") == 0, far, row["sku"]

    return [row["sku"] for row in sorted(filter(meets, rows), key=rank)]


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    drawn=st.lists(ROWS, min_size=1, max_size=12), bounds=BOUNDS, near=NEAR, chances=st.sampled_from([(), FIRST_ONLY])
)
@pytest.mark.parametrize("few", [0, 1000], ids=["walked along an index", "few enough for all"])
def test_whichever_way_is_gone_the_same_is_found(
    engines: Engines, checks: Checks, few: int, drawn: list[Any], bounds: Any, near: Any, chances: Chances
) -> None:
    """By the index of a figure, by SKU or by sets of mounts: as if everything had been gone through."""
    rows = []
    for number, (size, stock, standard) in enumerate(drawn):
        row = frame(f"frame-{number:02d}", standard)
        row["specs"] |= {} if size is None else {"largest_wheel_mm": size}
        rows.append({**row, **({} if stock is None else {"stock": stock})})
    sought = Sought("frame", bounds, near, chances)
    with engines.writes.connect() as connection, pytest.MonkeyPatch.context() as patched:
        patched.setattr(alternatives, "FEW", few)
        assert [] == Writing(connection, checks.read_mounts, checks.rules).add_articles(rows)
        _, (found,) = alternatives_of(connection, [sought], checks.rules)
        connection.rollback()

    assert meant(rows, sought) == [kept.sku for kept in found]


def test_the_nearest_are_found_among_more_than_are_compared(find: Find, monkeypatch: pytest.MonkeyPatch) -> None:
    """Upwards and downwards from what is wanted, and not from the first SKU on."""
    monkeypatch.setattr(alternatives, "NEAREST", 3)
    monkeypatch.setattr(alternatives, "FEW", 0)
    wheels = [wheel(f"{size:03d}", size) for size in range(60, 110)]

    assert ["080", "079", "081", "078", "082"] == find(wheels, Sought("wheel", {}, {"diameter_mm": 80}, most=5))
    assert ["077", "076", "075"] == find(
        wheels, Sought("wheel", {"diameter_mm": (None, 77)}, {"diameter_mm": 80}, most=5)
    )


def article(engines: Engines, sku: str) -> Kept:
    """Give an article as it is kept."""
    with engines.reading() as connection:
        return articles_of(connection, [sku])[sku]


def test_a_whole_basket_is_answered_by_one_statement(
    engines: Engines, checks: Checks, bring_in: Callable[..., Report], file: Callable[..., Path]
) -> None:
    """In the order that was asked, what finds nothing empty, with the version that it was read from."""
    bring_in(file(wheel("w1", 80), wheel("w2", 90), *(frame(standard, standard) for standard in STANDARDS)))
    wheels, frames = (
        Sought("wheel", {"diameter_mm": (85, None)}, {}),
        Sought("frame", {}, {"wheel_count": 4}, FIRST_ONLY),
    )
    asked: list[str] = []
    with engines.reading() as connection:
        event.listen(connection, "before_cursor_execute", lambda *given: asked.append(given[2]))
        basket = [wheels, Sought("lace", {}, {}), frames, replace(frames, not_skus=(STANDARDS[0],)), wheels]
        version, found = alternatives_of(connection, basket, checks.rules)
        assert 1 == len(asked)
        assert version == version_of(connection)

    assert [["w2"], [], [STANDARDS[0]], [], ["w2"]] == [[kept.sku for kept in each] for each in found]
    assert found[2][0] == article(engines, STANDARDS[0])


@pytest.mark.parametrize("sought", [[], [Sought("wheel", {}, {})]], ids=["nothing asked", "nothing there"])
def test_nothing_still_has_a_version(engines: Engines, checks: Checks, sought: list[Sought]) -> None:
    """That nothing stands in is an answer of some version, too."""
    with engines.reading() as connection:
        assert (version_of(connection), ((),) * len(sought)) == alternatives_of(connection, sought, checks.rules)


def test_what_other_rules_have_read_is_not_relied_on(find: Find, engines: Engines) -> None:
    """What they would leave out may go on by the rules at hand."""
    frames = [frame(standard, standard) for standard in STANDARDS]
    assert [STANDARDS[0]] == find(frames, Sought("frame", {}, {}, FIRST_ONLY))
    with engines.reading() as connection:
        _, (found,) = alternatives_of(connection, [Sought("frame", {}, {}, FIRST_ONLY)], "other rules")

    assert set(STANDARDS) == {kept.sku for kept in found}


@pytest.mark.parametrize("given", [{"near": {"mass_g": 80}}, {"figures": {"mass_g": (1, 2)}}, {"most": 0}], ids=str)
def test_what_cannot_be_looked_for_is_refused(given: Json) -> None:
    """A figure that stands in the documents only, and less than one article."""
    with pytest.raises(InvalidSpecError):
        Sought(**{"kind": "wheel", "figures": {}, "near": {}, **given})


def test_more_than_one_statement_can_bear_is_refused(engines: Engines, checks: Checks) -> None:
    """The caller says which parts matter."""
    most = [Sought("wheel", {}, {"diameter_mm": 80})] * MOST_SOUGHT
    with engines.reading() as connection:
        assert MOST_SOUGHT == len(alternatives_of(connection, most, checks.rules)[1])
        with pytest.raises(InvalidSpecError, match=f"at most {MOST_SOUGHT}"):
            alternatives_of(connection, [*most, most[0]], checks.rules)
