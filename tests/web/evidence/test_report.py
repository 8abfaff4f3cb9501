"""Where experience and the catalogue do not agree: conflicts, rows to correct, and how a person reads of them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from importlib import resources
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from mountwright.bootstrap import create_app, create_workshop
from mountwright.catalogue.importing import imported
from mountwright.catalogue.noting import Noting
from mountwright.catalogue.outcome_files import outcomes_loaded
from mountwright.catalogue.writing import Writing
from mountwright.fitting.answers import Reports
from mountwright.fitting.evidence import Correction, ReturnCause
from mountwright.fitting.verdict import Verdict
from mountwright.settings import Settings
from mountwright.web.evidence.lines import WIDTH, evidence_lines
from mountwright.web.evidence.report import Conflict, Place, conflicts, corrections
from mountwright.web.evidence.telling import outcome_faults
from mountwright.web.records import checks_of
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]


def framed(sku: str, kind: str, standard: str, claimed_by: str = "maker") -> Json:
    """Give an article with one mount under the sole."""
    mount = {"position": "frame", "standard": standard, "claimed_by": claimed_by}
    return {"sku": sku, "kind": kind, "name": sku.replace("-", " ").title(), "mounts": [mount]}


def strapped(article: Json, side: str) -> Json:
    """Give an article with a second mount, which goes on any other like it."""
    strap = {"position": "strap_cuff", "side": side, "standard": "strap-pitch-15", "claimed_by": "maker"}
    return {**article, "mounts": [strap, *article["mounts"]]}


#: Frames that the geometry lets go on, by their maker's and by a seller's word; that it refuses; and doubts.
SURE, SOLD, REFUSED, DOUBTFUL = "frame-sure", "frame-sold", "frame-flat", "frame-loose"

#: A part that the geometry refuses at one of its two mounts.
KIT = "frame-and-buckle"
ARTICLES = (
    framed(SURE, "frame", "two-bolt-165"),
    framed(SOLD, "frame", "two-bolt-165", "seller"),
    framed(REFUSED, "frame", "flat-167"),
    framed(DOUBTFUL, "frame", "two-bolt-165", "customer"),
    strapped(framed(KIT, "frame", "flat-167"), "buckle"),
    strapped(framed("heron-44", "skate", "two-bolt-165"), "shell"),
    *(framed(f"heron-{size}", "skate", "two-bolt-165") for size in (38, 40, 42)),
)


class Shop(NamedTuple):
    """A catalogue, and short ways to tell it what became of pairs."""

    workshop: Workshop

    def tell(self, part: str, outcome: str, skate: str = "heron-40", times: int = 1, **more: Any) -> None:
        """Tell what became of a pair, as often as it happened."""
        told = {"skate": skate, "part": part, "outcome": outcome, "told_by": "bench", "on": "2026-03-07", **more}
        with self.workshop.engines.writing() as connection:
            noting = Noting(connection, "tidewheel")
            number = noting.finish().number
            noting.note([{**told, "outcome_id": f"{number}.{each}"} for each in range(times)])
            noting.finish()

    def returned(self, part: str, cause: str, **more: Any) -> None:
        """Tell that a part came back."""
        self.tell(part, "came_back", cause=cause, **more)

    def remove(self, sku: str) -> None:
        """Take an article out of the catalogue."""
        with self.workshop.engines.writing() as connection:
            writing = Writing(connection, lambda _: [], "rules")
            writing.remove_article(sku)
            writing.finish()

    def pairs(self, at_a_time: int = 500) -> list[tuple[str, str]]:
        """Give the pairs in conflict, in their order."""
        return [(each.skate, each.part) for each in conflicts(self.workshop, at_a_time)]


@pytest.fixture
def shop(database: str, tmp_path: Path) -> Iterator[Shop]:
    """Give a catalogue of a few articles, on each of the two engines in turn."""
    workshop = create_workshop(Settings(database=database))
    file = tmp_path / "articles.jsonl"
    file.write_text("".join(json.dumps(article) + "\n" for article in ARTICLES), encoding="utf-8")
    assert imported([file], workshop.engines, checks_of(workshop)).is_good
    yield Shop(workshop)
    workshop.engines.close()


class TestConflicts:
    """A conflict ..."""

    def test_is_a_part_that_should_go_on_and_did_not(self, shop: Shop) -> None:
        """... tells what the geometry says, who found otherwise, and where to look, a seller's word first."""
        shop.tell(SOLD, "did_not_go_on", times=2)
        shop.tell(SOLD, "fitted", told_by="customer")
        (found,) = conflicts(shop.workshop)

        assert ("heron-40", "Heron 40", SOLD, "Frame Sold") == found[:4]
        assert (Verdict.FITS, Reports(2, 2.0), Reports(1, 0.5), ()) == (
            found.verdict,
            found.against,
            found.bearing_out,
            found.failed,
        )
        assert 0.95 < found.probability < found.probability_at_most < 1
        assert [(SOLD, "seller"), ("heron-40", "maker")] == [(place.sku, place.claimed_by) for place in found.look_at]

    def test_is_a_part_that_should_not_go_on_and_did(self, shop: Shop) -> None:
        """... the other way round names the checks by which the geometry refuses."""
        shop.tell(REFUSED, "fitted", told_by="shop")
        shop.tell(REFUSED, "did_not_go_on")
        (found,) = conflicts(shop.workshop)

        assert (Verdict.DOES_NOT_FIT, ("heel_plane",)) == (found.verdict, found.failed)
        assert (Reports(1, 0.8), Reports(1, 1.0)) == (found.against, found.bearing_out)
        assert ["two-bolt-165", "flat-167"] == [place.standard for place in found.look_at]

    def test_points_at_no_mount_by_which_nothing_is_refused(self, shop: Shop) -> None:
        """... about a clear no points at the joint that is refused, and not at one that is good beside it."""
        shop.tell(KIT, "fitted", "heron-44")
        (found,) = conflicts(shop.workshop)

        assert {("heron-44", "frame"), (KIT, "frame")} == {(place.sku, place.position) for place in found.look_at}

    @pytest.mark.parametrize(
        ("part", "outcome", "more"),
        [
            (SURE, "fitted", {}),
            (REFUSED, "did_not_go_on", {}),
            (DOUBTFUL, "did_not_go_on", {}),
            (DOUBTFUL, "fitted", {}),
            (SURE, "came_back", {"cause": "changed_mind"}),
            (SURE, "came_back", {"cause": "wrong_count"}),
        ],
        ids=["as foretold", "as refused", "doubt and a no", "doubt and a yes", "a changed mind", "a wrong count"],
    )
    def test_is_nothing_that_agrees_or_says_nothing_of_the_fit(
        self, shop: Shop, part: str, outcome: str, more: Json
    ) -> None:
        """... is neither what went as foretold, nor what was in doubt, nor what is not about the fit."""
        shop.tell(part, outcome, **more)

        assert () == conflicts(shop.workshop)

    def test_with_more_weight_against_the_geometry_comes_first(self, shop: Shop) -> None:
        """... is listed by the weight against it, not by its count; equal ones by SKU."""
        shop.tell(SURE, "did_not_go_on", "heron-38", told_by="customer", times=3)
        shop.tell(SOLD, "did_not_go_on", "heron-38", times=2)
        shop.tell(SURE, "did_not_go_on", "heron-42")
        shop.tell(SURE, "did_not_go_on", "heron-40")

        assert [("heron-38", SOLD), ("heron-38", SURE), ("heron-40", SURE), ("heron-42", SURE)] == shop.pairs()

    def test_points_first_at_the_row_that_stands_in_most(self, shop: Shop) -> None:
        """... points at the row that many pairs speak against, whoever vouches for it."""
        for skate in ("heron-38", "heron-40", "heron-42"):
            shop.tell(SURE, "did_not_go_on", skate)
        places = [each.look_at for each in conflicts(shop.workshop)]

        assert [[(SURE, 3), (f"heron-{size}", 1)] for size in (38, 40, 42)] == [
            [(place.sku, place.conflicts) for place in found] for found in places
        ]

    @pytest.mark.parametrize("at_a_time", [1, 2, 3])
    def test_is_found_however_many_pairs_are_read_at_a_time(self, shop: Shop, at_a_time: int) -> None:
        """... does not depend on where a batch ends."""
        for skate in ("heron-38", "heron-40", "heron-42"):
            shop.tell(SURE, "did_not_go_on", skate)
            shop.tell(SOLD, "fitted", skate)

        assert [(f"heron-{size}", SURE) for size in (38, 40, 42)] == shop.pairs(at_a_time)

    def test_ends_with_its_article(self, shop: Shop) -> None:
        """... of an article that was taken out of the catalogue is none any more."""
        for part in (SURE, SOLD):
            shop.tell(part, "did_not_go_on")
        shop.remove(SURE)

        assert [("heron-40", SOLD)] == shop.pairs()


