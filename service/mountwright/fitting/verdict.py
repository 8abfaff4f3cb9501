"""Verdicts and their order."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Verdict(StrEnum):
    """What is said of a joint, a part or a whole request, best first."""

    FITS = "fits"
    FITS_WITH_PARTS = "fits_with_parts"
    FITS_AFTER_BENCH_WORK = "fits_after_bench_work"
    CANNOT_TELL = "cannot_tell"
    DOES_NOT_FIT = "does_not_fit"

    @property
    def rank(self) -> int:
        """Give its place, 0 for the best."""
        return _ORDER[self]


_ORDER = {verdict: place for place, verdict in enumerate(Verdict)}


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Give the worst of several verdicts; ``cannot_tell`` of none, for nothing was looked at."""
    return max(verdicts, key=lambda verdict: verdict.rank, default=Verdict.CANNOT_TELL)
