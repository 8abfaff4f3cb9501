"""What the catalogue is asked for a customer: kind by kind, what has to go on and what should be among it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from mountwright.catalogue.alternatives import Chances, Ends
from mountwright.catalogue.documents import folded
from mountwright.catalogue.pools import Sought, Terms
from mountwright.checkout.set_up import set_up
from mountwright.fitting.narrowing import Chance
from mountwright.mounts.mount import Mount
from mountwright.mounts.registry import Registry
from mountwright.upgrading.customer import KINDS, Customer, Wishes
from mountwright.web.shelved import is_askable
from mountwright.web.workshop import Workshop

#: A wheel is of the wished diameter within so much, and a frame of the wished wheelbase, millimetres: wide enough that
#: the catalogue leaves out nothing that a plan may count as the wish met (estimate, 0.5 to 2 and 5 to 20).
_DIAMETER_MM, _WHEELBASE_MM = 1.0, 10.0


def sought_for(customer: Customer, workshop: Workshop) -> tuple[Sought, ...]:
    """Give what is looked for, in the order of the kinds; none of a kind that stays, or that nothing is known beside.

    A mount of the boot, or of a part that stays, holds; one of a part that may be changed as well only stands there. A
    kind that no installed standard knows a mount of is bought without, too.

    Parameters
    ----------
    customer : Customer
    workshop : Workshop
    """
    return tuple(_sought(_mounts(customer), customer, workshop))


def terms_of(customer: Customer, *, in_stock_only: bool) -> Terms:
    """Give what holds for everything that is bought for a customer."""
    skus = (version.skate.sku for version in customer.owned.versions)
    return Terms(
        customer.money.currency,
        in_stock_only,
        customer.owned.eu_size,
        tuple(sorted({sku for sku in skus if sku and is_askable(sku)})),
    )


def _sought(mounts: Sequence[Mount], customer: Customer, workshop: Workshop) -> Iterator[Sought]:
    for kind in KINDS:
        stands_at = _stands_at(kind, customer)
        beside = [mount for mount in mounts if _meets(kind, mount, stands_at, workshop.registry)]
        changeable = {*KINDS} - customer.stays
        holds = _chances((mount for mount in beside if mount.side not in changeable), workshop)
        stands = _chances((mount for mount in beside if mount.side in changeable), workshop)
        without_mounts = not _is_a_side(kind, workshop.registry)
        if kind not in customer.stays and (holds or stands or without_mounts):
            figures, colour = _figures(kind, customer.wishes), customer.wishes.colour
            wished = folded(colour) if is_askable(colour) else ""
            yield Sought(kind, holds, stands, without_mounts, figures, wished)


def _mounts(customer: Customer) -> Sequence[Mount]:
    """Give every mount of the skate and of what stands on it, of whichever of its versions, each once."""
    owned = customer.owned
    pieces = [piece for version in owned.versions for piece in set_up(version, owned.measured, ()).pieces]
    return tuple({id(piece.mount): piece.mount for piece in pieces}.values())


def _stands_at(kind: str, customer: Customer) -> frozenset[str]:
    """Give the positions at which articles of a kind have a mount on the skate as it is."""
    fitted = [each.article for version in customer.owned.versions for each in version.fitted]
    return frozenset(mount.position for article in fitted if article.kind == kind for mount in article.part.mounts)


def _meets(kind: str, mount: Mount, stands_at: Collection[str], registry: Registry) -> bool:
    """Tell whether an article of a kind would be brought together with a mount."""
    position, families = mount.position, registry.families_at(mount.position)
    if _is_a_side(kind, registry):
        return mount.side != kind and any(kind in family.sides and mount.side in family.sides for family in families)
    # Where no side is called after a kind, a position may be; else it is where one stands now.
    is_its_place = position in stands_at or f"{position}_".startswith(f"{kind}_")
    return is_its_place and any(mount.side == family.sides[0] for family in families)


def _is_a_side(kind: str, registry: Registry) -> bool:
    """Tell whether some installed standard calls a side after a kind, so that an article of it is judged by mounts."""
    return any(kind in family.sides for position in registry.positions for family in registry.families_at(position))


def _chances(mounts: Iterable[Mount], workshop: Workshop) -> Chances:
    found: dict[str, dict[Chance, None]] = {}
    for mount in mounts:
        found.setdefault(mount.position, {})[workshop.chance(mount)] = None
    return tuple((position, tuple(each)) for position, each in sorted(found.items()))


def _figures(kind: str, wishes: Wishes) -> dict[str, Ends]:
    """Give the figures by which the catalogue tells what is wished for."""
    diameter, wheelbase = wishes.wheel_diameter_mm, wishes.wheelbase_mm
    found: dict[str, Ends] = {}
    if kind == "wheel" and diameter is not None:
        found["diameter_mm"] = diameter - _DIAMETER_MM, diameter + _DIAMETER_MM
    if kind == "frame" and diameter is not None:
        found["largest_wheel_mm"] = diameter, None
    if kind == "frame" and wheelbase is not None:
        found["wheelbase_mm"] = wheelbase - _WHEELBASE_MM, wheelbase + _WHEELBASE_MM
    if kind == "brake" and diameter is not None:
        found |= {"smallest_wheel_mm": (None, diameter), "largest_wheel_mm": (diameter, None)}
    return found
