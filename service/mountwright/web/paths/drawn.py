"""From an upgrade path to what is drawn of it, in the words of its answer."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import fsum
from typing import Any

from iso4217 import Currency

from mountwright.drawing.path_scene import OtherSkate, PathAlternative, PathPoint, PathScene, PathStage, PathStep
from mountwright.messages import Messages
from mountwright.upgrading.another_skate import AnotherSkate
from mountwright.upgrading.offers import Offer
from mountwright.upgrading.path import Path
from mountwright.upgrading.plan import Plan
from mountwright.web.answers.path_answers import path_json
from mountwright.web.paths.asked import PathAsked

Json = dict[str, Any]

#: More lines could not be told apart.
_MOST_ALTERNATIVES = 3

#: Notes of the answer without which the picture would be taken for more, or for less, than it is.
_ALSO_SAID = ("path.other_currencies", "path.not_proved")


def path_scene(asked: PathAsked, path: Path, messages: Messages) -> PathScene:
    """Give the picture's figures.

    What is relieved is the mean of the complaints, hazards among them, each counted alike: so much of each as the steps
    so far do away with, by their likely shares. In the end it is the mean of what the answer has for each.

    Parameters
    ----------
    asked : PathAsked
    path : Path
        Of what is asked.
    messages : Messages
    """
    told, money = path_json(asked, path, messages), asked.customer.money
    return PathScene(
        tuple(_steps(path, told)),
        tuple(_stages(told, messages)),
        money.currency,
        # Metals and the like have no minor unit.
        Currency(money.currency).exponent or 0,
        tuple(_alternatives(path, told)),
        None if path.other_skate is None else _other(path.other_skate),
        _title(asked),
        tuple(_notes(path, told, messages)),
    )


def _steps(path: Path, told: Json) -> Iterator[PathStep]:
    offers = [step.offer for steps in path.stages for step in steps]
    names = [(number, step["name"]) for number, stage in enumerate(told["stages"]) for step in stage["steps"]]
    for (stage, name), point in zip(names, _points(offers, path), strict=True):
        yield PathStep(name, point.money_minor, point.relief, stage)


def _points(offers: Iterable[Offer], path: Path) -> Iterator[PathPoint]:
    """Give what is spent and relieved after each of some offers, taken one after another."""
    left = {each.complaint.code: 1.0 for each in (*path.hazards, *path.complaints)}
    spent_minor = 0
    for offer in offers:
        spent_minor += offer.cost_minor
        for code, band in offer.serves.items():
            # As in the answer: remedies work independently, and what likely does nothing counts for nothing.
            left[code] *= 1 - max(0.0, band.likely)
        relieved = fsum(1 - share for share in left.values())
        yield PathPoint(spent_minor, relieved / len(left) if left else 0.0)


def _stages(told: Json, messages: Messages) -> Iterator[PathStage]:
    for stage in told["stages"]:
        code = "path.drawn_stage_at_once" if stage["on"] is None else "path.drawn_stage"
        yield PathStage(messages.text(code, {"number": stage["number"], "on": stage["on"]}), stage["budget_minor"])


def _alternatives(path: Path, told: Json) -> Iterator[PathAlternative]:
    """Give the best of the other ways that are told; of one that does nothing, no line would be seen."""
    ways = [
        (each["message"], found.rival.plan)
        for found, each in zip(path.others, told["alternatives"], strict=False)
        if found.rival.plan.steps
    ]
    for message, plan in ways[:_MOST_ALTERNATIVES]:
        yield PathAlternative(message, tuple(_points(_as_in_path(plan, path), path)))


def _as_in_path(plan: Plan, path: Path) -> Iterator[Offer]:
    """Give the offers of another plan; what the path does as well comes first and in its order, stage by stage.

    So the lines part where the ways do, and none lies lower only because of the order of its steps.
    """
    order = [(step.offer.position, step.offer.key) for steps in path.stages for step in steps]
    rank = {key: place for place, key in enumerate(order)}
    placed = [((step.position, step.option.key), step.stage) for step in plan.steps]
    for key, _ in sorted(placed, key=lambda each: (each[1], rank.get(each[0], len(rank)))):
        yield path.choice.offers[key]


def _other(found: AnotherSkate) -> OtherSkate:
    return OtherSkate(found.article.name or found.article.sku, found.wins_from_minor)


def _title(asked: PathAsked) -> str:
    """Give what the skate is called, empty where its versions are called otherwise."""
    names = {version.skate.name for version in asked.customer.owned.versions}
    return names.pop() if len(names) == 1 else ""


def _notes(path: Path, told: Json, messages: Messages) -> Iterator[str]:
    """Give what the picture cannot show: what it comes to, what is dangerous, and what "relieved" is of."""
    yield told["message"]
    yield from (each["message"] for each in told["hazards"])
    if told["next_step"] is not None:
        yield told["next_step"]["message"]
    yield from (each["message"] for each in told["notes"] if each["code"] in _ALSO_SAID)
    complaints = len(path.hazards) + len(path.complaints)
    if complaints > 1:
        yield messages.text("path.drawn_mean", {"count": complaints})
    elif not complaints:
        yield messages.text("path.drawn_no_complaint")
