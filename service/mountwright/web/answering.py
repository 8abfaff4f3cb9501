"""The straight way of a request: frozen request in, JSON with receipt out. Used over HTTP and by the command line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import orjson

from mountwright.catalogue.versions import Version
from mountwright.fitting.answers import PartAnswer
from mountwright.fitting.evidence import Tally
from mountwright.fitting.fit_check import FitRequest, fit_checked
from mountwright.fitting.identification import identified
from mountwright.fitting.verdict import worst
from mountwright.fitting.versions import VersionsRequest, versions_checked
from mountwright.web.answers.fit_answers import part_json
from mountwright.web.answers.identification_answers import identification_json
from mountwright.web.memory import Asked, Given
from mountwright.web.parsing import Question
from mountwright.web.workshop import Workshop

Json = dict[str, Any]

NOTHING_TOLD = Tally()


def fit_answered(question: Question, workshop: Workshop) -> Json:
    """Give the answer to a fit check; parts that this skate was asked about before are not judged again."""
    asked = question.asked
    answered = over_versions_answered if isinstance(asked, VersionsRequest) else parts_answered
    given: list[Given] = answered(asked, workshop)
    told = enumerate(zip(question.skus, given, strict=True))
    return {
        "verdict": worst(each.verdict for each in given),
        "parts": [_numbered(index, sku, each.text) for index, (sku, each) in told],
        "receipt": receipt(question.digest, question.version, workshop),
    }


def parts_answered(asked: FitRequest, workshop: Workshop) -> list[Given]:
    """Give the answer about each part; what was answered before is not judged again."""
    tallies = asked.tallies or (NOTHING_TOLD,) * len(asked.parts)
    keys = [(asked.skate, part, asked.stake, tally) for part, tally in zip(asked.parts, tallies, strict=True)]
    known = [workshop.memory.given(key) for key in keys]
    new = [key for key, given in zip(keys, known, strict=True) if given is None]
    fresh = iter(_judged(new, workshop) if new else ())
    return [each or next(fresh) for each in known]


def _judged(keys: Sequence[Asked], workshop: Workshop) -> list[Given]:
    """Judge parts and remember the answers; one that a plugin's fault spoilt is worked out anew next time."""
    (skate, _, stake, _), parts, tallies = keys[0], [key[1] for key in keys], [key[3] for key in keys]
    told = tuple(tallies) if any(tally.rows for tally in tallies) else ()
    request = FitRequest(skate, tuple(parts), stake, told)
    answer = fit_checked(request, workshop.registry, workshop.estimates)
    found = []
    for key, judged in zip(keys, answer.parts, strict=True):
        given = _given(judged, workshop)
        found.append(given)
        if not any(joint.fault for joint in judged.joints):
            workshop.memory.keep_given(key, given)
    return found


def over_versions_answered(asked: VersionsRequest, workshop: Workshop) -> list[Given]:
    """Give the answer about each part over all versions of a model."""
    answer = versions_checked(asked, workshop.registry, workshop.estimates)
    return [_given(judged, workshop) for judged in answer.parts]


def _given(judged: PartAnswer, workshop: Workshop) -> Given:
    needs = tuple(need.key for joint in judged.joints for need in joint.needs)
    return Given(judged.verdict, judged.probability, needs, orjson.dumps(part_json(judged, workshop.messages)))


def _numbered(index: int, sku: str | None, text: bytes) -> orjson.Fragment:
    """Put a part's place in the request, and its SKU, in front of the rest of its answer."""
    return orjson.Fragment(b'{"index":%d,"sku":%b,' % (index, orjson.dumps(sku)) + text[1:])


def identification_answered(question: Question, workshop: Workshop) -> Json:
    """Give the answer to an identification."""
    found = identified(question.asked, workshop.registry, workshop.estimates)
    rankings = [identification_json(each, workshop.messages) for each in found]
    return {"identifications": rankings, "receipt": receipt(question.digest, question.version, workshop)}


def receipt(digest: str, version: Version | None, workshop: Workshop) -> Json:
    """Give what an answer can be traced by; without a catalogue where nothing of it was named."""
    return {
        "request": digest,
        "catalogue": None if version is None else version.label,
        "rules": workshop.registry.rules_version,
    }
