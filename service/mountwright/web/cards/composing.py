"""From a request to its card: skate and parts by their SKU, jobs by their keys or by what the parts take."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from marshmallow import ValidationError

from mountwright.bench.bench_card import BenchCard, CardPart, Side, Target, Task, bench_card, jobs_to_fit, mouldings
from mountwright.bench.jobs import Job
from mountwright.messages import Fault
from mountwright.mounts.mount import Part
from mountwright.web.cards.asked import CardAsked, CardSkate
from mountwright.web.cards.lettering import letter_faults
from mountwright.web.faults import fault
from mountwright.web.naming import part_named, skate_named
from mountwright.web.reading import part_built
from mountwright.web.workshop import Desk

Json = Mapping[str, Any]

#: Letters of a job's key that are compared with those of the known ones.
_COMPARED = 60


def card_given(data: Json, desk: Desk) -> CardAsked:
    """Give a bench card.

    Parameters
    ----------
    data : Mapping
        As it was loaded.
    desk : Desk

    Raises
    ------
    ValidationError
        For what the catalogue, the jobs or the typeface have to say against it, all of it.
    """
    faults: dict[str, Any] = {}
    skate = _tried("skate", faults, _skate, data["skate"], desk)
    parts = _tried("parts", faults, _parts, data.get("parts", ()), desk)
    card = None if parts is None else _tried("", faults, _card, data, parts, desk.workshop.jobs)
    if skate is None or card is None:
        raise ValidationError(faults)
    return CardAsked(
        data["reference"],
        skate,
        card,
        data.get("wheel_line"),
        data.get("old_frame_place", {}),
        data.get("notes", ""),
    )


def _tried(place: str, faults: dict[str, Any], give: Any, *given: Any) -> Any:
    """Give what a function gives, or None with its faults noted."""
    try:
        return give(*given)
    except ValidationError as error:
        faults.update({place: error.messages} if place else error.messages_dict)
        return None


def _skate(entry: Json, desk: Desk) -> CardSkate:
    if "sku" in entry:
        part, record = skate_named(entry, desk), _record(entry["sku"], desk)
        name = entry.get("name") or " ".join(filter(None, (record.get("name"), record.get("version"))))
    else:
        part, faults = part_built("", entry.get("mounts", ()), "", desk.workshop.registry)
        if faults:
            raise ValidationError({"mounts": faults})
        name = entry["name"]
    if wrong := letter_faults(name):
        raise ValidationError({"sku" if "sku" in entry else "name": wrong})
    return CardSkate(name, entry.get("sku", ""), entry.get("eu_size"), tuple(_standards(part)))


def _standards(part: Part) -> Iterator[tuple[str, str]]:
    for mount in part.mounts:
        if (standard := mount.patterns[0].standard) is not None:
            yield mount.position, standard


def _parts(entries: Sequence[Json], desk: Desk) -> tuple[CardPart, ...]:
    found: list[CardPart] = []
    faults: dict[int, Any] = {}
    for index, entry in enumerate(entries):
        try:
            found.append(_part(entry, desk))
        except ValidationError as error:
            faults[index] = error.messages
    if faults:
        raise ValidationError(faults)
    return tuple(found)


def _part(entry: Json, desk: Desk) -> CardPart:
    known: Json = {}
    if "sku" in entry:
        part_named(entry, desk)
        known = _record(entry["sku"], desk)
    name = entry.get("name") or known.get("name", "")
    if wrong := letter_faults(name):
        raise ValidationError({"sku": wrong})
    return CardPart(
        entry.get("kind") or known["kind"],
        entry.get("sku", ""),
        name,
        entry.get("place", ""),
        entry.get("pieces"),
        {**known.get("specs", {}), **entry.get("specs", {})},
    )


def _record(sku: str, desk: Desk) -> Json:
    assert desk.seen is not None  # noqa: S101  # it was found there just now
    return desk.seen.articles[sku].record


def _card(data: Json, parts: Sequence[CardPart], known: Mapping[str, Job]) -> BenchCard:
    tasks = _asked_tasks(data["jobs"], parts, known) if "jobs" in data else _derived_tasks(parts, known)
    if not tasks:
        raise ValidationError({"jobs": fault("card.no_jobs")})
    return bench_card(tasks, parts, known)


def _asked_tasks(entries: Sequence[Json], parts: Sequence[CardPart], known: Mapping[str, Job]) -> list[Task]:
    faults = {index: wrong for index, entry in enumerate(entries) if (wrong := _task_faults(entry, parts, known))}
    if faults:
        raise ValidationError({"jobs": faults})
    return [Task(known[entry["job"]], _target(entry)) for entry in entries]


def _target(entry: Json) -> Target:
    return Target(tuple(entry.get("parts", ())), entry.get("place", ""), Side(entry.get("side", Side.BOTH)))


def _task_faults(entry: Json, parts: Sequence[CardPart], known: Mapping[str, Job]) -> dict[str, Any]:
    job = known.get(entry["job"])
    faults: dict[str, Any] = {} if job is not None else {"job": _unknown(entry["job"], known)}
    named = entry.get("parts", ())
    beyond = {
        place: fault("card.no_such_part", index, count=len(parts))
        for place, index in enumerate(named)
        if index >= len(parts)
    }
    if beyond:
        return {**faults, "parts": beyond}
    cold = {} if job is None else _left_cold(job, named, parts)
    return {**faults, **({"parts": cold} if cold else {})}


def _left_cold(job: Job, named: Sequence[int], parts: Sequence[CardPart]) -> dict[int, Any]:
    """Give a fault for each part that is not to be moulded: no card sends it into an oven."""
    found = {each.part: each.moulding for each in mouldings(job, named, parts) if each.moulding.may is False}
    answers = {place: found[index].notes[0] for place, index in enumerate(named) if index in found}
    return {place: [Fault(note.code, note.params)] for place, note in answers.items()}


def _unknown(key: str, known: Mapping[str, Job]) -> list[Fault]:
    near = difflib.get_close_matches(key[:_COMPARED], known, n=1)
    if not near:
        return fault("card.unknown_job", key, known=", ".join(known))
    return fault("card.unknown_job_near", key, known=", ".join(known), near=repr(near[0]))


def _derived_tasks(parts: Sequence[CardPart], known: Mapping[str, Job]) -> list[Task]:
    """Give the job that puts each part on; where several might, somebody has to say which."""
    choices = {index: jobs_to_fit(part.kind, known) for index, part in enumerate(parts)}
    open_ = {
        index: {"kind": fault("card.which_job", parts[index].kind, known=", ".join(job.key for job in jobs))}
        for index, jobs in choices.items()
        if len(jobs) > 1
    }
    if open_:
        raise ValidationError({"parts": open_})
    return [Task(job, Target((index,), parts[index].place)) for index, jobs in choices.items() for job in jobs]
