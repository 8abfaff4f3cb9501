"""Files that shops have sent: one at a time, each with an end that is told, whichever copy is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from threading import Timer
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from mountwright.catalogue.engines import Engines, opened
from mountwright.catalogue.import_job import Finding, ImportJob, JobReport, JobState, packed, unpacked
from mountwright.catalogue.import_jobs import (
    GRACE_S,
    KEPT,
    admitted,
    begun,
    done,
    failed,
    given_up,
    heard_of,
    job_of,
    kept,
    require_none,
    vouched_for,
)
from mountwright.catalogue.import_lock import importing_alone
from mountwright.catalogue.importing import Findings, Report
from mountwright.catalogue.rows import RecordFault
from mountwright.catalogue.tables import IMPORTS
from mountwright.catalogue.versions import Version, version_of
from mountwright.errors import ImportRunsError

NOON = datetime(2031, 5, 4, 12, 0, 0, tzinfo=UTC)
SECOND = timedelta(seconds=1)

#: The last moment at which a silent importer may still be there, and the first at which it is gone.
STILL, GONE = NOON + GRACE_S * SECOND, NOON + (GRACE_S + 1) * SECOND

TOLD = JobReport(rows_read=3, counts={"families": 0, "parts": 3, "skates": 0}, changed=2)

PARAMS = st.dictionaries(
    st.text(), st.text() | st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False), max_size=3
)
FINDINGS = st.lists(st.builds(Finding, st.none() | st.integers(1, 10**6), st.text(), st.text(), PARAMS), max_size=3)
COUNTS = st.integers(0, 10**9)
REPORTS = st.builds(
    JobReport,
    st.booleans(),
    COUNTS,
    st.none() | st.dictionaries(st.sampled_from(["families", "parts", "skates"]), COUNTS),
    st.none() | COUNTS,
    st.none() | st.text(),
    COUNTS,
    FINDINGS.map(tuple),
    COUNTS,
    FINDINGS.map(tuple),
)


@pytest.fixture
def engines(database: str) -> Iterator[Engines]:
    """Give an empty catalogue."""
    found = opened(database)
    yield found
    found.close()


def state_of(engines: Engines, job: ImportJob, now: datetime = NOON) -> JobState:
    """Give the state of an import as it is told at some time, noon where none is given."""
    found = job_of(engines, job.id, now)
    assert found is not None
    return found.state


def running(engines: Engines, now: datetime = NOON) -> ImportJob:
    """Take an import in and begin it."""
    job = admitted(engines, "bell", now)
    assert begun(engines, job.id, job.report, now)
    return job


def keep(engines: Engines, job: ImportJob, version: str) -> None:
    """Note that the rows of an import are kept."""
    with engines.writing() as connection:
        kept(connection, job.id, JobReport(catalogue=version), NOON)


ENDS: dict[str, Callable[[Engines, ImportJob], None]] = {
    "done": lambda engines, job: done(engines, job.id, TOLD, NOON),
    "failed": lambda engines, job: failed(engines, job.id, TOLD, NOON),
    "interrupted": lambda engines, job: given_up(engines, job.id, NOON),
}


class TestAdmission:
    """An import ..."""

    def test_is_told_by_any_copy_as_it_was_taken_in(self, engines: Engines, database: str) -> None:
        """... is told by any copy as it was taken in: it waits."""
        job = admitted(engines, "bell", NOON, dry_run=True)
        other = opened(database)

        assert ("bell", "waiting", True, "2031-05-04T12:00:00Z") == (
            job.shop,
            job.state,
            *(job.report.dry_run, job.created_at),
        )
        assert job == job_of(other, job.id, NOON)
        other.close()

    def test_that_nobody_sent_is_not_told(self, engines: Engines) -> None:
        """... that nobody sent is None."""
        assert job_of(engines, "0123456789abcdef", NOON) is None

    def test_leaves_the_version_of_the_catalogue_alone(self, engines: Engines) -> None:
        """... raises no version by itself: no answer depends on who sent what."""
        ENDS["done"](engines, running(engines))
        with engines.reading() as connection:
            assert 0 == version_of(connection).number

    @pytest.mark.parametrize("first", [admitted, running], ids=["waits", "runs"])
    def test_is_refused_beside_another_one(self, engines: Engines, first: Callable[..., ImportJob]) -> None:
        """... is refused while another one waits or runs, and so is the question whether there is one."""
        first(engines, *(["bell"] if first is admitted else []), NOON)
        with pytest.raises(ImportRunsError):
            require_none(engines, NOON)
        with pytest.raises(ImportRunsError):
            admitted(engines, "horn", NOON)

    @pytest.mark.parametrize("end", ENDS)
    def test_is_let_in_after_the_end_of_another_one(self, engines: Engines, end: str) -> None:
        """... is let in when the one before has ended, whichever way; that one's end stands."""
        first = running(engines)
        ENDS[end](engines, first)
        require_none(engines, NOON)

        assert JobState.WAITING is state_of(engines, admitted(engines, "horn", NOON))
        assert end == state_of(engines, first)

    def test_is_refused_while_the_command_line_brings_files_in(self, engines: Engines) -> None:
        """... is refused while an import that nobody sent holds the lock, and leaves nothing behind."""
        with importing_alone(engines):
            with pytest.raises(ImportRunsError):
                require_none(engines, NOON)
            with pytest.raises(ImportRunsError):
                admitted(engines, "bell", NOON)
        with engines.reading() as connection:
            assert [] == connection.execute(select(IMPORTS)).all()

    def test_waits_for_a_lock_that_is_held_for_a_moment(self, engines: Engines) -> None:
        """... is not refused because somebody looks whether the lock is free."""
        alone = importing_alone(engines)
        alone.__enter__()
        looks = Timer(0.1, lambda: alone.__exit__(None, None, None))
        looks.start()

        assert JobState.WAITING is state_of(engines, admitted(engines, "bell", NOON))
        looks.join()

    def test_is_let_in_once_where_many_are_sent_together(self, engines: Engines) -> None:
        """... is let in alone where eight are sent in one moment."""

        def sent(number: int) -> bool:
            try:
                return bool(admitted(engines, f"shop-{number}", NOON))
            except ImportRunsError:
                return False

        with ThreadPoolExecutor(8) as shops:
            assert 1 == sum(shops.map(sent, range(8)))

    def test_is_forgotten_after_its_time(self, engines: Engines) -> None:
        """... is told for thirty days, and then no more when the next one comes."""
        old, young = running(engines), NOON + KEPT
        ENDS["done"](engines, old)
        ENDS["done"](engines, running(engines, young))
        assert JobState.DONE is state_of(engines, old)

        admitted(engines, "bell", young + SECOND)
        assert job_of(engines, old.id, young) is None


