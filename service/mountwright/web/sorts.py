"""The two sorts of articles, each with its own place in the contract, and the SKUs that they go by."""

from __future__ import annotations

from enum import StrEnum

from flask import request
from marshmallow import ValidationError

from mountwright.catalogue.documents import SKATE
from mountwright.mounts.kinds import kinds
from mountwright.web.schemas.articles import SKU


class Sort(StrEnum):
    """Skates, or the parts for them."""

    SKATES = "skates"
    PARTS = "parts"

    @classmethod
    def of(cls, kind: str) -> Sort:
        """Give the sort of a kind."""
        return cls.SKATES if kind == SKATE else cls.PARTS

    @property
    def kinds(self) -> list[str]:
        """Give the kinds of the sort, by name."""
        return sorted(kind for kind in kinds() if Sort.of(kind) is self)

    def place(self, sku: str) -> str:
        """Give the path of an article, as whoever asks reaches it: below the prefix that the service is mounted at."""
        return f"{request.script_root}/v1/{self}/{sku}"


def is_sku(text: str) -> bool:
    """Tell whether anything may be called so."""
    try:
        SKU(text)
    except ValidationError:
        return False
    return True
