"""The demo's catalogue as files: counts, names that lead somewhere, and every awkward case of the trade once."""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Iterator
from datetime import date
from importlib import resources
from typing import Any

import pytest
from iso4217 import Currency
from stdnum import ean

from mountwright.mounts.discovery import discovered

Row = dict[str, str]

FOLDER = resources.files("mountwright.demo")

#: The one standard that the demo names and this installation does not have.
NOT_INSTALLED = "quarter-turn-120"

OUTCOMES = {"fitted", "fitted_with_parts", "fitted_after_bench_work", "did_not_go_on", "came_back"}


def table(name: str) -> list[Row]:
    """Give the rows of a CSV file, empty cells left out."""
    text = FOLDER.joinpath(name).read_text(encoding="utf-8")
    return [{heading: cell for heading, cell in row.items() if cell} for row in csv.DictReader(text.splitlines())]


@pytest.fixture(scope="module")
def families() -> list[Row]:
    """Give the spans of families."""
    return [row for row in table("skates.csv") if row["kind"] == "family"]


@pytest.fixture(scope="module")
def skates() -> dict[str, Row]:
    """Give the skates by SKU."""
    return {row["sku"]: row for row in table("skates.csv") if row["kind"] == "skate"}


@pytest.fixture(scope="module")
def parts() -> dict[str, Row]:
    """Give the parts by SKU."""
    return {row["sku"]: row for row in table("parts.csv")}