class TestSilence:
    """An importer that says nothing ..."""

    @pytest.mark.parametrize("first", [admitted, running], ids=["waits", "runs"])
    def test_is_gone_after_the_grace(self, engines: Engines, first: Callable[..., ImportJob]) -> None:
        """... is there until the grace is over, and gone a second later; who asks earlier sees that, too."""
        job = first(engines, *(["bell"] if first is admitted else []), NOON)

        assert JobState.INTERRUPTED is not state_of(engines, job, STILL)
        assert [JobState.INTERRUPTED] * 2 == [state_of(engines, job, now) for now in (GONE, NOON)]

    def test_is_there_while_it_holds_the_lock(self, engines: Engines) -> None:
        """... may be writing, which takes its time."""
        job = running(engines)
        with importing_alone(engines):
            assert JobState.RUNNING is state_of(engines, job, GONE)

    def test_may_not_begin_when_it_was_given_up(self, engines: Engines) -> None:
        """... and was told as interrupted does not bring its file in afterwards."""
        job = admitted(engines, "bell", NOON)
        state_of(engines, job, GONE)

        assert not begun(engines, job.id, TOLD, GONE)
        assert JobState.INTERRUPTED is state_of(engines, job, GONE)

    def test_makes_way_for_the_next_one(self, engines: Engines) -> None:
        """... keeps nobody out, and is noted as interrupted by the next one."""
        job = running(engines)
        require_none(engines, GONE)
        admitted(engines, "horn", GONE)

        assert JobState.INTERRUPTED is state_of(engines, job, NOON)

    @pytest.mark.parametrize(("version", "told"), [(None, "interrupted"), ("1-0123456789ab", "done")])
    def test_is_told_as_gone_where_that_cannot_be_noted(
        self, sqlite_database: str, version: str | None, told: str
    ) -> None:
        """... is told as interrupted, or as done if it kept its rows, though another writer keeps the database."""
        engines, other = opened(sqlite_database), opened(sqlite_database)
        job = running(engines)
        if version is not None:
            keep(engines, job, version)
        with other.writing():
            assert told == state_of(engines, job, GONE)
        assert JobState.RUNNING is state_of(engines, job, NOON)
        engines.close()
        other.close()

    def test_may_be_vouched_for_until_it_begins(self, engines: Engines) -> None:
        """... and has not begun yet is there as long as somebody says that it is on its way."""
        job = admitted(engines, "bell", NOON)
        assert vouched_for(engines, job.id, GONE)
        assert JobState.WAITING is state_of(engines, job, GONE)

        begun(engines, job.id, job.report, GONE)
        assert not vouched_for(engines, job.id, GONE)


