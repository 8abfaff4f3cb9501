"""A fit answer as JSON."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any

from mountwright.fitting.answers import CheckAnswer, Experience, JointAnswer, Need, NextStep, PartAnswer, Reports
from mountwright.fitting.beliefs import Contradiction
from mountwright.measure.quantity import Limits, in_units, significant
from mountwright.messages import Messages
from mountwright.web.answers.wording import (
    check_message,
    contradiction_code,
    contradiction_message,
    need_message,
    plain,
    step_message,
)

Json = dict[str, Any]

#: Said once with every part that is found to go on, whatever the joints add.
_ALWAYS = ("caution.geometry_only", "caution.follow_maker")


def part_json(part: PartAnswer, messages: Messages) -> Json:
    """Give the answer about one part, without its place in the request."""
    joints = part.joints
    cautions = dict.fromkeys(code for joint in joints for code in joint.cautions)
    cautions.update(dict.fromkeys(_ALWAYS))
    return {
        "verdict": part.verdict,
        "probability": significant(part.probability),
        "probability_at_most": significant(part.probability_at_most),
        "joints": [_joint(joint) for joint in joints],
        "checks": [check_json(check, messages) for joint in joints for check in joint.checks],
        "contradictions": [contradiction_json(found, messages) for joint in joints for found in joint.contradictions],
        "needs": [need_json(need, messages) for joint in joints for need in joint.needs],
        "cautions": [{"code": code, "message": messages.text(code)} for code in cautions],
        "next_step": step_json(part.next_step, messages),
        "experience": None if part.experience is None else _experience(part.experience, messages),
        "versions": [
            {"sku": sku, "version": version or None, "mark": mark or None, "verdict": verdict}
            for sku, version, mark, verdict in part.versions
        ],
    }


def _experience(found: Experience, messages: Messages) -> Json:
    code = "experience.conflict" if found.conflict else "experience.counted"
    params = {
        "verdict": found.verdict.value,
        "successes": found.successes.times,
        "failures": found.failures.times,
        "share_percent": float(f"{100 * found.share_of_experience:.2g}"),
    }
    spoken = {"verdict": plain(found.verdict), "share_percent": f"{params['share_percent']:g}"}
    return {
        "geometry": {
            "verdict": found.verdict,
            "probability": significant(found.probability),
            "probability_at_most": significant(found.probability_at_most),
        },
        "share_of_geometry": significant(found.share_of_geometry),
        "share_of_experience": significant(found.share_of_experience),
        "successes": _reports(found.successes),
        "failures": _reports(found.failures),
        "conflict": found.conflict,
        "code": code,
        "params": params,
        "message": messages.text(code, {**params, **spoken}),
    }


def _reports(found: Reports) -> Json:
    return {"count": found.times, "weight": significant(found.weight)}


def _joint(joint: JointAnswer) -> Json:
    return {
        "position": joint.position,
        "sides": list(joint.sides),
        "standards": [key or None for key in joint.standards],
        "patterns": [name or None for name in joint.patterns],
        "settings": [
            {"side": side, "dimension": name, "value": in_units(value), "lock": lock}
            for side, settings in zip(joint.sides, joint.settings, strict=True)
            for name, value, lock in settings
        ],
        "shift_mm": None if joint.shift_um is None else in_units(joint.shift_um),
        "verdict": joint.verdict,
        "probability": significant(joint.probability),
        "probability_at_most": significant(joint.probability_at_most),
    }


def check_json(check: CheckAnswer, messages: Messages) -> Json:
    """Give a judged check; its figures carry the unit in their names."""
    found: Json = {"code": check.code, "position": check.position, "outcome": check.outcome}
    if check.unit:
        value, limits, margin = _figure_names(check.unit)
        found[value] = None if check.value is None else in_units(check.value)
        found[limits] = _ends(check.limits)
        found[margin] = None if check.margin is None else in_units(check.margin)
    found["probability"] = significant(check.probability)
    found["params"] = dict(check.params)
    found["message"] = check_message(check, messages)
    found["source"] = check.source
    found["missing"] = check.missing
    return found


@cache
def _figure_names(unit: str) -> tuple[str, str, str]:
    return f"value_{unit}", f"limits_{unit}", f"margin_{unit}"


@lru_cache(maxsize=4096)
def _ends(limits: Limits) -> tuple[float | None, float | None]:
    low, high = limits.low, limits.high
    return None if low is None else in_units(low), None if high is None else in_units(high)


def need_json(need: Need, messages: Messages) -> Json:
    """Give a conversion that a joint takes."""
    return {
        "key": need.key,
        "kind": need.kind,
        "reversible": need.reversible,
        "added_height_mm": None if need.added_height is None else _ends(need.added_height),
        "source": need.source,
        "code": f"need.{need.kind}",
        "message": need_message(need, messages),
    }


def contradiction_json(found: Contradiction, messages: Messages) -> Json:
    """Give a contradiction; a figure in the unit that the dimension's name ends in."""
    return {
        "side": found.side,
        "standard": found.standard,
        "claimed_by": found.claimed_by,
        "what": found.what,
        "found": found.found if isinstance(found.found, str) else in_units(found.found),
        "expected": found.expected if isinstance(found.expected, str) else in_units(found.expected),
        "code": contradiction_code(found),
        "message": contradiction_message(found, messages),
    }


def step_json(step: NextStep | None, messages: Messages) -> Json | None:
    """Give a next step, or null."""
    if step is None:
        return None
    params = {name: significant(value) if isinstance(value, float) else value for name, value in step.params.items()}
    return {
        "kind": step.kind.value,
        "code": step.code,
        "side": step.side,
        "what": step.what,
        "instrument": step.instrument or None,
        "params": params,
        "message": step_message(step, messages),
    }
