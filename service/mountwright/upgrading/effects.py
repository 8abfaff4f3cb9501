"""What a part changes about how the skate stands, as far as the figures of both parts are known."""

from __future__ import annotations

from statistics import fmean
from typing import NamedTuple

from mountwright.checkout.article import Article


class Effect(NamedTuple):
    """A change, new less old; None where a figure is not known or the part does not bear on it.

    Parameters
    ----------
    wheelbase_mm : float or None
        From the first axle to the last: a longer one runs steadier, a shorter one turns easier (common practice).
    height_mm : float or None
        Of the sole above the ground.
    """

    wheelbase_mm: float | None = None
    height_mm: float | None = None


def effect_of(new: Article | None, old: Article | None) -> Effect:
    """Give what a part changes in the place of another one of its kind.

    Parameters
    ----------
    new, old : Article or None
        None for work without a part, and where nobody told what stands there.
    """
    if new is None or old is None or new.kind not in ("frame", "wheel"):
        return Effect()
    if new.kind == "wheel":
        return Effect(height_mm=_less(_radius_mm(new), _radius_mm(old)))
    return Effect(_less(wheelbase_mm(new), wheelbase_mm(old)), _less(_down_mm(new), _down_mm(old)))


def wheelbase_mm(frame: Article) -> float | None:
    """Give the way from the first axle to the last, as it is told, else by the axles' places; None without either."""
    told: float | None = frame.specs.get("wheelbase_mm")
    along = [row["along_mm"] for row in frame.specs.get("axle_places", ())]
    return max(along) - min(along) if told is None and len(along) > 1 else told


def _down_mm(frame: Article) -> float | None:
    """Give how deep under the sole the axles lie in the mean."""
    down = [row["down_mm"] for row in frame.specs.get("axle_places", ())]
    return fmean(down) if down else None


def _radius_mm(wheel: Article) -> float | None:
    marked: float | None = wheel.specs.get("diameter_mm")
    return None if marked is None else marked / 2


def _less(new: float | None, old: float | None) -> float | None:
    return None if new is None or old is None else new - old
