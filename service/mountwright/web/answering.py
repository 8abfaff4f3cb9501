"""The straight way of a request: frozen request in, JSON with receipt out. Used over HTTP and by the command line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import orjson

from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import identified
from mountwright.fitting.verdict import worst
from mountwright.mounts.mount import Mount, Part
from mountwright.web.answers.fit_answers import part_json
from mountwright.web.answers.identification_answers import identification_json
from mountwright.web.memory import Given
from mountwright.web.workshop import Workshop

Json = dict[str, Any]


def fit_answered(asked: FitRequest, digest: str, workshop: Workshop) -> Json:
    """Give the answer to a fit check; parts that this skate was asked about before are not judged again."""
    known = [workshop.memory.given((asked.skate, part, asked.stake)) for part in asked.parts]
    if None in known:
        new = [part for part, given in zip(asked.parts, known, strict=True) if given is None]
        fresh = iter(_judged(asked, new, workshop))
    given = [each or next(fresh) for each in known]
    return {
        "verdict": worst(each.verdict for each in given),
        "parts": [_numbered(index, each.text) for index, each in enumerate(given)],
        "receipt": receipt(digest, workshop),
    }


def _judged(asked: FitRequest, parts: Sequence[Part], workshop: Workshop) -> list[Given]:
    """Judge parts and remember the answers; one that a plugin's fault spoilt is worked out anew next time."""
    answer = fit_checked(replace(asked, parts=tuple(parts)), workshop.registry, workshop.estimates)
    found = []
    for part, judged in zip(parts, answer.parts, strict=True):
        given = Given(judged.verdict, orjson.dumps(part_json(judged, workshop.messages)))
        found.append(given)
        if not any(joint.fault for joint in judged.joints):
            workshop.memory.keep_given((asked.skate, part, asked.stake), given)
    return found


def _numbered(index: int, text: bytes) -> orjson.Fragment:
    """Put a part's place in the request in front of the rest of its answer."""
    return orjson.Fragment(b'{"index":%d,' % index + text[1:])


def identification_answered(mount: Mount, digest: str, workshop: Workshop) -> Json:
    """Give the answer to an identification."""
    found = identified(mount, workshop.registry, workshop.estimates)
    rankings = [identification_json(each, workshop.messages) for each in found]
    return {"identifications": rankings, "receipt": receipt(digest, workshop)}


def receipt(digest: str, workshop: Workshop) -> Json:
    """Give what an answer can be traced by."""
    return {"request": digest, "catalogue": None, "rules": workshop.registry.rules_version}
