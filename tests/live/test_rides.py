"""Wheel lines and rides, asked of a real server over HTTP."""

from __future__ import annotations

import base64
from hashlib import sha512
from typing import Any

import orjson
import requests

from mountwright.web.rides.picture_link import LONGEST, packed_text

Json = dict[str, Any]

PLACES = [{"along_mm": along, "down_mm": 46} for along in (121.5, 40.5, -40.5, -121.5)]
FRAME = {"kind": "frame", "specs": {"axle_places": PLACES}}
WHEEL = {"kind": "wheel", "specs": {"diameter_mm": 80, "hardness_shore_a": 85}}


def question(*more: Json) -> Json:
    """Give a question about a plain skate with some more parts."""
    return {"set_up": {"name": "Flat", "parts": [FRAME, WHEEL, *more]}, "load": {"mass_kg": 80}}


def long_question() -> Json:
    """Give a question whose picture has about the longest address that there is."""
    parts: list[Json] = []
    for index in range(1, 22):
        # Letters that cannot be packed any closer, so that the address grows with them.
        name = base64.b64encode(sha512(bytes([index])).digest() + sha512(bytes([index, 1])).digest()).decode()[:120]
        longer = orjson.dumps(question(*parts, {"kind": "other", "name": name}), option=orjson.OPT_SORT_KEYS)
        if packed_text(longer) is None:
            break
        parts.append({"kind": "other", "name": name})
    return question(*parts)


def test_the_longest_address_of_a_picture_is_taken(service: str) -> None:
    """A picture's address stays within what the server takes as a request's first line."""
    answer = requests.post(f"{service}/v1/wheel-lines", json=long_question(), timeout=10).json()
    drawn = requests.get(service + answer["picture"], timeout=10)

    assert len(answer["picture"]) > LONGEST * 0.7
    assert (200, "image/svg+xml; charset=utf-8") == (drawn.status_code, drawn.headers["Content-Type"])


def test_the_same_question_is_answered_in_figures_or_drawn(service: str) -> None:
    """Accept chooses between JSON and the picture."""
    address = f"{service}/v1/wheel-lines"
    told = requests.post(address, json=question(), timeout=10)
    drawn = requests.post(address, json=question(), headers={"Accept": "image/svg+xml"}, timeout=10)

    assert ("stands", b"<svg") == (told.json()["outcome"], drawn.content[:4])


def test_rides_are_compared(service: str) -> None:
    """A set-up against itself rolls alike."""
    body = {"set_ups": [question()["set_up"]] * 2, "rider": {"mass_kg": 80}}
    answer = requests.post(f"{service}/v1/ride-estimates", json=body, timeout=10).json()

    assert "same" == answer["set_ups"][1]["against_first"]["outcome"]
