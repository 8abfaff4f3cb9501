"""What goes on a skate, as JSON: grouped by verdict and by what it takes, best first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

import orjson

from mountwright.fitting.answers import Outcome
from mountwright.measure.quantity import significant
from mountwright.web.candidates import Candidate

Json = dict[str, Any]

#: Of an article's record, what a listing shows.
_SHOWN = ("kind", "name", "maker", "version", "price_minor", "currency", "stock", "colour", "photo_url")


def groups_json(page: Sequence[Candidate]) -> list[Json]:
    """Give a page of candidates in groups."""
    return [_group(list(members)) for _, members in groupby(page, key=_takes)]


def _takes(candidate: Candidate) -> tuple[str, tuple[str, ...]]:
    return candidate.given.verdict, candidate.given.needs


def _group(members: Sequence[Candidate]) -> Json:
    answers = [orjson.loads(member.given.text) for member in members]
    return {
        "verdict": members[0].given.verdict,
        "needs": answers[0]["needs"],
        "parts": [_part(member, answer) for member, answer in zip(members, answers, strict=True)],
    }


def _part(candidate: Candidate, answer: Json) -> Json:
    record = candidate.shelved.record
    return {
        "sku": candidate.shelved.sku,
        **{name: record.get(name) for name in _SHOWN},
        "probability": significant(candidate.given.probability),
        "why_not": _failed(answer["checks"]),
        "next_step": answer["next_step"],
        "experience": answer["experience"],
    }


def _failed(checks: Iterable[Json]) -> list[Json]:
    """Give the checks that a part failed, with what they say."""
    said = ("code", "position", "message")
    return [{name: check[name] for name in said} for check in checks if check["outcome"] == Outcome.FAIL]
