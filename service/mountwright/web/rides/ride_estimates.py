"""The way of a comparison of rides: what was read in, JSON with receipt out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from mountwright.errors import InvalidQuantityError
from mountwright.riding.bearing_drag import Seal
from mountwright.riding.coast_down import CoastDown, coast_down
from mountwright.riding.coasting import Coaster, wheels_spinning_kg
from mountwright.riding.line import STANDARD_GRAVITY_M_S2, Line, Tyre
from mountwright.riding.ride import Ride, rides_compared
from mountwright.web.answering import receipt
from mountwright.web.answers.ride_answers import rides_json
from mountwright.web.parsing import Question
from mountwright.web.problems import refused
from mountwright.web.rides.asked import Reckoned, RidesAsked
from mountwright.web.rides.assembling import SetUp, lots_of
from mountwright.web.rides.chains import chains_of, layers_of
from mountwright.web.workshop import Workshop


def rides_answered(question: Question, workshop: Workshop) -> Mapping[str, Any]:
    """Give the comparison.

    Raises
    ------
    Problem
        422 for a coast-down that no rolling and no air explain.
    """
    asked: RidesAsked = question.asked
    own = _coasted(asked, workshop)
    rider = asked.rider.rider if own is None else replace(asked.rider.rider, own_drag_area_m2=own.drag_area_m2)
    rides = _rides(asked)
    found = rides_compared(rides, rider, None if own is None else own.rolling)
    load_n = rider.mass.likely * STANDARD_GRAVITY_M_S2 / rider.skates
    chains = chains_of([layers_of(set_up, load_n) for set_up in asked.set_ups])
    told = rides_json(asked, Reckoned(tuple(rides), rider, found, own, tuple(chains)), workshop.messages)
    return {**told, "receipt": receipt(question.digest, question.version, workshop)}


def _coasted(asked: RidesAsked, workshop: Workshop) -> CoastDown | None:
    if not asked.runs:
        return None
    rider = asked.rider.rider
    coaster = Coaster(
        rider.mass.likely,
        rider.drag_area,
        spinning_kg=_spinning_kg(asked.set_ups[0]),
        air_density_kg_m3=rider.air_density_kg_m3,
    )
    try:
        return coast_down(coaster, asked.runs)
    except InvalidQuantityError as error:
        params = {"found": str(error.found), "expected": error.expected}
        raise refused([("/coast_downs", "request.impossible", params)], workshop.messages) from error


def _spinning_kg(set_up: SetUp) -> float:
    """Give what the wheels of both skates add to the mass while they slow down, 0 where nobody knows their mass."""
    masses_g = [wheel.specs.get("mass_g") for wheel in set_up.wheels]
    known = [mass for mass in masses_g if mass is not None]
    return wheels_spinning_kg(2 * len(known), sum(known) / len(known) / 1000) if len(known) == len(masses_g) else 0.0


def _rides(asked: RidesAsked) -> list[Ride]:
    """Give the rides; wheels and bearings of one article are of one lot and alike, whichever set-up they stand in."""
    lots: dict[str, int] = {}
    bearings: dict[str, int] = {}
    tyres: dict[int, Tyre] = {}
    return [
        Ride(
            _alike(set_up.skate.line, lots_of(set_up.wheels, lots), tyres),
            asked.rider.load_along_mm,
            _seal(set_up),
            _bearing_lot(set_up, bearings),
        )
        for set_up in asked.set_ups
    ]


def _alike(line: Line, lots: tuple[int, ...], known: dict[int, Tyre]) -> Line:
    """Give a line with the tyres that its lots are known to have; of a lot that is new, its own."""
    tyres = tuple([known.setdefault(lot, tyre) for lot, tyre in zip(lots, line.tyres, strict=True)])
    return replace(line, tyres=tyres, lots=lots)


def _bearing_lot(set_up: SetUp, known: dict[str, int]) -> int:
    """Give the lot of a set-up's bearings; those that nobody knows are all alike."""
    found = lots_of([piece for piece in set_up.pieces if piece.kind == "bearing"], known)
    return found[0] if found else -1


def _seal(set_up: SetUp) -> Seal | None:
    """Give what keeps dirt out of the bearings, None where nobody said or they differ."""
    seals = {piece.specs.get("seal") for piece in set_up.pieces if piece.kind == "bearing"}
    found = seals.pop() if len(seals) == 1 else None
    return None if found is None else Seal(found)
