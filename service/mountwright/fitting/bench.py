"""What every judgement of one request shares."""

from __future__ import annotations

from mountwright.fitting.beliefs import Beliefs, Spread, beliefs_about
from mountwright.fitting.estimates import Estimates, Stake
from mountwright.fitting.weighing import NEGLIGIBLE
from mountwright.mounts.mount import Mount, Pattern
from mountwright.mounts.registry import Registry


class Bench:
    """What every judgement of one request needs beside the mounts; a mount is thought about once a request.

    Parameters
    ----------
    registry : Registry
    estimates : Estimates
    stake : Stake
    """

    def __init__(self, registry: Registry, estimates: Estimates, stake: Stake) -> None:
        self.registry, self.estimates, self.stake = registry, estimates, stake
        self.threshold = estimates.threshold(stake)
        self._held: dict[tuple[int, str, str], tuple[Pattern, Beliefs]] = {}

    def believed(self, pattern: Pattern, mount: Mount) -> tuple[Pattern, Beliefs]:
        """Give a pattern with what is believed of it."""
        key = id(pattern), mount.position, mount.side
        held = self._held.get(key)
        if held is None:
            beliefs = beliefs_about(
                pattern, mount.position, mount.side, self.registry, self.estimates, Spread.CONFORMING, NEGLIGIBLE
            )
            # The pattern is kept with its beliefs, so that no other can be given its identity meanwhile.
            held = self._held[key] = (pattern, beliefs)
        return held
