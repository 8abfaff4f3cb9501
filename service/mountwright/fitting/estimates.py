"""The coefficients of judgement, from ``estimates.toml``: who is believed, and when an answer is sure."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources
from types import MappingProxyType

from mountwright.measure.quantity import thousandths
from mountwright.mounts.mount import Claimant


class Stake(StrEnum):
    """What hangs on the answer."""

    SHIPPING = "shipping"
    COUNTER = "counter"
    IRREVERSIBLE = "irreversible"


@dataclass(frozen=True, eq=False)
class Estimates:
    """Probabilities between 0 and 1, exclusive, unless said.

    Parameters
    ----------
    claim_is_right : Mapping[Claimant, float]
    others_share : float
        Share of a wrong claim that goes to the other installed standards.
    unclaimed_none : float
        Prior that an unclaimed mount follows no installed standard.
    look_reliability : float
    setting_half_width_um : int
        How closely an adjustable plate stands where its scale says.
    fits, irreversible, does_not_fit, try_it : float
        Thresholds on the probability of a fit.
    least_information_nat : float
        A next step that is expected to tell less is not asked for.
    """

    claim_is_right: Mapping[Claimant, float]
    others_share: float
    unclaimed_none: float
    look_reliability: float
    setting_half_width_um: int
    fits: float
    irreversible: float
    does_not_fit: float
    try_it: float
    least_information_nat: float

    def threshold(self, stake: Stake) -> float:
        """Give the probability from which, inclusive, a part counts as fitting."""
        return self.irreversible if stake is Stake.IRREVERSIBLE else self.fits


@cache
def estimates() -> Estimates:
    """Give the coefficients in the box."""
    rows = tomllib.loads(resources.files(__package__).joinpath("estimates.toml").read_text(encoding="utf-8"))
    thresholds = rows["thresholds"]
    return Estimates(
        claim_is_right=MappingProxyType({who: rows["claimed_standard_is_right"][who] for who in Claimant}),
        others_share=rows["mislabelled"]["share_of_other_standards"],
        unclaimed_none=rows["unclaimed"]["follows_no_standard"],
        look_reliability=rows["look"]["reliability"],
        setting_half_width_um=thousandths(rows["plate_setting"]["half_width_mm"]),
        fits=thresholds["shipping_fits"],
        irreversible=thresholds["irreversible"],
        does_not_fit=thresholds["does_not_fit"],
        try_it=thresholds["try_it"],
        least_information_nat=rows["next_step"]["least_information_nat"],
    )
