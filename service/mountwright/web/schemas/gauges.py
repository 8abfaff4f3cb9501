"""How a printed gauge is asked for."""

from __future__ import annotations

from typing import Any

from marshmallow import post_load

from mountwright.drawing.sheet import Paper
from mountwright.web.faults import Choice, Strict, Text


class GaugeQuerySchema(Strict):
    """The paper that the gauge is printed on."""

    paper = Text(
        validate=Choice(list(Paper)),
        load_default=Paper.A4,
        metadata={"description": "What the printer holds; the gauge stays true to scale on either."},
    )

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Paper:
        """Give the paper."""
        return Paper(data["paper"])
