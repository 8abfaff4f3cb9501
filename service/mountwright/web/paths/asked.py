"""What is asked about an upgrade path, and what there is to buy for it."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from mountwright.catalogue.versions import Version
from mountwright.upgrading.customer import Candidate, Customer


class ForSale(NamedTuple):
    """What may be bought, all of one version of the catalogue and priced in the customer's currency.

    Parameters
    ----------
    version : Version
    candidates : Mapping[str, tuple of Candidate]
        By kind, the cheapest first; kinds that must stay are left out, and kinds for which nothing is known beside
        which they would stand.
    there_are : Mapping[str, int]
        By kind, how many there are in the catalogue; ``skate`` counts the complete skates.
    skates : tuple of Candidate
        Complete ones, the cheapest first.
    other_currencies : tuple of str
        Where nothing at all is priced in the customer's: the currencies that there are.
    """

    version: Version
    candidates: Mapping[str, tuple[Candidate, ...]]
    there_are: Mapping[str, int]
    skates: tuple[Candidate, ...]
    other_currencies: tuple[str, ...]


#: Before the catalogue was looked at.
NOT_LOOKED_AT = ForSale(Version(0, ""), MappingProxyType({}), MappingProxyType({}), (), ())


class PathAsked(NamedTuple):
    """What is asked.

    Parameters
    ----------
    customer : Customer
    skate_sku : str or None
        By which the skate was named.
    in_stock_only : bool
    most_alternatives : int
        How many other plans are wanted beside the best one.
    mass_was_taken : bool
        Whether the rider's mass was taken for want of one.
    trade_in_minor : int or None
        What the skate is taken back for, in the currency of the budget; None where nobody said, or said otherwise of
        its versions.
    paused : frozenset of str
        SKUs that the request names and that are not to be sold until their row is put right.
    for_sale : ForSale
    packed : str or None
        The question as a picture's address carries it, None where it is too long for one.
    """

    customer: Customer
    skate_sku: str | None
    in_stock_only: bool
    most_alternatives: int
    mass_was_taken: bool
    trade_in_minor: int | None
    paused: frozenset[str] = frozenset()
    for_sale: ForSale = NOT_LOOKED_AT
    packed: str | None = None
