"""Joints are remembered by the mounts themselves, and what is remembered changes no answer."""

from __future__ import annotations

from typing import Any

from mountwright.checkout.joint_verdicts import JointMemory
from mountwright.fitting.bench import Bench
from mountwright.fitting.estimates import Stake, estimates
from mountwright.fitting.verdict import Verdict


def mounts(article: Any) -> Any:
    """Give the mount of an article at the frame."""
    return next(mount for mount in article.part.mounts if mount.position == "frame")


def test_a_joint_is_judged_once(trade: Any, registry: Any) -> None:
    """The second answer is the first one itself."""
    memory, bench = JointMemory(), Bench(registry, estimates(), Stake.SHIPPING)
    boot, frame = mounts(trade.boot()), mounts(trade.frame())

    assert memory.joint(boot, frame, bench) is memory.joint(boot, frame, bench)
    assert memory.joint(boot, mounts(trade.frame()), bench) is not memory.joint(boot, frame, bench)


def test_a_full_memory_forgets_and_judges_as_before(trade: Any, registry: Any) -> None:
    """Nothing is lost but time."""
    memory, bench = JointMemory(most=1), Bench(registry, estimates(), Stake.SHIPPING)
    boot, frames = mounts(trade.boot()), [mounts(trade.frame(standard)) for standard in ("two-bolt-165", "flat-167")]
    once = [memory.joint(boot, frame, bench).verdict for frame in frames]
    again = [memory.joint(boot, frame, bench).verdict for frame in frames]

    assert [Verdict.FITS, Verdict.DOES_NOT_FIT] == once == again


def test_equal_figures_from_different_lenders_make_the_same_mount(trade: Any, registry: Any) -> None:
    """A bolt of 16 mm is a bolt of 16 mm."""
    memory, bench = JointMemory(), Bench(registry, estimates(), Stake.SHIPPING)
    frame = mounts(trade.frame())
    sixteen, other, longer = (
        trade.other("bolt", sku, diameter_mm=6, under_head_length_mm=length)
        for sku, length in (("a", 16), ("b", 16), ("c", 20))
    )
    lent = [memory.lent(frame, (bolt,), bench) for bolt in (sixteen, other, longer)]

    assert lent[0].mount is lent[1].mount
    assert lent[0].mount is not lent[2].mount
    assert [(sixteen,), (other,), (longer,)] == [each.lenders for each in lent]
    assert frame is memory.lent(frame, (trade.other("lace"),), bench).mount