@pytest.fixture(scope="module")
def outcomes() -> list[dict[str, Any]]:
    """Give the outcomes in the file's order."""
    lines = FOLDER.joinpath("outcomes.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines]


@pytest.fixture(scope="module")
def installed() -> set[str]:
    """Give the keys of the standards in the box."""
    return set(discovered().standards)


def claims(row: Row) -> Iterator[str]:
    """Give every standard that a row claims, in its cells and in its alternatives."""
    for heading, cell in row.items():
        if heading.endswith(".standard"):
            yield cell
        elif heading.endswith(".patterns"):
            yield from (pattern["standard"] for pattern in json.loads(cell) if "standard" in pattern)


def contents(skate: Row) -> dict[str, int]:
    """Give what a skate comes with: how many pieces of each part, for the pair."""
    pairs = (entry.split("*") for entry in skate.get("comes_with", "").split())
    return {sku: int(count) for sku, count in pairs}


def told(outcomes: list[dict[str, Any]], skate: str, part: str) -> Counter[str]:
    """Give how often each outcome was told of a pair."""
    return Counter(row["outcome"] for row in outcomes if (row["skate"], row["part"]) == (skate, part))


class TestRows:
    """The rows ..."""

    def test_are_as_many_as_promised(
        self, skates: dict[str, Row], parts: dict[str, Row], outcomes: list[dict[str, Any]]
    ) -> None:
        """... are 30 skates, 400 parts and 60 outcomes."""
        assert (30, 400, 60) == (len(skates), len(parts), len(outcomes))

    def test_have_names_of_their_own(self, outcomes: list[dict[str, Any]]) -> None:
        """... share no SKU, no GTIN and no outcome's number."""
        rows = table("skates.csv") + table("parts.csv")
        for field in ("sku", "gtin"):
            assert {1} == set(Counter(row[field] for row in rows if field in row).values())
        assert 60 == len({row["outcome_id"] for row in outcomes})

    @pytest.mark.parametrize("name", ["skates.csv", "parts.csv"])
    def test_stand_in_order(self, name: str) -> None:
        """... stand by kind, then by SKU or by family."""
        keys = [(row["kind"], row.get("sku", row.get("family", ""))) for row in table(name)]

        assert sorted(keys) == keys

    @pytest.mark.parametrize("name", ["skates.csv", "parts.csv"])
    def test_have_as_many_cells_as_there_are_headings(self, name: str) -> None:
        """... have one cell a heading, and no heading stands twice or over nothing."""
        head, *rows = csv.reader(FOLDER.joinpath(name).read_text(encoding="utf-8").splitlines())

        assert {len(head)} == {len(set(head)), *map(len, rows)}
        assert all(any(column) for column in zip(*rows, strict=True))

    def test_have_invented_article_numbers_that_check(self) -> None:
        """... have GTINs, most of them, with a right check digit and out of the region that shops use inside."""
        rows = [row for row in table("skates.csv") + table("parts.csv") if "sku" in row]
        numbers = [row["gtin"] for row in rows if "gtin" in row]

        assert len(numbers) > 0.9 * len(rows)
        assert all(ean.is_valid(number) and 200 <= int(number[:3]) <= 299 for number in numbers)

    def test_have_prices_with_their_currency(self) -> None:
        """... have whole prices in a currency of ISO 4217, a few in one that has no smaller unit."""
        rows = table("skates.csv") + table("parts.csv")
        priced = [row for row in rows if {"price_minor", "trade_in_minor"} & row.keys()]
        amounts = [row[name] for row in priced for name in ("price_minor", "trade_in_minor") if name in row]

        assert {"EUR": 2, "JPY": 0} == {row["currency"]: Currency(row["currency"]).exponent for row in priced}
        assert all(amount.isdecimal() for amount in amounts)

    def test_count_the_pieces_of_a_pack(self) -> None:
        """... say 2 pieces of a pair, 1 of a piece and more of most sets."""
        rows = [row for row in table("skates.csv") + table("parts.csv") if "sku" in row]
        packs = {sold: {int(r["units_per_pack"]) for r in rows if r["sold_as"] == sold} for sold in ("piece", "pair")}

        assert {"piece": {1}, "pair": {2}} == packs


class TestNames:
    """The names in the rows ..."""

    def test_lead_from_a_skate_to_its_parts(self, skates: dict[str, Row], parts: dict[str, Row]) -> None:
        """... lead from what a skate comes with to parts that there are."""
        assert set() == {sku for skate in skates.values() for sku in contents(skate)} - parts.keys()
        assert all(contents(skate) for skate in skates.values())

    def test_lead_to_families(self, skates: dict[str, Row], families: list[Row]) -> None:
        """... lead from skates and families to families that there are."""
        wanted = {row[name] for row in (*skates.values(), *families) for name in ("family", "parent") if name in row}

        assert {row["family"] for row in families} == wanted

    def test_lead_from_an_outcome_to_its_pair(
        self, skates: dict[str, Row], parts: dict[str, Row], outcomes: list[dict[str, Any]]
    ) -> None:
        """... lead from an outcome to a skate and to parts that there are."""
        assert {row["skate"] for row in outcomes} <= skates.keys()
        assert {sku for row in outcomes for sku in (row["part"], *row.get("with", ()))} <= parts.keys()

    def test_are_of_installed_standards_but_for_one(self, installed: set[str]) -> None:
        """... claim installed standards, and in one row one that is not installed."""
        claimed = Counter(key for row in table("skates.csv") + table("parts.csv") for key in claims(row))

        assert {NOT_INSTALLED: 1} == {key: count for key, count in claimed.items() if key not in installed}

    def test_are_of_an_adapters_two_standards(self, parts: dict[str, Row], installed: set[str]) -> None:
        """... of both ends of an adapter are installed, and the skate's end is the one that it mounts by."""
        for adapter in (row for row in parts.values() if row["kind"] == "adapter"):
            assert {adapter["converts_from"], adapter["converts_to"]} <= installed
            assert [adapter["converts_from"]] == list(claims(adapter))


class TestSkates:
    """The skates ..."""

    def test_are_told_apart_by_a_mark_where_they_share_a_name(self, skates: dict[str, Row]) -> None:
        """... of one name each have a mark of their own and a version."""
        names = Counter(row["name"] for row in skates.values())
        alike = [row for row in skates.values() if names[row["name"]] > 1]

        assert {"Fernlatch Amble", "Marrowby Weir", "Pipit Grow"} == {row["name"] for row in alike}
        assert len(alike) == len({row["mark"] for row in alike}) == len({row["version"] for row in alike})


class TestOutcomes:
    """The outcomes ..."""

    def test_have_a_form(self, outcomes: list[dict[str, Any]]) -> None:
        """... say what happened, who tells it and on which day, in order of the days."""
        days = [date.fromisoformat(row["on"]) for row in outcomes]

        assert OUTCOMES == {row["outcome"] for row in outcomes}
        assert {"bench", "shop", "customer"} == {row["told_by"] for row in outcomes}
        assert sorted(days) == days

    def test_have_a_cause_where_something_came_back(self, outcomes: list[dict[str, Any]]) -> None:
        """... have a cause, and whether it was used, if and only if something came back."""
        for row in outcomes:
            assert (row["outcome"] == "came_back") == ("cause" in row) == ("used" in row)
        causes = {row["cause"] for row in outcomes if "cause" in row}
        assert {"wrong_version", "did_not_go_on", "wrong_count", "faulty", "changed_mind"} == causes

    @pytest.mark.parametrize(
        ("cause", "part"),
        [("wrong_version", "frame-hollin-beam-3x110-black"), ("wrong_count", "bearing-bellrush-608-x8")],
    )
    def test_repeat_a_cause(self, outcomes: list[dict[str, Any]], cause: str, part: str) -> None:
        """... bring one part back three times for one cause, for the wrong version always from one skate."""
        back = [row["skate"] for row in outcomes if row.get("cause") == cause and row["part"] == part]

        assert 3 == len(back)
        assert len(set(back)) == (1 if cause == "wrong_version" else 3)

    def test_have_a_few_changed_minds(self, outcomes: list[dict[str, Any]]) -> None:
        """... bring a few parts back because somebody thought better of it."""
        assert 4 == sum(row.get("cause") == "changed_mind" for row in outcomes)


class TestAwkwardCases:
    """Among the rows there is ..."""

    def test_two_versions_of_one_name(self, skates: dict[str, Row], families: list[Row]) -> None:
        """... one name of two mounts, both made in 2021."""
        standards = {row["family"]: row.get("frame.standard") for row in families}
        old, new = skates["marrowby-weir-2016"], skates["marrowby-weir-2021"]

        assert ("two-bolt-165", "two-bolt-195") == (standards[old["family"]], standards[new["family"]])
        assert old["name"] == new["name"]
        assert old["made_to"] == new["made_from"] == "2021"

    def test_a_size_run_of_two_mounts(self, skates: dict[str, Row], families: list[Row]) -> None:
        """... a family whose small sizes have another mount than its large ones, each half a skate of one name."""
        spans = {
            (row["eu_size_from"], row["eu_size_to"]): row["frame.standard"]
            for row in families
            if row["family"] == "pipit-grow"
        }
        runs = [
            (row["eu_size_from"], row["eu_size_to"]) for row in skates.values() if row.get("family") == "pipit-grow"
        ]

        assert {("30", "34"): "two-bolt-150", ("35", "40"): "two-bolt-165"} == spans
        assert sorted(spans) == sorted(runs)

    def test_a_riveted_boot(self, skates: dict[str, Row], families: list[Row]) -> None:
        """... a boot that is riveted and comes without a frame of its own."""
        riveted = {row["family"] for row in families if row.get("frame.standard") == "riveted"}

        assert skates["pipit-junior"]["family"] in riveted
        assert not any(sku.startswith("frame-") for sku in contents(skates["pipit-junior"]))

    def test_an_adapter(self, parts: dict[str, Row]) -> None:
        """... a plate that carries 165 on 195."""
        adapter = parts["adapter-quillfen-195-165-black"]

        assert ("two-bolt-195", "two-bolt-165") == (adapter["converts_from"], adapter["converts_to"])

    def test_a_mislabelled_part(self, parts: dict[str, Row]) -> None:
        """... a frame sold as 165 and measured more than 2 mm wider by caliper."""
        frame = parts["frame-yarrowick-outlet-4x80-black"]

        assert ("two-bolt-165", "caliper") == (frame["frame.standard"], frame["frame.hole_spacing_mm.instrument"])
        assert float(frame["frame.hole_spacing_mm"]) > 167

    def test_a_part_that_evidence_contradicts(self, parts: dict[str, Row], outcomes: list[dict[str, Any]]) -> None:
        """... a 165 frame that five reports say did not go on a boot with 165."""
        part = "frame-quillfen-truss-low-3x110-red"

        assert "two-bolt-165" == parts[part]["frame.standard"]
        assert {"did_not_go_on": 5} == told(outcomes, "marrowby-lock-2", part)

    def test_a_stray_report(
        self, skates: dict[str, Row], parts: dict[str, Row], outcomes: list[dict[str, Any]]
    ) -> None:
        """... one report of a 165 frame on a boot for flat frames."""
        part = "frame-quillfen-4x80-black"

        assert ("sedgewater-street", "two-bolt-165") == (
            skates["sedgewater-ledge"]["family"],
            parts[part]["frame.standard"],
        )
        assert {"fitted": 1} == told(outcomes, "sedgewater-ledge", part)

    def test_a_standard_that_is_not_installed(self, parts: dict[str, Row]) -> None:
        """... a frame by a standard that nobody here has."""
        assert NOT_INSTALLED == parts["frame-yarrowick-turnlock-4x80-silver"]["frame.standard"]

    def test_a_part_with_alternatives(self, parts: dict[str, Row]) -> None:
        """... a frame with two sets of holes."""
        patterns = json.loads(parts["frame-quillfen-twin-3x110-black"]["frame.patterns"])

        assert ["two-bolt-165", "two-bolt-195"] == [pattern["standard"] for pattern in patterns]

    def test_a_plate_that_adjusts(self, parts: dict[str, Row]) -> None:
        """... a frame whose spacing is set in steps."""
        frame = parts["frame-quillfen-rack-3x110-silver"]

        figures = [frame[f"frame.hole_spacing_mm.{end}"] for end in ("from", "to", "step", "lock")]
        assert ["150", "200", "5", "teeth"] == figures

    @pytest.mark.parametrize(("sku", "count"), [("bearing-bellrush-608-x8", "8"), ("bearing-bellrush-608-x16", "16")])
    def test_a_pack_of_bearings(self, parts: dict[str, Row], sku: str, count: str) -> None:
        """... a pack that does for one skate, and one that does for the pair."""
        assert count == parts[sku]["units_per_pack"]

    def test_a_left_and_a_right(self, parts: dict[str, Row]) -> None:
        """... as many parts for the left skate as for the right one."""
        sides = Counter(row["side"] for row in parts.values() if "side" in row)

        assert sides["left"] == sides["right"] > 10

    def test_a_mount_at_the_side_by_drawing(self, parts: dict[str, Row], families: list[Row]) -> None:
        """... a boot and frames at the side of the sole that share a drawing."""
        (boot,) = (row["frame.drawing_id"] for row in families if "frame.drawing_id" in row)
        frames = [row for row in parts.values() if row.get("frame.drawing_id") == boot]

        assert {"side-bolts-measured"} == {row["frame.standard"] for row in frames}
        assert Counter(left=2, right=2) == Counter(row["frame.seen.hand"] for row in frames)

    def test_a_buckle_to_replace(self, skates: dict[str, Row]) -> None:
        """... a boot whose buckles are replaced by the usual pitch, anchor and receiver each alone."""
        boot = skates["marrowby-lock-2"]
        pieces = [pattern["seen"]["piece"] for pattern in json.loads(boot["strap_instep.patterns"])]

        assert "strap-pitch-15" == boot["strap_instep.standard"]
        assert ["anchor", "receiver"] == pieces

    def test_stock_that_nobody_knows_and_none_and_no_price(self, parts: dict[str, Row]) -> None:
        """... a part that nobody counted, one that is out of stock, one without a price."""
        assert "stock" not in parts["frame-marrowby-heron-4x72-grey"]
        assert "0" == parts["frame-quillfen-truss-4x80-blue"]["stock"]
        assert not {"price_minor", "currency"} & parts["wheel-bellrush-lantern-80-85a-orange"].keys()