class TestCorrections:
    """A row to correct ..."""

    def test_is_one_that_returns_point_at(self, shop: Shop) -> None:
        """... is listed with its cause, how often, what to look at, and whether it is paused."""
        shop.returned(SURE, "did_not_go_on", times=3, used=True)
        shop.returned(SOLD, "wrong_version", skate="heron-38", times=2)
        shop.returned(SURE, "wrong_version", skate="heron-38", times=2)

        assert (
            Correction("heron-38", "skate", ReturnCause.WRONG_VERSION, ("mark",), 4, 0, True),
            Correction(SURE, "part", ReturnCause.DID_NOT_GO_ON, ("mounts",), 3, 3, True),
        ) == corrections(shop.workshop)

    def test_is_none_for_two_returns_or_a_changed_mind(self, shop: Shop) -> None:
        """... is none for what happens now and then, or says nothing of the row."""
        shop.returned(SURE, "did_not_go_on", times=2)
        shop.returned(SURE, "changed_mind", times=9)

        assert () == corrections(shop.workshop)

    def test_ends_with_its_article(self, shop: Shop) -> None:
        """... that is no longer in the catalogue cannot be corrected."""
        shop.returned(SURE, "did_not_go_on", times=3)
        shop.remove(SURE)

        assert () == corrections(shop.workshop)


