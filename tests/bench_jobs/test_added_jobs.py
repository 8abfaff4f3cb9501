"""The jobs that standards files add to those in the box."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest

from mountwright.bench.added_jobs import jobs_with_added
from mountwright.bench.jobs import Range, bench_jobs
from mountwright.errors import StandardsFileError
from mountwright.mounts.registry import Registry, assembled
from mountwright.mounts.standard import Family, StandardSet

ROW: dict[str, Any] = {
    "title": "Hang a lantern",
    "steps": ["Clip it on."],
    "minutes": [1, 2, 4],
    "can_be_undone": True,
    "where": "home",
    "risk": "low",
    "standing": "estimate",
}


def registry(**rows_of: Mapping[str, Any]) -> Registry:
    """Give what is installed where files add jobs, by the name of their family."""
    return assembled(
        StandardSet(Family(name, ("rail",), ("boot", "lamp"), {}, {}, ()), (), (), {}, name, rows)
        for name, rows in rows_of.items()
    )


def faults(**rows_of: Mapping[str, Any]) -> tuple[str, tuple[str, ...]]:
    """Give which family is refused, and why."""
    with pytest.raises(StandardsFileError) as caught:
        jobs_with_added(registry(**rows_of))
    return caught.value.file, caught.value.faults


class TestJobsWithAdded:
    """The jobs of the bench ..."""

    def test_are_those_in_the_box_where_nobody_adds_any(self) -> None:
        """... are those in the box where no file has any."""
        assert bench_jobs() == jobs_with_added(registry(lamps={}))

    def test_have_those_of_every_file_behind_those_in_the_box(self) -> None:
        """... have those of each file behind those in the box, which they may name, and their own."""
        rows = {"hang": {**ROW, "needs": ["take_frame_off"], "then": ["light"]}, "light": ROW}
        found = jobs_with_added(registry(lamps=rows, bells={"oil": {**ROW, "minutes": [5, 6, 7]}}))

        assert [*bench_jobs(), "hang", "light", "oil"] == list(found)
        assert (("take_frame_off",), Range(5, 6, 7)) == (found["hang"].needs, found["oil"].minutes)

    def test_cannot_be_read_of_faulty_rows(self) -> None:
        """... have every fault of a file named by its place, and its family."""
        slips = {"hang": {**ROW, "minutes": [4, 2, 1]}, "light": {**ROW, "after": ["lit"]}}
        family, found = faults(bells={"oil": ROW}, lamps=slips)

        assert ("lamps", 2) == (family, len(found))
        assert found[0].startswith("bench_jobs.hang: minutes: found [4, 2, 1], expected three whole numbers")
        assert "bench_jobs.light: no job 'lit'" == found[1]

    @pytest.mark.parametrize("key", ["swap_frame", "oil"])
    def test_never_take_the_place_of_another(self, key: str) -> None:
        """... are told apart by their keys, from those in the box and from those of other files."""
        assert ("lamps", (f"bench_jobs.{key}: the key is taken",)) == faults(bells={"oil": ROW}, lamps={key: ROW})

    def test_have_every_fault_told_beside_a_key_that_is_taken(self) -> None:
        """... have all faults told at once, each once."""
        rows = {"swap_frame": ROW, "hang": {**ROW, "after": ["lit"]}}
        _, found = faults(lamps=rows)

        assert ["bench_jobs.hang: no job 'lit'", "bench_jobs.swap_frame: the key is taken"] == sorted(found)

    def test_are_no_kinds(self) -> None:
        """... are not called as a kind of articles is: a complaint is helped by either, told apart by name."""
        assert ("lamps", ("bench_jobs.wheel: the key is that of a kind of articles",)) == faults(lamps={"wheel": ROW})

    def test_do_not_rest_on_what_else_lies_in_the_folder(self) -> None:
        """... name none of another file, in whatever order the files are read."""
        assert ("lamps", ("bench_jobs.hang: no job 'oil'",)) == faults(
            bells={"oil": ROW}, lamps={"hang": {**ROW, "needs": ["oil"]}}
        )

    def test_never_wait_for_each_other_in_a_ring(self) -> None:
        """... can be put in an order, also those of two files that stand for jobs in the box."""
        one, other = ("swap_frame", "swap_wheels"), ("swap_wheels", "swap_frame")
        rows = [{**ROW, "stands_for": [stands_for], "after": [after]} for stands_for, after in (one, other)]
        assert jobs_with_added(registry(bells={"oil": rows[1]}))
        family, (found,) = faults(bells={"oil": rows[1]}, lamps={"hang": rows[0]})

        assert "lamps" == family
        assert found.startswith("bench_jobs: found ['hang', 'oil'], expected jobs that do not wait for each other")
