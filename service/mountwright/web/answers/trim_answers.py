"""How much of a strap or a flap may go, as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from mountwright.bench.flap_trim import FlapCut, FlapOf, FlapTrim
from mountwright.bench.jobs import Job
from mountwright.bench.length import Length
from mountwright.bench.strap import Closing
from mountwright.bench.strap_trim import Cut, StrapTrim
from mountwright.bench.trimming import Outcome, Trim
from mountwright.measure.quantity import in_units, significant
from mountwright.messages import Messages
from mountwright.web.answers.bands import notes_json, range_json, said
from mountwright.web.workshop import Workshop

Json = dict[str, Any]

_JOBS = {FlapOf.CUFF: "trim_cuff_flap", FlapOf.LINER: "trim_liner_flap"}


def strap_json(found: StrapTrim, shop: Workshop) -> Json:
    """Give what is said about a strap."""
    return {
        **_trim(found, shop.jobs["shorten_strap"], shop.messages),
        "limits": [{"kept": kept, "teeth": teeth} for kept, teeth in found.limits.items()],
        "first": None if found.first is None else _strap_cut(found.first),
        "at_most": None if found.at_most is None else _strap_cut(found.at_most),
    }


def flap_json(found: FlapTrim, of: FlapOf, shop: Workshop) -> Json:
    """Give what is said about a flap."""
    return {
        **_trim(found, shop.jobs[_JOBS[of]], shop.messages),
        "limits": [{"kept": kept, "mm": in_units(um)} for kept, um in found.limits.items()],
        "first": None if found.first is None else _flap_cut(found.first),
        "at_most": None if found.at_most is None else _flap_cut(found.at_most),
    }


def _trim(found: Trim[Any, Any, Any], job: Job, messages: Messages) -> Json:
    """Give what straps and flaps have in common; the first note is the answer, the reasons follow it."""
    answer, *notes = found.notes
    reasons, rest = notes[: len(found.why)], notes[len(found.why) :]
    return {
        "outcome": found.outcome,
        **said(answer.code, answer.params, messages),
        "why": notes_json(reasons, messages),
        "next_steps": notes_json(found.next_steps, messages),
        "can_be_undone": job.can_be_undone,
        "job": _job(job) if found.outcome is Outcome.TRIM else None,
        "taken": [
            {**each._asdict(), **{name: significant(getattr(each, name)) for name in ("value", "low", "high")}}
            for each in found.taken
        ],
        "notes": notes_json(rest, messages),
    }


def _job(job: Job) -> Json:
    return {
        "job": job.key,
        "title": job.title,
        "where": job.where,
        "steps": list(job.steps),
        "minutes": range_json(job.minutes),
        "tools": list(map(str, job.tools)),
        "cautions": list(job.cautions),
        "after_checks": list(job.after_checks),
    }


def _strap_cut(cut: Cut) -> Json:
    return {
        "teeth": cut.teeth,
        "goes_mm": _length(cut.goes),
        "stays_mm": _length(cut.stays),
        "thickest_sock": _closing(cut.thick),
        "usual_sock": None if cut.usual is None else _closing(cut.usual),
    }


def _closing(closing: Closing) -> Mapping[str, int]:
    return {"teeth_engaged": closing.engaged, "teeth_standing_out": closing.standing_out}


def _flap_cut(cut: FlapCut) -> Json:
    return {"goes_mm": _length(cut.goes), "stays_mm": _length(cut.stays), "overlap_mm": _length(cut.overlap)}


def _length(length: Length | None) -> Json | None:
    if length is None:
        return None
    return {
        "low": in_units(length.least_um),
        "likely": in_units(length.likely_um),
        "high": in_units(length.most_um),
    }
