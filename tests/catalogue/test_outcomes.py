"""What became of pairs: kept once for each number, counted by pair, and loaded from files."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.importing import Report
from mountwright.catalogue.noting import Note, Noted, Noting
from mountwright.catalogue.outcome_files import outcomes_loaded
from mountwright.catalogue.outcomes import Pair, pairs_told, returns_of, returns_told, tallies_of
from mountwright.catalogue.rows import Misplaced
from mountwright.catalogue.versions import Version, version_of
from mountwright.catalogue.writing import Writing
from mountwright.errors import CatalogueError
from mountwright.fitting.evidence import Attested, Counted, ReturnCause, Returned, Source, Tally

Json = dict[str, Any]

SKATES = ("heron-40", "heron-42")
PARTS = ("frame-a", "frame-b", "plate-1", "plate-2")

FITTED: Json = {
    "outcome_id": "1",
    "skate": "heron-40",
    "part": "frame-a",
    "outcome": "fitted",
    "told_by": "bench",
    "on": "2026-03-07",
}

#: In the order of the pages: three pairs, of which one has returns for two causes.
TOLD: tuple[Json, ...] = (
    FITTED,
    {**FITTED, "outcome_id": "2", "told_by": "customer"},
    {**FITTED, "outcome_id": "3", "outcome": "came_back", "cause": "faulty", "used": True},
    {**FITTED, "outcome_id": "4", "outcome": "came_back", "cause": "faulty", "used": False},
    {**FITTED, "outcome_id": "5", "outcome": "came_back", "cause": "faulty"},
    {**FITTED, "outcome_id": "6", "outcome": "came_back", "cause": "changed_mind", "used": True},
    {**FITTED, "outcome_id": "7", "part": "frame-b", "outcome": "did_not_go_on"},
    {**FITTED, "outcome_id": "8", "skate": "heron-42", "outcome": "came_back", "cause": "wrong_version"},
)


class Shop(NamedTuple):
    """A catalogue with a few articles, and short ways to tell it something."""

    engines: Engines

    def tell(self, *outcomes: Mapping[str, Any], by: str = "tidewheel") -> list[Note]:
        """Keep outcomes in one transaction; give what became of each."""
        with self.engines.writing() as connection:
            noting = Noting(connection, by)
            notes = noting.note(outcomes)
            noting.finish()
        return notes

    def tell_in_vain(self, outcome: Mapping[str, Any]) -> None:
        """Keep an outcome in a transaction that raises."""
        with self.engines.writing() as connection:
            Noting(connection, "tidewheel").note([outcome])
            raise KeyError

    def noted(self, *outcomes: Mapping[str, Any], by: str = "tidewheel") -> list[Noted]:
        """Keep outcomes; give in a word what became of each."""
        return [note.noted for note in self.tell(*outcomes, by=by)]

    def version(self) -> Version:
        """Give the version of the catalogue."""
        with self.engines.reading() as connection:
            return version_of(connection)

    def tally(self, skate: str = "heron-40", part: str = "frame-a") -> Tally | None:
        """Give what was told of a pair."""
        with self.engines.reading() as connection:
            return tallies_of(connection, skate, [part]).get(part)

    def load(self, path: Path, shop: str = "tidewheel") -> Report:
        """Load a file, of which every outcome on a Sunday is faulty by itself."""
        return outcomes_loaded(path, self.engines, shop, not_on_sundays)


def not_on_sundays(outcome: Json) -> list[Misplaced]:
    """Give a fault for an outcome that says so."""
    return [Misplaced("/on", "request.form", {"found": "a Sunday"})] if outcome["on"] == "Sunday" else []


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    """Give a catalogue with two skates and four parts."""
    engines = opened(database)
    with engines.writing() as connection:
        writing = Writing(connection, lambda _: [], "rules")
        writing.add_articles([{"sku": sku, "kind": "frame", "name": sku} for sku in PARTS])
        writing.add_articles([{"sku": sku, "kind": "skate", "name": sku} for sku in SKATES])
        writing.finish()
    yield Shop(engines)
    engines.close()


def counted(attested: str, source: str, count: int, cause: str | None = None) -> Counted:
    """Give how often one source told one outcome."""
    return Counted(Attested(attested), ReturnCause(cause) if cause else None, Source(source), count)


class TestNoting:
    """An outcome ..."""

    def test_that_is_new_is_kept_and_raises_the_version(self, shop: Shop) -> None:
        """... that is new is kept as it was told, and the catalogue has another version."""
        before = shop.version()
        (note,) = shop.tell(FITTED)

        assert (Noted.NEW, FITTED, ()) == (note.noted, note.kept, note.wrong)
        assert before.number + 1 == shop.version().number

    def test_that_comes_again_counts_once_and_leaves_the_version(self, shop: Shop) -> None:
        """... that comes again is known, and nothing changes."""
        shop.tell(FITTED)
        before = shop.version()

        assert [Noted.AGAIN] == shop.noted(FITTED)
        assert (before, Tally((counted("fitted", "bench", 1),))) == (shop.version(), shop.tally())

    @pytest.mark.parametrize(
        "change",
        [{"outcome": "did_not_go_on"}, {"part": "frame-b"}, {"on": "2026-03-08"}, {"told_by": "shop"}],
        ids=lambda change: "".join(change),
    )
    def test_that_comes_again_otherwise_stays_as_it_was(self, shop: Shop, change: Json) -> None:
        """... that comes again saying something else changes nothing, and what is kept is told."""
        shop.tell(FITTED)
        before = shop.version()
        (note,) = shop.tell({**FITTED, **change})

        assert (Noted.OTHERWISE, FITTED) == (note.noted, note.kept)
        assert (before, Tally((counted("fitted", "bench", 1),))) == (shop.version(), shop.tally())

    def test_is_known_by_its_number_within_its_shop_only(self, shop: Shop) -> None:
        """... of another shop is another one, though that shop counts in the same way."""
        assert [Noted.NEW, Noted.NEW] == [*shop.noted(FITTED), *shop.noted(FITTED, by="lantern-street")]
        assert Tally((counted("fitted", "bench", 2),)) == shop.tally()

    def test_may_come_twice_at_once(self, shop: Shop) -> None:
        """... that is told twice in one go is kept once, as it was told first."""
        otherwise = {**FITTED, "outcome": "did_not_go_on"}

        assert [Noted.NEW, Noted.AGAIN, Noted.OTHERWISE] == shop.noted(FITTED, FITTED, otherwise)
        assert Tally((counted("fitted", "bench", 1),)) == shop.tally()

    def test_is_the_same_in_whatever_order_its_parts_stand(self, shop: Shop) -> None:
        """... names what was fitted beside the part in any order."""
        shop.tell({**FITTED, "with": ["plate-2", "plate-1"]})

        assert [Noted.AGAIN] == shop.noted({**FITTED, "with": ["plate-1", "plate-2"]})
        assert [Noted.OTHERWISE] == shop.noted({**FITTED, "with": ["plate-1"]})

    def test_says_nothing_by_what_is_empty(self, shop: Shop) -> None:
        """... with an empty list or a null is the one without."""
        shop.tell(FITTED)
        receipt = {"request": "sha256:0", "catalogue": None, "rules": "0"}

        assert [Noted.AGAIN] == shop.noted({**FITTED, "with": [], "cause": None})
        assert {"request": "sha256:0", "rules": "0"} == shop.tell({**FITTED, "outcome_id": "2", "receipt": receipt})[
            0
        ].kept["receipt"]

    def test_that_two_tell_at_the_same_time_is_new_once(self, shop: Shop) -> None:
        """... that is sent twice because an answer was slow is kept by one of the two."""
        with ThreadPoolExecutor(4) as threads:
            noted = list(threads.map(lambda _: shop.noted(FITTED)[0], range(8)))

        assert [Noted.AGAIN] * 7 + [Noted.NEW] == sorted(noted)
        assert Tally((counted("fitted", "bench", 1),)) == shop.tally()

    def test_of_a_block_that_raises_is_not_kept(self, shop: Shop) -> None:
        """... is gone with the transaction that is taken back."""
        before = shop.version()
        with pytest.raises(KeyError):
            shop.tell_in_vain(FITTED)

        assert (before, None) == (shop.version(), shop.tally())


class TestNames:
    """A SKU of an outcome ..."""

    @pytest.mark.parametrize(
        ("change", "wrong"),
        [
            (
                {"skate": "heron-41"},
                ("/skate", "request.unknown_sku_near", {"found": "'heron-41'", "near": "'heron-42'"}),
            ),
            ({"part": "x"}, ("/part", "request.unknown_sku", {"found": "'x'"})),
            ({"skate": "frame-a"}, ("/skate", "request.not_a_skate", {"found": "'frame-a'"})),
            ({"part": "heron-40"}, ("/part", "request.not_a_part", {"found": "'heron-40'"})),
            ({"with": ["plate-2", "y", "plate-1"]}, ("/with/1", "request.unknown_sku", {"found": "'y'"})),
            ({"with": ["heron-42"]}, ("/with/0", "request.not_a_part", {"found": "'heron-42'"})),
        ],
        ids=["a slip", "unknown", "a part as skate", "a skate as part", "unknown beside", "a skate beside"],
    )
    def test_that_leads_nowhere_is_told_with_its_place(
        self, shop: Shop, change: Json, wrong: tuple[str, str, Json]
    ) -> None:
        """... that leads nowhere, or to the other sort, is told with its place as it was given."""
        (note,) = shop.tell({**FITTED, **change})

        assert (Misplaced(*wrong),) == note.wrong

    def test_that_is_gone_since_does_not_hold_up_a_retry(self, shop: Shop) -> None:
        """... that was taken out of the catalogue since is not asked for again."""
        shop.tell(FITTED)
        with shop.engines.writing() as connection:
            writing = Writing(connection, lambda _: [], "rules")
            writing.remove_article("frame-a")
            writing.finish()
        (note,) = shop.tell(FITTED)

        assert (Noted.AGAIN, ()) == (note.noted, note.wrong)


class TestCounts:
    """What was told ..."""

    def test_is_counted_by_pair_outcome_cause_and_source(self, shop: Shop) -> None:
        """... is counted for the pair that it was told of and for no other."""
        shop.tell(*TOLD)
        expected = Tally(
            (
                counted("came_back", "bench", 1, "changed_mind"),
                counted("came_back", "bench", 3, "faulty"),
                counted("fitted", "bench", 1),
                counted("fitted", "customer", 1),
            )
        )

        assert expected == shop.tally()
        assert Tally((counted("did_not_go_on", "bench", 1),)) == shop.tally(part="frame-b")
        assert None is shop.tally("heron-42", "frame-b")

    @pytest.mark.parametrize("at_a_time", [1, 2, 3, 500])
    def test_is_given_pair_by_pair_and_some_at_a_time(self, shop: Shop, at_a_time: int) -> None:
        """... is given in order of SKU, each pair whole, however many are read at a time."""
        shop.tell(*reversed(TOLD))
        pairs: list[Pair] = [("heron-40", "frame-a"), ("heron-40", "frame-b"), ("heron-42", "frame-a")]
        with shop.engines.reading() as connection:
            batches = list(pairs_told(connection, at_a_time))

        assert {pair: shop.tally(*pair) for pair in pairs} == dict(each for batch in batches for each in batch)
        assert pairs == [pair for batch in batches for pair, _ in batch]
        assert at_a_time >= max(map(len, batches))

    @pytest.mark.parametrize("at_a_time", [1, 2, 500])
    def test_came_back_is_given_by_pair_and_cause(self, shop: Shop, at_a_time: int) -> None:
        """... came back is counted by cause, with how many of it were used, however many pairs are read at a time."""
        shop.tell(*TOLD)
        with shop.engines.reading() as connection:
            found = list(returns_told(connection, at_a_time))

        assert [
            Returned("heron-40", "frame-a", ReturnCause.CHANGED_MIND, 1, 1),
            Returned("heron-40", "frame-a", ReturnCause.FAULTY, 3, 1),
            Returned("heron-42", "frame-a", ReturnCause.WRONG_VERSION, 1, 0),
        ] == found

    def test_is_nothing_where_nothing_was_told(self, shop: Shop) -> None:
        """... is nothing at first."""
        with shop.engines.reading() as connection:
            assert ([], []) == (list(pairs_told(connection)), list(returns_told(connection)))


def came_back(number: int, cause: str, **more: Any) -> Json:
    """Give an outcome that came back."""
    return {**FITTED, "outcome_id": f"r{number}", "outcome": "came_back", "cause": cause, **more}


class TestReturns:
    """What came back of a SKU ..."""

    def test_is_added_up_over_everything_it_was_bought_with(self, shop: Shop) -> None:
        """... counts whatever it was bought with, and by cause."""
        shop.tell(
            came_back(1, "faulty", used=True), came_back(2, "faulty", skate="heron-42"), came_back(3, "wrong_count")
        )
        with shop.engines.reading() as connection:
            part, skate = returns_of(connection, "frame-a"), returns_of(connection, "heron-42")

        assert [("faulty", 2, 1), ("wrong_count", 1, 0)] == [
            (each.cause, each.count, each.used) for each in part.by_cause
        ]
        assert [("heron-42", "faulty", 1)] == [(each.skate_sku, each.cause, each.count) for each in skate.by_cause]

    @pytest.mark.parametrize(
        ("cause", "sku", "fields"),
        [("did_not_go_on", "frame-a", ("mounts",)), ("wrong_version", "heron-40", ("mark",))],
    )
    def test_three_times_for_a_cause_that_points_at_its_row_pauses_it(
        self, shop: Shop, cause: str, sku: str, fields: tuple[str, ...]
    ) -> None:
        """... three times for one cause pauses the SKU whose row that points at, and no other."""
        shop.tell(*(came_back(number, cause) for number in range(2)))
        with shop.engines.reading() as connection:
            assert (False, ()) == (returns_of(connection, sku).is_paused, returns_of(connection, sku).corrections)
        shop.tell(came_back(2, cause))
        with shop.engines.reading() as connection:
            paused = [each for each in (*SKATES, *PARTS) if returns_of(connection, each).is_paused]
            (correction,) = returns_of(connection, sku).corrections

        assert ([sku], fields, 3) == (paused, correction.fields, correction.returns)

    @pytest.mark.parametrize(
        ("cause", "row"),
        [
            ("did_not_go_on", {"sku": "frame-a", "kind": "frame"}),
            ("wrong_version", {"sku": "heron-40", "kind": "skate"}),
        ],
    )
    def test_counts_no_more_once_the_row_was_checked(self, shop: Shop, cause: str, row: Json) -> None:
        """... points at its row until somebody held that against the goods, and again after three more."""
        shop.tell(*(came_back(number, cause, on="2026-03-07") for number in range(3)))
        with shop.engines.writing() as connection:
            writing = Writing(connection, lambda _: [], "rules")
            writing.add_articles([{**row, "checked_on": "2026-03-07"}])
            writing.finish()
        with shop.engines.reading() as connection:
            checked = returns_of(connection, row["sku"]), list(returns_told(connection))
        shop.tell(*(came_back(number, cause, on="2026-03-08") for number in range(3, 6)))
        with shop.engines.reading() as connection:
            again = returns_of(connection, row["sku"])

        assert (False, (), []) == (checked[0].is_paused, checked[0].by_cause, checked[1])
        assert (True, [3]) == (again.is_paused, [each.count for each in again.by_cause])

    @pytest.mark.parametrize("cause", ["wrong_count", "faulty", "changed_mind"])
    def test_for_another_cause_pauses_nothing(self, shop: Shop, cause: str) -> None:
        """... for a cause that says nothing about what goes on what never pauses anything."""
        shop.tell(*(came_back(number, cause) for number in range(9)))
        with shop.engines.reading() as connection:
            assert [] == [each for each in (*SKATES, *PARTS) if returns_of(connection, each).is_paused]

    def test_for_a_changed_mind_points_at_no_row(self, shop: Shop) -> None:
        """... because a mind was changed is counted and says nothing about the row."""
        shop.tell(*(came_back(number, "changed_mind") for number in range(9)))
        with shop.engines.reading() as connection:
            found = returns_of(connection, "frame-a")

        assert ([9], ()) == ([each.count for each in found.by_cause], found.corrections)


def written(path: Path, *outcomes: Mapping[str, Any]) -> Path:
    """Write outcomes to a file, one a line."""
    path.write_text("".join(json.dumps(outcome) + "\n" for outcome in outcomes), encoding="utf-8")
    return path


def places(report: Report) -> list[tuple[int, str, str]]:
    """Give where each fault stands, and its code."""
    return [(found.line, found.column, found.code) for found in report.findings.faults]


class TestFiles:
    """A file of outcomes ..."""

    def test_is_loaded_in_one_transaction(self, shop: Shop, tmp_path: Path) -> None:
        """... raises the version once, however many outcomes it has."""
        before = shop.version()
        report = shop.load(written(tmp_path / "told.jsonl", *TOLD))

        assert ({"outcomes": 8}, 8, shop.version()) == (report.counts, report.changed, report.version)
        assert before.number + 1 == shop.version().number

    def test_that_is_loaded_again_changes_nothing(self, shop: Shop, tmp_path: Path) -> None:
        """... may be loaded any number of times."""
        path = written(tmp_path / "told.jsonl", *TOLD)
        shop.load(path)
        before = shop.version()
        report = shop.load(path)

        assert (True, 0, None) == (report.is_good, report.changed, report.version)
        assert before == shop.version()

    def test_says_the_same_as_the_same_outcomes_one_by_one(self, shop: Shop, tmp_path: Path) -> None:
        """... and single calls are one record: what came by one way is known by the other."""
        shop.load(written(tmp_path / "told.jsonl", *TOLD))

        assert [Noted.AGAIN] * len(TOLD) == shop.noted(*TOLD)

    @pytest.mark.parametrize(
        ("wrong", "place"),
        [
            ({**FITTED, "outcome_id": "9", "on": "Sunday"}, (9, "/on", "request.form")),
            ({**FITTED, "outcome_id": "9", "part": "frame-c"}, (9, "/part", "request.unknown_sku_near")),
            ({**FITTED, "told_by": "shop"}, (9, "/outcome_id", "request.told_otherwise")),
            ([FITTED], (9, "", "request.not_object")),
        ],
        ids=["faulty by itself", "a SKU that leads nowhere", "told otherwise", "no object"],
    )
    def test_with_a_fault_is_not_loaded_at_all(
        self, shop: Shop, tmp_path: Path, wrong: Any, place: tuple[int, str, str]
    ) -> None:
        """... with a fault anywhere leaves nothing behind, and the fault is told with its line and place."""
        before = shop.version()
        report = shop.load(written(tmp_path / "told.jsonl", *TOLD, wrong))

        assert ([place], 0, None) == (places(report), report.changed, report.version)
        assert (before, None) == (shop.version(), shop.tally())

    def test_has_all_its_faults_told(self, shop: Shop, tmp_path: Path) -> None:
        """... is gone through to its end."""
        path = written(tmp_path / "told.jsonl", *({**FITTED, "outcome_id": str(n), "part": "no"} for n in range(3)))

        assert [(line, "/part", "request.unknown_sku") for line in (1, 2, 3)] == places(shop.load(path))

    def test_may_be_longer_than_what_is_written_at_a_time(self, shop: Shop, tmp_path: Path) -> None:
        """... knows its first outcome still when it comes again two thousand lines later."""
        many = [{**FITTED, "outcome_id": f"n{number}"} for number in range(2001)]
        report = shop.load(written(tmp_path / "told.jsonl", *many, many[0]))

        assert ({"outcomes": 2002}, 2001) == (report.counts, report.changed)

    @pytest.mark.parametrize("code", ["", "Tide Wheel", "tide_wheel", "a" * 41, "tidewheel\n"])
    def test_is_told_by_a_shop_that_has_a_code(self, shop: Shop, tmp_path: Path, code: str) -> None:
        """... is refused under what is no code of a shop: nobody's name is kept."""
        with pytest.raises(CatalogueError, match="expected 1 to 40 of a to z"):
            shop.load(written(tmp_path / "told.jsonl", FITTED), code)
