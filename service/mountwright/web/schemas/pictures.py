"""The address of a picture."""

from __future__ import annotations

from mountwright.web.faults import Size, Strict, Text
from mountwright.web.rides.picture_link import LONGEST


class PictureQuerySchema(Strict):
    """The question that the picture answers, packed."""

    of = Text(
        required=True,
        validate=Size(min=1, max=LONGEST),
        metadata={"description": "As it stands in an answer: deflated canonical JSON in base64url."},
    )
