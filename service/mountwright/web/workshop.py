"""What the resources share: the installed standards, the coefficients, the sentences, the jobs, the catalogue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple, cast

from flask import current_app

from mountwright.bench.jobs import Job, bench_jobs, in_words
from mountwright.catalogue.engines import Engines
from mountwright.fitting.estimates import Estimates
from mountwright.fitting.narrowing import Chance
from mountwright.fitting.ruling_out import wanted
from mountwright.messages import Messages, catalogue
from mountwright.mounts.mount import Mount
from mountwright.mounts.registry import Registry
from mountwright.settings import Settings
from mountwright.web.languages import wanted_language
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
    _others: dict[str, Workshop] = field(default_factory=dict, init=False, repr=False)

    def in_language(self, language: str) -> Workshop:
        """Give the workshop as it speaks a language, with a memory of its own: what it remembers has words in it.

        Only a workshop that speaks English can say everything in another language.

        Parameters
        ----------
        language : str
            Of :data:`mountwright.messages.LANGUAGES`.
        """
        if language == self.messages.language:
            return self
        if language not in self._others:
            said = catalogue(self.registry.messages, language, self.registry.translations)
            spoken = replace(self, messages=said, jobs=in_words(self.jobs, said.phrase), memory=Memory())
            self._others.setdefault(language, spoken)
        return self._others[language]

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
    """Give the workshop of the app that is being asked, in the caller's language."""
    found = cast(Workshop, current_app.extensions[EXTENSION])
    return found.in_language(wanted_language(found.settings.language))
