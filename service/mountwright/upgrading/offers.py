"""What a plan may choose, as it is sold and done: an article in so many packs, or a job of the bench."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import NamedTuple

from mountwright.checkout.article import Article
from mountwright.riding.band import Band
from mountwright.upgrading.aims import Relief
from mountwright.upgrading.amounts import Amount
from mountwright.upgrading.bench_work import Work
from mountwright.upgrading.problem import Option


class Reason(StrEnum):
    """Why a candidate is left out before anything is planned."""

    STAYS = "stays"
    NOT_IN_STOCK = "not_in_stock"
    NO_PRICE = "no_price"
    OTHER_CURRENCY = "other_currency"
    ONE_HAND = "one_hand"
    PACK_SIZE_UNKNOWN = "pack_size_unknown"
    DOES_NOT_GO_ON = "does_not_go_on"
    WHEEL_COUNT_UNKNOWN = "wheel_count_unknown"


class LeftOut(NamedTuple):
    """A candidate that no plan may choose, and why."""

    article: Article
    reason: Reason


class Offer(NamedTuple):
    """What an option of the plan stands for.

    Parameters
    ----------
    position, key : str
        Where the plan has it.
    article : Article or None
        None for a job alone.
    amount : Amount or None
        How much of it is bought, None for a job alone.
    wheels : int or None
        For how many wheels on each skate it is bought, None for what does not go by the wheel.
    parts_minor : int
        Price of all packs, minor units.
    work : Work
        What it takes on the bench, and what that costs.
    relief : Relief
    wishes : tuple of str
        That it meets and the part as it is does not: ``wheel_diameter``, ``wheelbase``, ``colour``.
    gain : int or None
        Rolling gain, None where too little is known of the skate or the article.
    """

    position: str
    key: str
    article: Article | None
    amount: Amount | None
    wheels: int | None
    parts_minor: int
    work: Work
    relief: Relief
    wishes: tuple[str, ...] = ()
    gain: int | None = None

    @property
    def cost_minor(self) -> int:
        """Give what it costs in all, minor units."""
        return self.parts_minor + self.work.labour_minor + self.work.consumables_minor

    @property
    def waste_minor(self) -> int:
        """Give the price of the pieces that go on neither skate, minor units, rounded down."""
        return 0 if self.amount is None else self.parts_minor * self.amount.spare // self.amount.pieces

    @property
    def serves(self) -> Mapping[str, Band]:
        """Give the complaints and hazards that it helps against, and how often it does away with each."""
        return self.relief.serves

    def option(self, signature: str) -> Option:
        """Give it as the plan knows it."""
        return Option(
            key=self.key,
            signature=signature,
            parts_minor=self.parts_minor,
            labour_minor=self.work.labour_minor,
            consumables_minor=self.work.consumables_minor,
            hazards=self.relief.hazards,
            complaints=self.relief.complaints,
            wishes=len(self.wishes),
            gain=self.gain or 0,
            waste_minor=self.waste_minor,
            minutes=self.work.minutes.usual,
        )
