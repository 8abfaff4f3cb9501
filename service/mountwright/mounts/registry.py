"""Every installed standard, looked up by key and by position."""

from __future__ import annotations

import hashlib
import logging
import re
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

from mountwright.errors import PluginError
from mountwright.measure.quantity import Limits
from mountwright.mounts.standard import Conversion, Family, Standard, StandardSet

log = logging.getLogger(__name__)

#: A family's name stands in front of its messages' codes, so that a dot in it would reach into another's.
FAMILY_NAME = re.compile(r"[a-z0-9_]+")


@dataclass(frozen=True)
class PluginFailure:
    """A plugin or standards file that was left out, and why."""

    plugin: str
    distribution: str
    reason: str


@dataclass(frozen=True, eq=False)
class Registry:
    """The installed standards; built once and only read afterwards.

    Parameters
    ----------
    standards : Mapping[str, Standard]
        By key, sorted.
    conversions : tuple of Conversion
    messages : Mapping[str, str]
        The plugins' message templates by code.
    failures : tuple of PluginFailure
    rules_version : str
        Digest over what was installed; two copies with the same digest judge alike.
    bench_jobs : Mapping[str, Mapping]
        By the family's name, the jobs that its file adds to the bench, as they stand there; in the order of loading.
    translations : Mapping[str, Mapping[str, str]]
        By language: what the plugins' codes and texts are in it; of two plugins with the same text, the first one's.
    """

    standards: Mapping[str, Standard]
    conversions: tuple[Conversion, ...]
    messages: Mapping[str, str]
    failures: tuple[PluginFailure, ...]
    rules_version: str
    bench_jobs: Mapping[str, Mapping[str, Mapping[str, Any]]] = field(default_factory=lambda: MappingProxyType({}))
    translations: Mapping[str, Mapping[str, str]] = field(default_factory=lambda: MappingProxyType({}))
    faults: Counter[str] = field(default_factory=Counter, compare=False)
    _by_position: Mapping[str, tuple[Standard, ...]] = field(init=False, repr=False, compare=False)
    _plausible: Mapping[tuple[str, str], Limits] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_position: dict[str, tuple[Standard, ...]] = {}
        plausible: dict[tuple[str, str], Limits] = {}
        for standard in self.standards.values():
            for position in standard.family.positions:
                by_position[position] = (*by_position.get(position, ()), standard)
                for dimension in standard.family.dimensions.values():
                    where = (position, dimension.name)
                    plausible[where] = _widened(plausible.get(where), dimension.plausible)
        object.__setattr__(self, "_by_position", MappingProxyType(by_position))
        object.__setattr__(self, "_plausible", MappingProxyType(plausible))

    @property
    def positions(self) -> tuple[str, ...]:
        """Give the positions that some installed standard serves, sorted."""
        return tuple(sorted(self._by_position))

    def at(self, position: str) -> tuple[Standard, ...]:
        """Give the standards at a position, by key; none where nothing is installed."""
        return self._by_position.get(position, ())

    def families_at(self, position: str) -> tuple[Family, ...]:
        """Give the families at a position, each once."""
        return tuple({standard.family.name: standard.family for standard in self.at(position)}.values())

    def plausible(self, position: str, dimension: str) -> Limits | None:
        """Give the widest range that any standard at the position allows a figure in, thousandths; None if unknown."""
        return self._plausible.get((position, dimension))

    def record_fault(self, family: str, error: BaseException) -> None:
        """Log and count a rule that raised."""
        self.faults[family] += 1
        log.error("plugin %s raised in a check", family, exc_info=error)


def _widened(known: Limits | None, more: Limits) -> Limits:
    """Give the range that holds both; an end that either leaves open stays open."""
    if known is None:
        return more
    low = None if known.low is None or more.low is None else min(known.low, more.low)
    high = None if known.high is None or more.high is None else max(known.high, more.high)
    return Limits(low, high)


def assembled(
    sets: Iterable[StandardSet], failures: Iterable[PluginFailure] = (), package_version: str = ""
) -> Registry:
    """Build the registry from what was discovered.

    Raises
    ------
    PluginError
        For a key that two sets share and for a family's name with other than lower-case letters, digits and
        underscores; :func:`mountwright.mounts.discovery.discovered` leaves such sets out first.
    """
    standards: dict[str, Standard] = {}
    conversions: list[Conversion] = []
    messages: dict[str, str] = {}
    jobs: dict[str, Mapping[str, Mapping[str, Any]]] = {}
    translations: dict[str, dict[str, str]] = {}
    versions = [package_version]
    for one in sets:
        if not FAMILY_NAME.fullmatch(one.family.name):
            raise PluginError(one.family.name, "a family's name has lower-case letters, digits and underscores only")
        versions.append(one.version)
        for standard in one.standards:
            if standard.key in standards:
                raise PluginError(one.family.name, f"standard key {standard.key!r} is already installed")
            standards[standard.key] = standard
        conversions.extend(one.conversions)
        if one.bench_jobs:
            jobs[one.family.name] = one.bench_jobs
        for code, template in one.messages.items():
            messages.setdefault(code, template)
        for language, said in one.translations.items():
            translations[language] = {**said, **translations.get(language, {})}
    ordered = MappingProxyType(dict(sorted(standards.items())))
    digest = hashlib.sha256(" ".join(sorted(versions)).encode()).hexdigest()[:16]
    conversions.sort(key=lambda conversion: conversion.key)
    return Registry(
        ordered,
        tuple(conversions),
        MappingProxyType(messages),
        tuple(failures),
        digest,
        MappingProxyType(jobs),
        MappingProxyType(translations),
    )
