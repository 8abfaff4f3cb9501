"""The importer's own words: what it notes of a file, and when."""

from __future__ import annotations

import json
import resource
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import event, func, select

from mountwright.bootstrap import create_workshop
from mountwright.catalogue.import_job import ImportJob, JobReport, JobState
from mountwright.catalogue.import_jobs import GRACE_S, admitted, given_up, job_of
from mountwright.catalogue.import_lock import importing_alone
from mountwright.catalogue.tables import ARTICLES
from mountwright.settings import Settings
from mountwright.web.importing.run import Importer, run_import
from mountwright.web.workshop import Workshop

#: An importer that died is known to be gone by then, seconds.
LATER_S = GRACE_S + 2


@pytest.fixture
def workshop(database: str) -> Iterator[Workshop]:
    """Give a workshop with an empty catalogue."""
    found = create_workshop(Settings(database=database))
    yield found
    found.engines.close()


@pytest.fixture
def bring_in(workshop: Workshop, tmp_path: Path) -> Callable[..., ImportJob]:
    """Give a way to send a file of JSON Lines and run its import; gives what is told of it afterwards."""

    def run(*rows: dict[str, str], dry_run: bool = False) -> ImportJob:
        job = admitted(workshop.engines, "bell", datetime.now(UTC), dry_run=dry_run)
        run_import(job.id, written(tmp_path, *rows), workshop, decimal_comma=False, dry_run=dry_run)
        return told(workshop, job)

    return run


def written(folder: Path, *rows: dict[str, str]) -> Path:
    """Write rows to a file and give its path."""
    path = folder / "sent.jsonl"
    path.write_text("".join(json.dumps(row) + "\n" for row in rows), encoding="utf-8")
    return path


def told(workshop: Workshop, job: ImportJob, after_s: float = 0) -> ImportJob:
    """Give what is told of an import so many seconds from now."""
    found = job_of(workshop.engines, job.id, datetime.now(UTC) + timedelta(seconds=after_s))
    assert found is not None
    return found


def frames(count: int) -> list[dict[str, str]]:
    """Give so many frames."""
    return [{"sku": f"frame-{number}", "kind": "frame", "name": "Frame"} for number in range(count)]


def kept(workshop: Workshop) -> int:
    """Give how many articles the catalogue has."""
    with workshop.engines.reading() as connection:
        return connection.scalar(select(func.count()).select_from(ARTICLES)) or 0


@contextmanager
def dying_at_transaction(workshop: Workshop, number: int) -> Iterator[None]:
    """Let the process be ended where it begins its nth transaction, the first being 1."""
    begun = []

    def begins(_connection: object) -> None:
        begun.append(number)
        if len(begun) == number:
            raise KeyboardInterrupt

    event.listen(workshop.engines.writes, "begin", begins, insert=True)
    try:
        yield
    finally:
        event.remove(workshop.engines.writes, "begin", begins)


def test_a_good_file_is_done(bring_in: Callable[..., ImportJob], workshop: Workshop, tmp_path: Path) -> None:
    """Its rows are kept, counted and answered for by a version; the file is gone."""
    job = bring_in(*frames(3))

    assert ("done", 3, {"families": 0, "parts": 3, "skates": 0}) == (job.state, job.report.changed, job.report.counts)
    assert (3, workshop.shelf.version().label) == (job.report.rows_read, job.report.catalogue)
    assert [] == list(tmp_path.glob("*.jsonl"))


def test_a_faulty_file_is_failed(bring_in: Callable[..., ImportJob], workshop: Workshop) -> None:
    """Nothing is kept, and every fault is told."""
    job = bring_in(*frames(2), {"sku": "frame-0", "kind": "frame", "name": "Again"}, {"sku": "x"})

    assert (JobState.FAILED, 0, None) == (job.state, kept(workshop), job.report.catalogue)
    assert (3, "import.twice") == (job.report.faults[0].row, job.report.faults[0].code)
    assert {3, 4} == {fault.row for fault in job.report.faults}


def test_a_dry_run_is_done_and_keeps_nothing(bring_in: Callable[..., ImportJob], workshop: Workshop) -> None:
    """It tells what would change."""
    job = bring_in(*frames(2), dry_run=True)

    assert ("done", 2, None, 0) == (job.state, job.report.changed, job.report.catalogue, kept(workshop))


