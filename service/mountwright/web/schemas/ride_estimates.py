"""Rides that are compared: the request."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from marshmallow import ValidationError, post_load, validates_schema

from mountwright.errors import InvalidQuantityError
from mountwright.messages import Fault
from mountwright.riding.band import Band, around
from mountwright.riding.coasting import Road, Run
from mountwright.riding.estimates import estimate
from mountwright.riding.power import AIR_DENSITY_KG_M3, Posture, Rider
from mountwright.web.faults import Choice, Flag, ListOf, ObjectOf, Size, Strict, Text, fault
from mountwright.web.rides.asked import RiderAsked, RidesAsked
from mountwright.web.rides.limits import ALONG_MM, MASSES_KG, MOST_RUNS, MOST_SET_UPS
from mountwright.web.schemas.numbers import Number, Whole
from mountwright.web.schemas.set_ups import SetUpSchema

#: What a road without a name is called.
_THE_ROAD = "without a name"


class RiderSchema(Strict):
    """Who rides, how, and against what."""

    mass_kg = Number(*MASSES_KG, required=True, metadata={"description": "With everything worn."})
    speed_m_s = Number(0.5, 25, metadata={"description": "An easy cruise if left out."})
    posture = Text(validate=Choice([each.value for each in Posture]), metadata={"description": "upright if left out."})
    drag_area_m2 = Number(0.05, 2, metadata={"description": "The rider's own, instead of the posture's."})
    slope_percent = Number(-25, 25, metadata={"description": "Rise over run, uphill positive."})
    wind_m_s = Number(-40, 40, metadata={"description": "Against the rider; below 0 from behind."})
    air_density_kg_m3 = Number(0.5, 1.6)
    skates = Whole(1, 2, metadata={"description": "How many skates carry the rider; 1 if left out."})
    load_along_mm = Number(*ALONG_MM, metadata={"description": "Where the load stands on each skate."})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> RiderAsked:
        """Give the rider."""
        area = data.get("drag_area_m2")
        rider = Rider(
            data["mass_kg"],
            data.get("speed_m_s", estimate("cruise_speed_m_s").likely),
            Posture(data.get("posture", Posture.UPRIGHT)),
            None if area is None else around(area, estimate("own_drag_area_share").likely * area),
            data.get("slope_percent", 0) / 100,
            data.get("wind_m_s", 0),
            data.get("air_density_kg_m3", AIR_DENSITY_KG_M3),
            data.get("skates", 1),
        )
        return RiderAsked(rider, data.get("load_along_mm"), "speed_m_s" not in data)


class RunSchema(Strict):
    """A run without pushing, from a speed to rest or to a lower speed."""

    start_speed_m_s = Number(0.5, 20, required=True)
    end_speed_m_s = Number(0, 19, metadata={"description": "At rest if left out."})
    distance_m = Number(0.5, 5000)
    time_s = Number(0.5, 1000)
    road = Text(validate=Size(min=1, max=60), metadata={"description": "Runs on one road share what its slope is."})
    slope_percent = Number(-5, 5, metadata={"description": "Of the road, in its own direction, uphill positive."})
    back = Flag(metadata={"description": "Whether the run went against the road's direction."})
    head_wind_m_s = Number(-10, 10)

    @validates_schema
    def _read(self, data: Mapping[str, Any], **_kwargs: Any) -> None:
        if not data.keys() & {"distance_m", "time_s"}:
            raise ValidationError({"distance_m": fault("request.required")})

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Run:
        """Give the run, each reading with its usual doubt.

        Raises
        ------
        ValidationError
            For a run that cannot be.
        """
        try:
            return _run(data)
        except InvalidQuantityError as error:
            params = {"found": str(error.found), "expected": error.expected}
            raise ValidationError([Fault("request.impossible", params)]) from error


def _run(data: Mapping[str, Any]) -> Run:
    slope, wind = data.get("slope_percent"), data.get("head_wind_m_s")
    share = estimate("coast_down_speed_share").likely
    end = data.get("end_speed_m_s", 0.0)
    told_half, wind_half = estimate("told_slope_half_width").likely, estimate("told_wind_half_width_m_s").likely
    return Run(
        road=Road(data.get("road", _THE_ROAD), None if slope is None else around(slope / 100, told_half)),
        start_speed_m_s=around(data["start_speed_m_s"], share * data["start_speed_m_s"]),
        end_speed_m_s=around(end, share * end),
        head_wind_m_s=None if wind is None else around(wind, wind_half),
        is_back=data.get("back", False),
        distance_m=_reading(data.get("distance_m"), "coast_down_distance_half_width_m"),
        time_s=_reading(data.get("time_s"), "coast_down_time_half_width_s"),
    )


def _reading(value: float | None, half_width: str) -> Band | None:
    # Nobody takes a short run's length as coarsely as a long one's.
    return None if value is None else around(value, min(estimate(half_width).likely, value / 4))


class RideRequestSchema(Strict):
    """Set-ups, the first of which the others are held against, and the rider."""

    set_ups = ListOf(
        ObjectOf(SetUpSchema),
        required=True,
        validate=Size(min=1, max=MOST_SET_UPS),
        metadata={"description": "The others are held against the first."},
    )
    rider = ObjectOf(RiderSchema, required=True)
    coast_downs = ListOf(
        ObjectOf(RunSchema),
        validate=Size(min=1, max=MOST_RUNS),
        metadata={"description": "Runs of this rider on the first set-up, in this posture."},
    )

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> RidesAsked:
        """Give what is asked."""
        rider: RiderAsked = data["rider"]
        return RidesAsked(tuple(data["set_ups"]), rider, tuple(data.get("coast_downs", ())))