class TestCourse:
    """An import under way ..."""

    def test_tells_how_far_it_is(self, engines: Engines) -> None:
        """... tells how many rows were read, and when it was heard of last."""
        job = running(engines)
        heard_of(engines, job.id, JobReport(rows_read=1500), NOON + 2 * SECOND)
        found = job_of(engines, job.id, GONE)

        assert found is not None
        assert ("running", 1500, "2031-05-04T12:00:02Z") == (found.state, found.report.rows_read, found.updated_at)

    def test_begins_once(self, engines: Engines) -> None:
        """... is not begun a second time."""
        assert not begun(engines, running(engines).id, TOLD, NOON)

    def test_tells_what_became_of_it(self, engines: Engines) -> None:
        """... tells the whole report at its end."""
        job, report = running(engines), JobReport(fault_count=1, faults=(Finding(7, "sku", "import.twice", {"a": 1}),))
        failed(engines, job.id, report, NOON)
        found = job_of(engines, job.id, NOON)

        assert found is not None
        assert (JobState.FAILED, report) == (found.state, found.report)

    def test_whose_rows_are_kept_is_done_when_its_importer_is_gone(self, engines: Engines) -> None:
        """... runs until it has told how much there was, and is done without that where the importer is gone."""
        job = running(engines)
        keep(engines, job, "1-0123456789ab")
        states = [state_of(engines, job, now) for now in (STILL, GONE)]
        found = job_of(engines, job.id, GONE)

        assert [JobState.RUNNING, JobState.DONE] == states
        assert found is not None
        assert ("1-0123456789ab", None) == (found.report.catalogue, found.report.changed)

    @pytest.mark.parametrize("word", ["failed", "interrupted"])
    def test_whose_rows_are_kept_never_fails(self, engines: Engines, word: str) -> None:
        """... and whose rows are kept is done, whatever is said of it afterwards."""
        job = running(engines)
        keep(engines, job, "1-0123456789ab")
        ENDS[word](engines, job)

        assert JobState.DONE is state_of(engines, job, GONE)

    def test_whose_transaction_is_taken_back_is_interrupted(self, engines: Engines) -> None:
        """... is done only with what it brought in."""
        job = running(engines)
        with suppress(ZeroDivisionError), engines.writing() as connection:
            kept(connection, job.id, TOLD, NOON)
            raise ZeroDivisionError

        assert JobState.INTERRUPTED is state_of(engines, job, GONE)

    @pytest.mark.parametrize("word", ["failed", "interrupted"])
    def test_that_is_done_stays_so(self, engines: Engines, word: str) -> None:
        """... and is done does not become anything else, whatever is said of it afterwards."""
        job = running(engines)
        ENDS["done"](engines, job)
        ENDS[word](engines, job)
        heard_of(engines, job.id, JobReport(), NOON)

        assert JobState.DONE is state_of(engines, job, GONE)

    def test_that_is_done_after_all_is_told_so(self, engines: Engines) -> None:
        """... and was given up too early has the last word itself."""
        job = running(engines)
        given_up(engines, job.id, NOON)
        ENDS["done"](engines, job)

        assert JobState.DONE is state_of(engines, job)


class TestReport:
    """The report of an import ..."""

    @given(REPORTS)
    def test_is_read_as_it_was_kept(self, report: JobReport) -> None:
        """... is read as it was kept."""
        assert report == unpacked(packed(report))

    def test_tells_the_faults_by_row_and_column(self) -> None:
        """... tells each fault by row and column, and no place of the service's own machine."""
        findings, twice = Findings(most=2), {"found": "'f-1'", "file": "/tmp/x.csv", "line": 2}  # noqa: S108  # no file
        findings.fault(RecordFault("/tmp/x.csv", 3, "sku", "import.twice", twice))  # noqa: S108  # as above
        findings.fault(RecordFault("", 0, "", "import.torn", {"sku": "s-1"}))
        findings.fault(RecordFault("/tmp/x.csv", 9, "sku", "import.twice", twice))  # noqa: S108  # as above
        report = JobReport(rows_read=9).with_outcome(Report({"parts": 1}, 0, None, findings))

        expected = Finding(3, "sku", "import.twice", {**twice, "file": "the file"})
        assert (expected, Finding(None, "", "import.torn", {"sku": "s-1"})) == report.faults
        assert (3, 9, {"parts": 1}) == (report.fault_count, report.rows_read, report.counts)

    def test_keeps_the_version_that_was_noted(self) -> None:
        """... keeps the version that was noted with what was kept, and adds how much that was."""
        version: Any = Version(4, "0123456789ab")
        report = JobReport(catalogue=version.label).with_outcome(Report({"parts": 3}, 2, version, Findings()))

        assert ("4-0123456789ab", 2) == (report.catalogue, report.changed)

    def test_tells_the_one_fault_that_ended_it(self) -> None:
        """... tells what ended an import that could not be read through."""
        report = JobReport(rows_read=500).with_fault("import.broken_off", {"reason": "it rained"})

        assert (1, (Finding(None, "", "import.broken_off", {"reason": "it rained"}),)) == (
            report.fault_count,
            report.faults,
        )
