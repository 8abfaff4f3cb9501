"""How much one question about a ride may hold, all limits inclusive."""

from __future__ import annotations

#: Set-ups that are compared at once, and parts of one.
MOST_SET_UPS, MOST_PARTS = 12, 24

#: Wheels on one skate.
MOST_WHEELS = 8

#: A rider with everything worn, kilograms.
MASSES_KG = (10, 250)

#: Places along a skate, millimetres.
ALONG_MM = (-400, 400)

#: Heights of a centre of mass above the ground, millimetres.
CENTRES_MM = (200, 2000)

#: Coast-downs of one rider.
MOST_RUNS = 20
