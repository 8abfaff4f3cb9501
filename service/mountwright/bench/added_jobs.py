"""The jobs of the bench with those that the installed standards files add to them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

from mountwright.bench.job_order import ordered
from mountwright.bench.jobs import Job, bench_jobs, read_jobs
from mountwright.errors import InvalidQuantityError, StandardsFileError
from mountwright.mounts.kinds import kinds
from mountwright.mounts.registry import Registry

#: The table of a standards file where its jobs stand.
_TABLE = "bench_jobs"


def jobs_with_added(registry: Registry) -> Mapping[str, Job]:
    """Give the jobs in the box and behind them those that the installed standards files add.

    Parameters
    ----------
    registry : Registry

    Raises
    ------
    StandardsFileError
        For the first family with faults, with all of them: a job that cannot be read, a key that is taken, jobs that
        wait for each other in a ring.
    """
    known: Mapping[str, Job] = bench_jobs()
    for family, rows in registry.bench_jobs.items():
        known = _with_added(family, rows, known)
    return known


def _with_added(family: str, rows: Mapping[str, Any], known: Mapping[str, Job]) -> Mapping[str, Job]:
    """Give known jobs with those of one file.

    They may name those in the box and each other, and no other file's: what a file rests on does not change with the
    order in which files are read, and a check of it alone finds the same.
    """
    faults = [f"{_TABLE}.{key}: {taken}" for key in rows if (taken := _taken(key, known))]
    together = dict(known)
    try:
        together |= read_jobs(rows, family, bench_jobs())
        ordered(together.values(), together)
    except StandardsFileError as error:
        faults += [f"{_TABLE}.{fault}" for fault in error.faults]
    except InvalidQuantityError as error:
        faults.append(f"{_TABLE}: {error}")
    if faults:
        # That a key is taken in the box is found twice.
        raise StandardsFileError(family, list(dict.fromkeys(faults)))
    return MappingProxyType(together)


def _taken(key: str, known: Mapping[str, Job]) -> str:
    """Say why a key cannot be had, or give an empty text."""
    if key in kinds():
        # Remedies are kinds and jobs, told apart by their names alone.
        return "the key is that of a kind of articles"
    return "the key is taken" if key in known else ""
