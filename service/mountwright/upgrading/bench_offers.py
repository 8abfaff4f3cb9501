"""Which jobs of the bench are offered on a skate as it is, and at which position of a plan each stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from types import MappingProxyType
from typing import Any, NamedTuple

from mountwright.bench.jobs import Job
from mountwright.checkout.basket import Version
from mountwright.upgrading.customer import Customer

#: Jobs that are done on a part which stays: a new part in its place makes them pointless, or the other way round.
_ON_PARTS: Mapping[str, str] = MappingProxyType(
    {
        "service_bearings": "bearing",
        "rotate_wheels": "wheel",
        "heat_mould_liner": "liner",
        "trim_cuff_flap": "cuff",
        "shorten_strap": "strap",
        "lock_lace_without_ankle_strap": "strap",
        "turn_eccentric_axles": "frame",
        "set_rocker_by_spacers": "frame",
    }
)


class BenchOffer(NamedTuple):
    """A job, and the position of a plan where it stands beside the parts that it rules out."""

    job: Job
    position: str


def offered_jobs(helping: Iterable[str], customer: Customer, known: Mapping[str, Job]) -> Iterator[BenchOffer]:
    """Give the jobs that can be offered, each at its position.

    A job on a part that has to stay, or that fits no place of the plan, gets a position of its own.

    Parameters
    ----------
    helping : iterable of str
        Keys of jobs; those that are not known are passed over.
    customer : Customer
        Of a model that hides several versions a job has to be possible on each.
    known : Mapping[str, Job]
    """
    for key in helping:
        if key not in known or not all(_is_possible(key, version) for version in customer.owned.versions):
            continue
        kind = _ON_PARTS.get(key)
        if kind not in customer.stays:
            yield BenchOffer(known[key], kind or f"job:{key}")
        elif key not in _TAKES_OFF:
            yield BenchOffer(known[key], f"job:{key}")


#: Jobs that leave a part out, which it cannot be where it has to stay.
_TAKES_OFF = frozenset(("lock_lace_without_ankle_strap",))


def _is_possible(key: str, version: Version) -> bool:
    condition = _CONDITIONS.get(key)
    return condition is None or condition(version)


def _may_be_moulded(version: Version) -> bool:
    """Tell whether the maker says so: what cannot be undone is not tried on the chance of it."""
    return True in _told("liner", "mouldable", version) or version.skate.specs.get("mouldable") is True


def _has_eccentric_axles(version: Version) -> bool:
    places = _told("frame", "axle_places", version)
    return any(len(set(row.get("down_settings_mm", ()))) > 1 for rows in places for row in rows or ())


def _closes_by_laces(version: Version) -> bool:
    closes_by = version.skate.specs.get("fastening")
    return closes_by is None or "laces" in closes_by


def _has_flap(version: Version) -> bool:
    return 0 not in _told("cuff", "flap_length_mm", version)


def _told(kind: str, figure: str, version: Version) -> list[Any]:
    return [each.article.specs.get(figure) for each in version.fitted if each.article.kind == kind]


_CONDITIONS: Mapping[str, Callable[[Version], bool]] = MappingProxyType(
    {
        "heat_mould_liner": _may_be_moulded,
        "turn_eccentric_axles": _has_eccentric_axles,
        "set_rocker_by_spacers": lambda version: not _has_eccentric_axles(version),
        "lock_lace_without_ankle_strap": _closes_by_laces,
        "trim_cuff_flap": _has_flap,
    }
)