def test_a_standard_that_is_not_installed_is_a_note(bring_in: Callable[..., ImportJob]) -> None:
    """The file is kept, and the note tells the row."""
    mount = {"position": "frame", "standard": "three-bolt-165", "claimed_by": "maker"}
    job = bring_in(*frames(1), {**frames(2)[1], "mounts": [mount]})  # type: ignore[dict-item]  # a list of mounts

    assert ("done", 1) == (job.state, job.report.note_count)
    assert [(2, "import.not_installed")] == [(note.row, note.code) for note in job.report.notes]


def test_an_import_that_was_given_up_is_left_alone(workshop: Workshop, tmp_path: Path) -> None:
    """Whoever was told that it was interrupted does not find its rows afterwards; the file goes all the same."""
    job, file = admitted(workshop.engines, "bell", datetime.now(UTC)), written(tmp_path, *frames(1))
    given_up(workshop.engines, job.id, datetime.now(UTC))
    run_import(job.id, file, workshop, decimal_comma=False, dry_run=False)

    assert (JobState.INTERRUPTED, 0, False) == (told(workshop, job).state, kept(workshop), file.exists())


def test_an_importer_that_dies_before_its_rows_are_kept_has_not_done_it(workshop: Workshop, tmp_path: Path) -> None:
    """The transaction of its rows is the second, after its first word."""
    job = admitted(workshop.engines, "bell", datetime.now(UTC))
    with dying_at_transaction(workshop, 2), pytest.raises(KeyboardInterrupt):
        run_import(job.id, written(tmp_path, *frames(2)), workshop, decimal_comma=False, dry_run=False)

    assert (JobState.RUNNING, 0) == (told(workshop, job).state, kept(workshop))
    assert JobState.INTERRUPTED is told(workshop, job, LATER_S).state


def test_an_importer_that_dies_after_its_rows_are_kept_has_done_it(workshop: Workshop, tmp_path: Path) -> None:
    """A word of it stands in the transaction of the rows: their version is told, though not how many there were."""
    job = admitted(workshop.engines, "bell", datetime.now(UTC))
    with dying_at_transaction(workshop, 3), pytest.raises(KeyboardInterrupt):
        run_import(job.id, written(tmp_path, *frames(2)), workshop, decimal_comma=False, dry_run=False)
    found = told(workshop, job, LATER_S)

    assert (JobState.DONE, 2) == (found.state, kept(workshop))
    assert (workshop.shelf.version().label, None) == (found.report.catalogue, found.report.changed)


def test_an_import_that_another_one_keeps_out_is_failed(workshop: Workshop, tmp_path: Path) -> None:
    """The command line was faster, and takes long."""
    job = admitted(workshop.engines, "bell", datetime.now(UTC))
    with importing_alone(workshop.engines):
        run_import(job.id, written(tmp_path, *frames(1)), workshop, decimal_comma=False, dry_run=False)

    found = told(workshop, job)
    assert (JobState.FAILED, ["import.another_runs"]) == (found.state, [fault.code for fault in found.report.faults])


def test_an_import_that_meets_a_full_disk_is_failed(bring_in: Callable[..., ImportJob], workshop: Workshop) -> None:
    """What it sets down while it reads does not fit; the reason is told in the system's words."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (500_000, before[1]))
    try:
        job = bring_in(*frames(7000))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)

    assert ("failed", "import.broken_off", 0) == (job.state, job.report.faults[0].code, kept(workshop))
    assert {"reason": "File too large"} == job.report.faults[0].params


@pytest.fixture
def transactions(workshop: Workshop) -> Iterator[list[str]]:
    """Give what is done with transactions, in its order, as a list that grows."""
    seen: list[str] = []
    for name in ("begin", "commit", "rollback"):
        event.listen(workshop.engines.writes, name, lambda _, name=name: seen.append(name))
    return seen


def test_an_importer_says_a_word_while_it_reads(workshop: Workshop, transactions: list[str], tmp_path: Path) -> None:
    """By a clock that leaps it speaks after every few rows, and never while its own rows keep SQLite's one writer."""
    job, ticks = admitted(workshop.engines, "bell", datetime.now(UTC)), count(step=60.0)
    transactions.clear()
    importer = Importer(job.id, workshop, JobReport(), lambda: next(ticks))
    importer.bring_in(written(tmp_path, *frames(1200)), decimal_comma=False)

    assert ("done", 1200) == (told(workshop, job).state, told(workshop, job).report.rows_read)
    assert ["begin", "commit"] * 4 == transactions[:8]
    assert not workshop.engines.is_sqlite or ["begin", "commit"] * 6 == transactions
