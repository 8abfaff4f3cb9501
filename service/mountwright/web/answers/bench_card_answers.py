"""A bench card as JSON."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from mountwright.bench.bench_card import BenchCard, CardJob, CardPart, CardTorque, PartMoulding, Side, Target
from mountwright.bench.jobs import COST_CURRENCY
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.web.answers.bands import range_json, said
from mountwright.web.answers.wording import plain
from mountwright.web.cards.asked import CardAsked, CardSkate, FramePlace

Json = dict[str, Any]

#: Said on every card: what was compared, and who has the last word.
_ALWAYS = ("caution.geometry_only", "caution.follow_maker")


def card_json(asked: CardAsked, messages: Messages) -> Json:
    """Give all there is to say on a card, but its receipt."""
    card = asked.card
    minutes = range_json(card.minutes)
    return {
        "reference": asked.reference,
        **said("card.summary", {"jobs": len(card.jobs), **minutes}, messages),
        "skate": _skate(asked.skate),
        "jobs": [_job(number, each, card, messages) for number, each in enumerate(card.jobs, 1)],
        "minutes": minutes,
        "tools": [{"tool": str(use.tool), "jobs": list(use.jobs)} for use in card.tools],
        "consumables": [{"name": each.name, "cost_minor": range_json(each.cost_cents)} for each in card.consumables],
        "currency": COST_CURRENCY,
        "parts": [_part(index, part, card) for index, part in enumerate(card.parts)],
        "can_be_undone": not card.for_good,
        "consent": _consent(card, messages),
        "old_frame_place": _old_frame(asked, messages),
        "after_checks": list(card.after_checks),
        "notes": asked.note,
        "remarks": list(_remarks(card, messages)),
        "cautions": [{"code": code, "message": messages.text(code)} for code in _ALWAYS],
        "picture": _address("/v1/wheel-lines/picture?of=", None if asked.line is None else asked.line.packed),
        "links": links(asked.packed),
    }


def links(packed: str | None) -> Json:
    """Give the addresses of a card's forms, None each where the question is too long for one."""
    own = _address("/v1/bench-cards?q=", packed)
    return {"card": own, **{form: None if own is None else f"{own}&as={form}" for form in ("html", "pdf")}}


def part_name(part: CardPart) -> str:
    """Give what a part is called: by its name, or else by its SKU or kind."""
    return part.name or part.sku or plain(part.kind)


def _address(path: str, packed: str | None) -> str | None:
    return None if packed is None else path + packed


def _skate(skate: CardSkate) -> Json:
    return {
        "sku": skate.sku or None,
        "name": skate.name or None,
        "eu_size": skate.eu_size,
        "mounts": [{"position": position, "standard": standard} for position, standard in skate.mounts],
    }


def _job(number: int, found: CardJob, card: BenchCard, messages: Messages) -> Json:
    job = found.job
    return {
        "number": number,
        "job": job.key,
        "title": job.title,
        "needed_by": list(found.needed_by),
        "targets": [_target(each) for each in found.targets],
        "where": job.where,
        "risk": job.risk,
        "standing": job.standing,
        "steps": list(job.steps),
        "minutes": range_json(found.minutes),
        "tools": list(map(str, job.tools)),
        "torques": [_torque(each, card, messages) for each in found.torques],
        "mouldings": [_moulding(each, messages) for each in found.mouldings],
        "cautions": list(job.cautions),
        "can_be_undone": job.can_be_undone,
    }


def _target(target: Target) -> Json:
    return {"parts": list(target.parts), "place": target.place or None, "side": target.side}


def _torque(found: CardTorque, card: BenchCard, messages: Messages) -> Json:
    kind = plain(found.kind).capitalize()
    if found.part is None:
        words = said("card.torque_sheet", {"kind": kind}, messages)
    else:
        params = {
            "kind": kind,
            "torque_n_m": found.torque_n_m,
            "source": part_name(card.parts[found.part]),
        }
        words = said("card.torque", params, messages)
    figure = None if found.torque_n_m is None else significant(found.torque_n_m)
    return {"kind": found.kind, "torque_n_m": figure, "part": found.part, **words}


def _moulding(found: PartMoulding, messages: Messages) -> Json:
    moulding = found.moulding
    answer = moulding.notes[0]
    return {
        "part": found.part,
        "may": moulding.may,
        "temperature_c": moulding.temperature_c,
        "time_min": moulding.time_min,
        **said(answer.code, answer.params, messages),
    }


def _part(index: int, part: CardPart, card: BenchCard) -> Json:
    jobs = [each.job.key for each in card.jobs if any(index in target.parts for target in each.targets)]
    return {
        "index": index,
        "sku": part.sku or None,
        "kind": part.kind,
        "name": part.name or None,
        "pieces": part.pieces,
        "place": part.place or None,
        "jobs": jobs,
    }


def _consent(card: BenchCard, messages: Messages) -> Json | None:
    """Give what the customer signs before work that cannot be undone, None where all of it can."""
    if not card.for_good:
        return None
    titles = "; ".join(job.title for job in card.for_good)
    return {"jobs": [job.key for job in card.for_good], **said("card.consent", {"jobs": titles}, messages)}


def _old_frame(asked: CardAsked, messages: Messages) -> Json | None:
    """Give where the frames stood, None where they stay and nobody said."""
    if not asked.old_frame and not asked.card.moves_frame:
        return None
    places: Mapping[str, FramePlace] = asked.old_frame
    told = {side.value: _place(places.get(side)) for side in (Side.LEFT, Side.RIGHT)}
    return {**told, **said("card.mark_frame", {}, messages)}


def _place(place: FramePlace | None) -> Json | None:
    return None if place is None else {name: significant(value) for name, value in place._asdict().items()}


def _remarks(card: BenchCard, messages: Messages) -> Iterator[Json]:
    yield said("card.times_for_pair", {}, messages)
    if any(each.needed_by for each in card.jobs):
        yield said("card.added_jobs", {}, messages)
