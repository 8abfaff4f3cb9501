"""The wheel line: the request."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, get_args

from marshmallow import ValidationError, post_load, validates_schema

from mountwright.drawing.palette import Theme
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Load
from mountwright.riding.rocker_options import Wanted, Wish
from mountwright.web.faults import Choice, Flag, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.rides.asked import PictureWanted, WheelLineAsked
from mountwright.web.rides.limits import ALONG_MM, CENTRES_MM, MASSES_KG
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.set_ups import SetUpSchema


class LoadSchema(Strict):
    """What stands on the skate."""

    mass_kg = Number(*MASSES_KG, required=True, metadata={"description": "The rider with everything worn."})
    along_mm = Number(*ALONG_MM, metadata={"description": "Forward of midway between the frame bolts."})
    skates = Whole(1, 2, metadata={"description": "How many skates carry it; 1 if left out."})
    centre_of_mass_mm = Number(*CENTRES_MM, metadata={"description": "Above the ground."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Load:
        """Give the load."""
        height = data.get("centre_of_mass_mm", estimate("centre_of_mass_height_mm").likely)
        return Load(data["mass_kg"], data.get("along_mm"), data.get("skates", 1), height)


class OptionsSchema(Strict):
    """Which of the rockers that the frame offers are wanted."""

    sizes_mm = ListOf(
        Number(40, 160),
        validate=Size(min=1, max=12),
        metadata={"description": "Wheels that may be fitted, by diameter; left out, those that stand on it now."},
    )
    rank_by = Text(validate=Choice([each.value for each in Wanted]))
    rocker_radius_mm = Number(100, 1_000_000, metadata={"description": "Wanted where ranked by it."})
    asymmetric = Flag(metadata={"description": "Whether front and rear may differ."})
    most = Whole(1, 50, metadata={"description": "How many are listed; 10 if left out."})

    @validates_schema
    def _wanted(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if data.get("rank_by") == Wanted.ROCKER_RADIUS and "rocker_radius_mm" not in data:
            raise ValidationError({"rocker_radius_mm": fault("request.required")})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Wish:
        """Give what is wanted."""
        return Wish(
            Wanted(data.get("rank_by", Wanted.QUICKER_TURNING)),
            data.get("rocker_radius_mm"),
            dict.fromkeys(map(float, data.get("sizes_mm", ()))),
            data.get("asymmetric", False),
            most=data.get("most", 10),
        )


class PictureSchema(Strict):
    """How it is drawn."""

    theme = Text(validate=Choice(get_args(Theme)), metadata={"description": "auto follows the reader's device."})
    gap_factor = Number(1, 20, metadata={"description": "By which the gaps are exaggerated, and labelled so."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> PictureWanted:
        """Give how it is drawn."""
        return PictureWanted(data.get("theme", "auto"), data.get("gap_factor", 1.0))


class WheelLineRequestSchema(Strict):
    """A set-up, what stands on it, and what is wanted beside the line itself."""

    set_up = ObjectOf(SetUpSchema, required=True)
    before = ObjectOf(SetUpSchema, metadata={"description": "The same skate before, to compare heights with."})
    load_ = ObjectOf(LoadSchema, required=True, data_key="load")
    options = ObjectOf(OptionsSchema, metadata={"description": "Left out, no options are looked for."})
    picture = ObjectOf(PictureSchema)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> WheelLineAsked:
        """Give what is asked."""
        load: Load = data["load_"]
        wish: Wish | None = data.get("options")
        return WheelLineAsked(
            data["set_up"],
            data.get("before"),
            load,
            None if wish is None else replace(wish, load_along_mm=load.along_mm),
            data.get("picture", PictureWanted()),
        )
