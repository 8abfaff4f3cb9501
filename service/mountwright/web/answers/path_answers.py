"""An upgrade path as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import accumulate, count
from typing import Any, NamedTuple

from mountwright.fitting.answers import Need, NextStep
from mountwright.measure.quantity import significant
from mountwright.messages import Messages
from mountwright.upgrading.another_skate import AnotherSkate
from mountwright.upgrading.effects import Effect
from mountwright.upgrading.gains import PER_CENT
from mountwright.upgrading.levels import relief
from mountwright.upgrading.offers import Offer
from mountwright.upgrading.path import OtherPath, Path, PathStep, Served
from mountwright.upgrading.plan import Step
from mountwright.upgrading.unchosen import Unchosen
from mountwright.web.answers.bands import band_json, range_json, said
from mountwright.web.answers.fit_answers import check_json, need_json, step_json
from mountwright.web.answers.wording import plain
from mountwright.web.paths.asked import PathAsked

Json = dict[str, Any]

#: Said with every path.
_ALWAYS = ("caution.geometry_only", "caution.follow_maker")

#: Checks of a complaint that are told, the likeliest causes first.
_FIRST_LOOKS = 3


class _Scene(NamedTuple):
    """What every sentence needs."""

    asked: PathAsked
    path: Path
    messages: Messages

    def say(self, code: str, **params: Any) -> Json:
        """Give a code with its params and its sentence."""
        return said(code, params, self.messages)


def path_json(asked: PathAsked, path: Path, messages: Messages) -> Json:
    """Give all there is to say about a path, but its receipt."""
    scene = _Scene(asked, path, messages)
    money, plan = asked.customer.money, path.plan
    spent = plan.cost_minor
    words = {"spent_minor": spent, "currency": money.currency, "steps": len(plan.steps)}
    return {
        "outcome": path.outcome,
        **scene.say(f"path.{path.outcome}", **words),
        "stages": list(_stages(scene)),
        "complaints": [_complaint(each, scene) for each in _in_riders_order(scene)],
        "hazards": [_hazard(each, scene) for each in path.hazards],
        "currency": money.currency,
        "spent_minor": spent,
        "left_minor": money.total_minor - spent,
        "minutes": range_json(path.bench.minutes),
        "bench": _bench(scene),
        "another_skate": None if path.other_skate is None else _another(path.other_skate, scene),
        "alternatives": [_alternative(each, scene) for each in path.others],
        "front": [{"budget_minor": each.cost_minor, "relief": significant(relief(each.points))} for each in path.front],
        "not_chosen": [_unchosen(each, scene) for each in path.not_chosen],
        "proved": plan.is_proved,
        "bound": None if plan.is_proved else list(plan.bound),
        "next_step": _step_json(path.next_step, messages),
        "notes": list(_notes(scene)),
        "cautions": [{"code": code, "message": messages.text(code)} for code in _ALWAYS],
        "picture": None if asked.packed is None else f"/v1/upgrade-paths/picture?of={asked.packed}",
    }


def _stages(scene: _Scene) -> Iterator[Json]:
    instalments = scene.asked.customer.money.instalments
    budgets = accumulate(each.amount_minor for each in instalments)
    spent = accumulate(sum(step.offer.cost_minor for step in steps) for steps in scene.path.stages)
    for number, instalment, budget, so_far, steps in zip(
        count(1), instalments, budgets, spent, scene.path.stages, strict=False
    ):
        yield {
            "number": number,
            "on": None if instalment.on is None else instalment.on.isoformat(),
            "budget_minor": budget,
            "spent_minor": so_far,
            "decision": "clear",
            "steps": [_step(each, scene) for each in steps],
        }


def _step(found: PathStep, scene: _Scene) -> Json:
    offer, article, jobs = found.offer, found.offer.article, scene.path.choice.jobs
    serves = {code: band for code, band in offer.serves.items() if band.likely > 0}
    hazards = {each.complaint.code for each in scene.path.hazards}
    return {
        "position": offer.position,
        "kind": None if article is None else article.kind,
        "sku": None if article is None else article.sku or None,
        "name": _name(offer, scene),
        "packs": 0 if offer.amount is None else offer.amount.packs,
        "jobs": list(offer.work.jobs),
        "parts_minor": offer.parts_minor,
        "labour_minor": offer.work.labour_minor,
        "consumables_minor": offer.work.consumables_minor,
        "minutes": range_json(offer.work.minutes),
        "serves": [{"complaint": code, "relief": band_json(band)} for code, band in serves.items()],
        "hazards": [code for code in serves if code in hazards],
        "rolling_gain_percent": None if offer.gain is None else significant(offer.gain / PER_CENT),
        "wishes": list(offer.wishes),
        "changes": _changes(found.effect),
        "checks": [check_json(each.check, scene.messages) for each in found.findings if each.check is not None],
        "needs": [need_json(need, scene.messages) for need in _needs(found)],
        "old_part": _old(found, hazards & serves.keys()),
        "can_be_undone": all(jobs[key].can_be_undone for key in offer.work.jobs),
        "keeps_place": significant(found.keeps_place),
        **scene.say(_why(offer, serves), name=_name(offer, scene), serves=_spoken(serves)),
    }


def _changes(effect: Effect) -> Json:
    return {name: None if value is None else significant(value) for name, value in effect._asdict().items()}


def _needs(found: PathStep) -> Iterable[Need]:
    return {need.key: need for finding in found.findings for need in finding.needs}.values()


def _name(offer: Offer, scene: _Scene) -> str:
    if offer.article is not None:
        return offer.article.name or offer.article.sku or offer.article.kind
    return next((scene.path.choice.jobs[key].title for key in offer.work.jobs), offer.key)


def _why(offer: Offer, serves: Iterable[str]) -> str:
    """Give what a step is for: a complaint, a wish, rolling, or what another step needs."""
    if any(serves):
        return "path.step_serves"
    if offer.wishes:
        return "path.step_wished"
    return "path.step_rolls" if (offer.gain or 0) > 0 else "path.step_needed"


def _spoken(codes: Iterable[str]) -> str:
    return ", ".join(plain(code) for code in codes)


def _old(found: PathStep, removed: set[str]) -> Json | None:
    if found.old is None:
        return None
    becomes = "worn_out" if removed else "spare"
    return {"sku": found.old.sku or None, "kind": found.old.kind, "becomes": becomes}


def _in_riders_order(scene: _Scene) -> list[Served]:
    told = scene.asked.customer.complaints
    return sorted((*scene.path.hazards, *scene.path.complaints), key=lambda each: told.index(each.complaint.code))


def _complaint(found: Served, scene: _Scene) -> Json:
    complaint = found.complaint
    likeliest = sorted(complaint.causes, key=lambda cause: -cause.often.likely)
    answer = scene.path.choice.aims.answer(complaint)
    phrase = scene.messages.phrase
    saying = next((cause.say for cause in likeliest if cause.answer is answer and cause.say), None)
    return {
        "complaint": complaint.code,
        "said": phrase(complaint.said),
        "relief": significant(found.relief),
        "first_look": [{"cause": cause.key, "check": phrase(cause.check)} for cause in complaint.causes[:_FIRST_LOOKS]],
        "answer": answer,
        "message": None if saying is None else phrase(saying),
    }


def _hazard(found: Served, scene: _Scene) -> Json:
    severity = found.complaint.severity
    code = "path.hazard_removed" if found.stage is not None else "path.hazard_stays"
    words = {"hazard": plain(found.complaint.code).capitalize(), "stage": found.stage or 0}
    return {
        "complaint": found.complaint.code,
        "severity": severity,
        "removed_at_stage": found.stage,
        **scene.say(code, **words),
    }


def _bench(scene: _Scene) -> Json:
    plan = scene.path.bench
    stage_of = {key: step.step.stage for steps in scene.path.stages for step in steps for key in step.offer.work.jobs}
    at_home, given_n_m, phrase = scene.asked.customer.at_home, _torques_n_m(scene), scene.messages.phrase
    return {
        "jobs": [
            {
                "job": job.key,
                "title": job.title,
                "stage": stage_of.get(job.key),
                "where": "home" if job.key in at_home else "workshop",
                "steps": list(job.steps),
                "minutes": range_json(job.minutes),
                "can_be_undone": job.can_be_undone,
                "torques": [{"kind": each.kind, "torque": phrase(str(each))} for each in job.torques(given_n_m)],
            }
            for job in plan.jobs
        ],
        "tools": list(map(str, plan.tools)),
        "after_checks": list(plan.after_checks),
        "cautions": list(plan.cautions),
    }


def _torques_n_m(scene: _Scene) -> dict[str, float]:
    """Give the makers' torques of what is bought, by kind; a maker's figure holds for his own part alone."""
    bought = [step.offer.article for steps in scene.path.stages for step in steps if step.offer.article is not None]
    return {article.kind: article.specs["torque_n_m"] for article in bought if "torque_n_m" in article.specs}


def _another(found: AnotherSkate, scene: _Scene) -> Json:
    words = {
        "name": found.article.name or found.article.sku,
        "price_minor": found.price_minor,
        "wins_from_minor": found.wins_from_minor,
        "currency": scene.asked.customer.money.currency,
    }
    return {
        "sku": found.article.sku,
        "name": found.article.name or None,
        "price_minor": found.price_minor,
        "trade_in_minor": found.trade_in_minor,
        "wins_from_minor": found.wins_from_minor,
        "serves": [{"complaint": code, "relief": band_json(band)} for code, band in found.serves.items()],
        **scene.say("path.skate_wins" if found.wins else "path.skate_from", **words),
    }


def _alternative(found: OtherPath, scene: _Scene) -> Json:
    rival = found.rival
    words = {
        "complaint": plain(rival.complaint),
        "instead_of": _named(rival.instead_of, scene),
        "remedy": "nothing" if rival.remedy is None else _named(rival.remedy, scene),
    }
    return {
        "steps": [_brief(step, scene) for step in rival.plan.steps],
        "spent_minor": rival.plan.cost_minor,
        "complaint": rival.complaint,
        "instead_of": _brief(rival.instead_of, scene),
        "remedy": None if rival.remedy is None else _brief(rival.remedy, scene),
        "wins_at_minor": found.wins_at_minor,
        **scene.say("path.instead" if rival.remedy is not None else "path.instead_of_nothing", **words),
    }


def _named(step: Step, scene: _Scene) -> str:
    return _name(scene.path.choice.offers[step.position, step.option.key], scene)


def _brief(step: Step, scene: _Scene) -> Json:
    article = scene.path.choice.offers[step.position, step.option.key].article
    return {
        "position": step.position,
        "sku": None if article is None else article.sku or None,
        "name": _named(step, scene),
        "stage": step.stage,
        "cost_minor": step.option.cost_minor,
    }


def _unchosen(found: Unchosen, scene: _Scene) -> Json:
    return {"kind": found.kind, **scene.say(f"path.{found.why}", kind=plain(found.kind))}


def _step_json(step: NextStep | None, messages: Messages) -> Json | None:
    return None if step is None else step_json(step, messages)


def _notes(scene: _Scene) -> Iterator[Json]:
    """Give what was left out and what was taken for want of a figure."""
    asked, choice = scene.asked, scene.path.choice
    for reason, number in sorted(choice.left_out_counts.items()):
        yield scene.say(f"path.left_out_{reason}", count=number)
    if asked.for_sale.other_currencies:
        yield scene.say(
            "path.other_currencies",
            currency=asked.customer.money.currency,
            found=", ".join(asked.for_sale.other_currencies),
        )
    if choice.unserved:
        yield scene.say("path.unserved", complaints=_spoken(choice.unserved))
    if choice.unknown_gains:
        yield scene.say("path.unknown_gains", count=choice.unknown_gains)
    if not scene.path.plan.is_proved:
        yield scene.say("path.not_proved")