CONFLICT = Conflict(
    "heron-40",
    "Heron 40",
    SOLD,
    "Frame Sold",
    Verdict.FITS_WITH_PARTS,
    0.9609,
    0.97993,
    Reports(0, 0.0),
    Reports(3, 2.3),
    ("heel_plane", "same_plane"),
    (Place(SOLD, "frame", "two-bolt-165", "seller", 0.98, 2), Place("heron-40", "frame", "", "", 0.0)),
)
CORRECTION = Correction(SURE, "part", ReturnCause.WRONG_COUNT, ("units_per_pack", "sold_as"), 3, 1, False)


class TestLines:
    """The lines for a person ..."""

    def test_say_what_to_do_about_a_conflict(self) -> None:
        """... tell the pair, both opinions, and each place to look at."""
        assert [
            "Conflicts: 1 pair that went otherwise than the geometry says.",
            "",
            "   1. frame-sold (Frame Sold) on heron-40 (Heron 40)",
            "      geometry: fits with parts (probability 0.961 to 0.980)",
            "      reports: 3 (weight 2.3) against it, 0 bearing it out",
            "      it refuses by: heel plane, same plane",
            "      look at: frame of frame-sold (two-bolt-165, claimed by seller; in 2 conflicts)",
            "               frame of heron-40 (no standard)",
            "",
            "Rows to correct: 0, as returns point at them.",
        ] == list(evidence_lines([CONFLICT], []))

    def test_say_what_to_do_about_a_row(self) -> None:
        """... tell the cause, the count, the fields, and whether it is sold meanwhile."""
        paused = CORRECTION._replace(sku="heron-40", of="skate", used=0, pauses=True)

        assert [
            "   1. part frame-sure: 3 returns for wrong count, 1 of them used. Look at units_per_pack, sold_as.",
            "   2. skate heron-40: 3 returns for wrong count. Look at units_per_pack, sold_as. Paused at checkout",
            "      until then.",
        ] == list(evidence_lines([], [CORRECTION, paused]))[4:]

    def test_say_that_there_is_nothing(self) -> None:
        """... are there as well where all agrees."""
        assert [
            "Conflicts: 0 pairs that went otherwise than the geometry says.",
            "",
            "Rows to correct: 0, as returns point at them.",
        ] == list(evidence_lines([], []))

    def test_fit_on_a_screen(self) -> None:
        """... are no wider than a hundred columns, with SKUs whole as long as they fit on a line."""
        sku = "frame-" + "x" * 54
        places = (Place(sku, "side_guard", "side-bolts-measured", "customer", 0.9, 1200),)
        lines = list(evidence_lines([CONFLICT._replace(part=sku, part_name="Y" * 120, look_at=places)], [CORRECTION]))

        assert [] == [line for line in lines if len(line) > WIDTH]
        assert 2 == sum(sku in line for line in lines)


def demo(name: str) -> Path:
    """Give a file of the demo's catalogue."""
    return Path(str(resources.files("mountwright.demo").joinpath(name)))


def told_pairs(outcomes: Iterable[Json]) -> set[tuple[str, str]]:
    """Give every pair that something was told of."""
    return {(each["skate"], each["part"]) for each in outcomes}


class TestDemo:
    """The demo's sixty outcomes ..."""

    def test_are_in_conflict_just_where_a_fit_check_says_so(self, sqlite_database: str) -> None:
        """... are listed as conflicts where the answer about the pair shows one, and nowhere else."""
        client = create_app(Settings(database=sqlite_database)).test_client()
        workshop: Workshop = client.application.extensions[EXTENSION]
        imported([demo("parts.csv"), demo("skates.csv")], workshop.engines, checks_of(workshop))
        loaded = outcomes_loaded(demo("outcomes.jsonl"), workshop.engines, "tidewheel", outcome_faults)
        outcomes = [json.loads(line) for line in demo("outcomes.jsonl").read_text(encoding="utf-8").splitlines()]
        answers = {
            pair: client.post(
                "/v1/fit-checks", json={"skate": {"sku": pair[0]}, "parts": [{"sku": pair[1]}]}
            ).get_json()
            for pair in told_pairs(outcomes)
        }
        experienced = {pair: answer["parts"][0]["experience"] for pair, answer in answers.items()}
        expected = {pair for pair, found in experienced.items() if found and found["conflict"]}
        listed = [(each.skate, each.part) for each in conflicts(workshop)]
        workshop.engines.close()

        assert (60, []) == (loaded.changed, loaded.findings.faults)
        assert (expected, len(expected)) == (set(listed), len(listed))
