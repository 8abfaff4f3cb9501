"""What the resources share: the installed standards, the coefficients, the sentences, the jobs, the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, cast

from flask import current_app

from mountwright.bench.jobs import Job, bench_jobs
from mountwright.catalogue.engines import Engines
from mountwright.fitting.estimates import Estimates
from mountwright.fitting.narrowing import Chance
from mountwright.fitting.ruling_out import wanted
from mountwright.messages import Messages
from mountwright.mounts.mount import Mount
from mountwright.mounts.registry import Registry
from mountwright.settings import Settings
from mountwright.web.memory import Memory
from mountwright.web.shelf import Shelf
from mountwright.web.shelved import Seen, SeenBasket


@dataclass(frozen=True, eq=False)
class Workshop:
    """Built once by bootstrap; only its memory and its shelf change afterwards."""

    registry: Registry
    estimates: Estimates
    messages: Messages
    engines: Engines
    shelf: Shelf
    settings: Settings = field(default_factory=Settings)
    memory: Memory = field(default_factory=Memory)
    jobs: Mapping[str, Job] = field(default_factory=bench_jobs)

    def chance(self, mount: Mount) -> Chance:
        """Give what the catalogue is asked for to find what may go on a mount; remembered."""
        known = self.memory.chance(mount)
        if known is None:
            known = wanted(mount, self.registry, self.estimates)
            self.memory.keep_chance(mount, known)
        return known


class Desk(NamedTuple):
    """What one request is read with: the workshop, and what it names of the catalogue."""

    workshop: Workshop
    seen: Seen | None = None
    basket: SeenBasket | None = None


EXTENSION = "mountwright"


def workshop() -> Workshop:
    """Give the workshop of the app that is being asked."""
    return cast(Workshop, current_app.extensions[EXTENSION])
