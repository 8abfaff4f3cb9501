"""What an article really does against a complaint, beyond its kind: wheels help a slow skate only if they roll easier.

And what one job does for nothing, no article is bought for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from mountwright.riding.band import Band, exactly
from mountwright.upgrading.aims import Aims, Relief, points_of
from mountwright.upgrading.customer import Customer
from mountwright.upgrading.estimates import upgrade_estimates
from mountwright.upgrading.gains import PER_CENT
from mountwright.upgrading.offers import Offer

#: Where the axles can be turned for a rocker, no smaller wheels are bought for one.
_INSTEAD: Mapping[str, str] = MappingProxyType({"wheel": "turn_eccentric_axles"})


def with_merit(offers: Sequence[Offer], aims: Aims, customer: Customer) -> list[Offer]:
    """Give offers with what each of them does against what bothers.

    Parameters
    ----------
    offers : sequence of Offer
        Their gains known as far as they can be.
    aims : Aims
    customer : Customer
    """
    jobs = {key for offer in offers for key in offer.work.jobs if offer.article is None}
    least_mm = _standing_mm(customer) - upgrade_estimates()["smaller_wheel_mm"].likely
    return [each._replace(relief=_relief(each, aims, jobs, least_mm)) for each in offers]


def _standing_mm(customer: Customer) -> float:
    """Give the diameter of the largest wheels that stand now, 0 where nobody knows."""
    fitted = [each.article for version in customer.owned.versions for each in version.fitted]
    return max((each.specs.get("diameter_mm", 0.0) for each in fitted if each.kind == "wheel"), default=0.0)


def _relief(offer: Offer, aims: Aims, jobs: set[str], least_mm: float) -> Relief:
    kind = "" if offer.article is None else offer.article.kind
    share = 0.0 if _is_no_better(offer, least_mm) else _share(offer)
    serves = {}
    for each in aims.all:
        band = offer.serves.get(each.code)
        if band is None:
            continue
        if kind == "wheel" and each.is_of_rolling:
            band = _scaled(band, share)
        if _INSTEAD.get(kind) in jobs and _INSTEAD[kind] in each.helped_by:
            band = exactly(0.0)
        if band.high > 0:
            serves[each.code] = band
    points = {code: points_of(band.likely) for code, band in serves.items()}
    return Relief(
        tuple([points.get(each.code, 0) for each in aims.hazards]),
        tuple([points.get(each.code, 0) for each in aims.complaints]),
        MappingProxyType(serves),
    )


def _is_no_better(offer: Offer, least_mm: float) -> bool:
    """Tell whether a wheel rolls no easier, or is a small one where larger ones stand (common practice)."""
    is_small = offer.article is not None and offer.article.specs.get("diameter_mm", least_mm) < least_mm
    return is_small or (offer.gain is not None and offer.gain <= 0)


def _share(offer: Offer) -> float:
    """Give what of its kind's relief a wheel brings: all of it from some gain on, and less where nobody can tell."""
    known, told = upgrade_estimates(), offer.article is not None and "rebound_percent" in offer.article.specs
    unsure = 1.0 if told else known["unknown_gain_share"].likely
    if offer.gain is None:
        return unsure
    return unsure * min(1.0, offer.gain / PER_CENT / known["full_gain_percent"].likely)


def _scaled(band: Band, share: float) -> Band:
    return Band(band.low * share, band.likely * share, band.high * share)
