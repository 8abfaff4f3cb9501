"""What every judgement of one basket needs beside the basket itself."""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

from mountwright.checkout.basket import Basket, Policy, Status
from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.mounts.registry import Registry


class Till(NamedTuple):
    """Where a basket is judged.

    Parameters
    ----------
    bench : Bench
        With the policy's thresholds.
    memory : JointMemory
    policy : Policy
    has_workshop : bool
        Whether the shop's own workshop is in the basket.
    """

    bench: Bench
    memory: JointMemory
    policy: Policy
    has_workshop: bool


def till_for(basket: Basket, registry: Registry, estimates: Estimates, memory: JointMemory) -> Till:
    """Give what a basket is judged with."""
    policy = basket.policy
    has_workshop = any(lot.status is Status.WORKSHOP for lot in basket.lots)
    bench = Bench(registry, _with_thresholds(estimates, policy), Stake.SHIPPING)
    return Till(bench, memory, policy, has_workshop)


def _with_thresholds(estimates: Estimates, policy: Policy) -> Estimates:
    fits = estimates.fits if policy.fits_at_least is None else policy.fits_at_least
    fails = estimates.does_not_fit if policy.does_not_fit_at_most is None else policy.does_not_fit_at_most
    if (fits, fails) == (estimates.fits, estimates.does_not_fit):
        return estimates
    return replace(estimates, fits=fits, does_not_fit=fails)
