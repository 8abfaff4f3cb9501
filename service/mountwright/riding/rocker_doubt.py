"""Whether a rocker is there at all, as diameters are known: marks are wrong, and wheels of one article differ.

What a mark is wrong by is drawn once for all wheels of a lot, so that it cancels between them; what each wheel differs
by is drawn for itself. A wheel that was measured has the doubt of its reading alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from mountwright.riding.band import Band, exactly
from mountwright.riding.draws import DRAWS, drawn, normal, share_below, summed_up, uniform
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Diameter, Line
from mountwright.riding.loads import LoadCases, shared_loads
from mountwright.riding.stands import (
    TOUCH_MM,
    Floats,
    bottoms_mm,
    circles,
    gaps_on_level_mm,
    rocker_mm,
    spans_mm,
    standing_gaps_mm,
)

#: A wheel that carries a smaller share of the load carries none: to this the loads of two right solvers agree.
CARRIES_SHARE = 1e-9


class Pressing(NamedTuple):
    """What presses the wheels onto the ground.

    Parameters
    ----------
    along_mm : float
        Where it stands, between the outer axles, both exclusive.
    load_n : float
        Above 0.
    stiffness_n_mm15 : numpy.ndarray
        (w,), of each tyre.
    """

    along_mm: float
    load_n: float
    stiffness_n_mm15: Floats


@dataclass(frozen=True)
class StandDoubt:
    """How the skate may stand under its load, as its diameters are known.

    Parameters
    ----------
    clear : tuple of float
        For each wheel, the probability that a strip of paper goes under it before the tyres give.
    lifted : tuple of float
        For each wheel, the probability that it carries nothing with the tyres' give.
    effective_wheelbase_mm : Band
        Between the outermost wheels that touch before the tyres give; half of all draws lie below the likely value,
        and 5 % beyond each bound.
    loaded_wheelbase_mm : Band
        The same of the wheels that carry with the tyres' give.
    """

    clear: tuple[float, ...]
    lifted: tuple[float, ...]
    effective_wheelbase_mm: Band
    loaded_wheelbase_mm: Band


@dataclass(frozen=True)
class RockerDoubt:
    """Whether there is a rocker, as diameters are known.

    Parameters
    ----------
    probability : float
        That the lowest inner wheel reaches below the line through the outer two. Only exact diameters give 0 or 1, and
        fewer than 3 wheels 0.
    rocker_mm : Band
        Half of all draws lie below the likely value, and 5 % beyond each bound.
    stand : StandDoubt or None
        None where the load tips the skate.
    """

    probability: float
    rocker_mm: Band
    stand: StandDoubt | None


def rocker_doubt(line: Line, pressing: Pressing | None) -> RockerDoubt:
    """Give whether a line has a rocker, and how it stands under a load.

    Parameters
    ----------
    line : Line
    pressing : Pressing or None
        None where the load tips the skate.

    Raises
    ------
    InvalidQuantityError
        For a load that tips the skate.
    """
    wheels, diameters = circles(line), drawn_diameters_mm(line)
    rockers = rocker_mm(wheels.along_mm, wheels.down_mm, diameters)
    stand = None if pressing is None else _stand_doubt(wheels.along_mm, wheels.down_mm, diameters, pressing)
    if len(line.axles) < 3:
        return RockerDoubt(0.0, exactly(0.0), stand)
    return RockerDoubt(_probability_below(-rockers, 0.0), _band(rockers), stand)


def drawn_diameters_mm(line: Line) -> Floats:
    """Give the diameters that the wheels of a line may have, millimetres, above 0: (draws, wheels), always the same.

    A line whose diameters are exact has one draw.
    """
    sizes = [tyre.diameter for tyre in line.tyres]
    if all(size.shared_mm.is_exact and size.own_sd_mm == 0 for size in sizes):
        return circles(line).diameters_mm[np.newaxis]
    columns = [_drawn_mm(size, lot, index) for index, (size, lot) in enumerate(zip(sizes, line.lots, strict=True))]
    return np.column_stack(columns)


def _drawn_mm(size: Diameter, lot: int, index: int) -> Floats:
    shared = drawn(size.shared_mm, uniform(f"diameter of lot {lot}"))
    own = size.own_sd_mm * normal(f"diameter of wheel {index} of lot {lot}")
    # However wild its scatter, a wheel has a size.
    return np.maximum(size.mm + shared + own, size.mm / 2)


def _stand_doubt(along_mm: Floats, down_mm: Floats, diameters_mm: Floats, pressing: Pressing) -> StandDoubt:
    # First, since it refuses a load that tips.
    loads = _loads_n(along_mm, gaps_on_level_mm(down_mm, diameters_mm), pressing)
    gaps = standing_gaps_mm(along_mm, bottoms_mm(down_mm, diameters_mm), pressing.along_mm)
    carries = loads > CARRIES_SHARE * pressing.load_n
    paper_mm = estimate("paper_strip_mm").likely
    return StandDoubt(
        tuple(_probability_below(paper_mm - under, 0.0) for under in gaps.T),
        tuple(_probability_below(carrying.astype(np.float64), 0.5) for carrying in carries.T),
        _band(spans_mm(along_mm, gaps <= TOUCH_MM)),
        _band(spans_mm(along_mm, carries)),
    )


def _loads_n(along_mm: Floats, gaps_mm: Floats, pressing: Pressing) -> Floats:
    """Give the load on each wheel, (n, w), of many lines under one load."""
    shape = gaps_mm.shape
    return shared_loads(
        LoadCases(
            np.broadcast_to(along_mm, shape),
            gaps_mm,
            np.broadcast_to(pressing.stiffness_n_mm15, shape),
            np.full(shape[0], pressing.load_n),
            np.full(shape[0], pressing.along_mm),
        )
    ).loads_n


def _probability_below(values: Floats, limit: float) -> float:
    """Give how likely a value lies below a limit; of an exact one, whether it does."""
    return share_below(values, limit) if values.size == DRAWS else float(values[0] < limit)


def _band(values: Floats) -> Band:
    return summed_up(values) if values.size == DRAWS else exactly(float(values[0]))
