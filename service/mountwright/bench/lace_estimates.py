"""What lacing takes that no standard or paper gives, from ``laces.toml``."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from itertools import pairwise
from typing import Any, NamedTuple

from mountwright.bench.estimates import estimates_in
from mountwright.errors import InvalidQuantityError
from mountwright.riding.band import Band

_FILE = "laces.toml"


class LaceEstimates(NamedTuple):
    """The coefficients.

    Parameters
    ----------
    bow_tail_mm : Band
        Of each end, free of its top eyelet: the least still ties a bow, and more than the most dangles.
    eyelet_thickness_mm : Band
        What going through one eyelet takes beside the way across.
    lock_loop_slack_mm : Band
        What a lock loop takes of each end beside its crossing.
    friction : Band
        Of a lace on an eyelet, a pure number.
    short_of_mark_share : Band
        Share of its marked length that a lace may be short of it.
    sold_mm : tuple of float
        Lengths that are sold, rising.
    """

    bow_tail_mm: Band
    eyelet_thickness_mm: Band
    lock_loop_slack_mm: Band
    friction: Band
    short_of_mark_share: Band
    sold_mm: tuple[float, ...]


@cache
def lace_estimates() -> LaceEstimates:
    """Give the coefficients in the box.

    Raises
    ------
    InvalidQuantityError
        For one of another standing than ``estimate`` or ``common practice``, and for lengths that do not rise.
    """
    return _read(tomllib.loads(resources.files(__package__).joinpath(_FILE).read_text(encoding="utf-8")))


def _read(rows: Mapping[str, Mapping[str, Any]]) -> LaceEstimates:
    lengths = tuple(float(each) for each in rows["sold"]["lengths_mm"])
    if not all(shorter < longer for shorter, longer in pairwise((0.0, *lengths))):
        raise InvalidQuantityError(lengths, "lengths above 0, rising")
    return LaceEstimates(**{name: each.band for name, each in estimates_in(_FILE).items()}, sold_mm=lengths)
