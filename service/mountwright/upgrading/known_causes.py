"""What is known of feet and skate tells some causes of complaints before anybody looks."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from mountwright.bench.shoe_sizes import eu_sizes_of_foot
from mountwright.checkout.basket import Owned
from mountwright.upgrading.aims import Looked

#: Thousandths of an EU size: a boot is out by more than this for no part to make it fit.
_ONE_SIZE = 1000

#: A wheel that returns less than half of its drop hardly bounces: the check of that cause.
_HARDLY_BOUNCES_PERCENT = 50

_TOO_LARGE, _TOO_SMALL, _DEAD_WHEELS = (
    MappingProxyType({code: MappingProxyType({cause: True})})
    for code, cause in (("boot_too_large", "more"), ("boot_too_small", "shell"), ("rolls_slowly", "wheels_hard_dead"))
)


def known_causes(owned: Owned) -> Mapping[str, Looked]:
    """Give the causes that what is known proves, by complaint.

    Parameters
    ----------
    owned : Owned
        The longer foot decides; of a model that hides versions all have to say so.
    """
    return {**_by_feet(owned), **_by_wheels(owned)}


def _by_feet(owned: Owned) -> Mapping[str, Looked]:
    if owned.eu_size is None or owned.foot_lengths_um is None:
        return {}
    size = owned.eu_size * 1000
    least, most = eu_sizes_of_foot(max(owned.foot_lengths_um))
    if size > most + _ONE_SIZE:
        return _TOO_LARGE
    return _TOO_SMALL if size < least - _ONE_SIZE else {}


def _by_wheels(owned: Owned) -> Mapping[str, Looked]:
    wheels = [[each.article for each in version.fitted if each.article.kind == "wheel"] for version in owned.versions]
    rebounds = [wheel.specs.get("rebound_percent") for those in wheels for wheel in those]
    known = [each for each in rebounds if each is not None]
    if not all(wheels) or len(known) < len(rebounds) or max(known) >= _HARDLY_BOUNCES_PERCENT:
        return {}
    return _DEAD_WHEELS
