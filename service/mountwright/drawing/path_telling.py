"""What the picture of an upgrade path says, in labels and in its alternative text."""

from __future__ import annotations

from collections.abc import Iterator
from string import ascii_uppercase
from typing import NamedTuple

from mountwright.drawing.lettering import plain
from mountwright.drawing.path_chart import extent_minor, is_beyond
from mountwright.drawing.path_scene import PathScene
from mountwright.drawing.runs import Run
from mountwright.drawing.words import Words, figure

_STAGE_KEYS, _WAY_KEYS = ascii_uppercase, "XYZ"


class PathTelling(NamedTuple):
    """The words of one picture."""

    scene: PathScene
    words: Words

    def name(self) -> str:
        """Give what the scene is called, empty where it has no name."""
        return plain(self.scene.title)

    def title(self) -> str:
        """Give the short alternative text."""
        return self.name() or self.words.say("path")

    def notes(self) -> tuple[str, ...]:
        """Give what is said above the chart."""
        return tuple(note for note in map(plain, self.scene.notes) if note)

    def up(self) -> str:
        """Give the label of the axis of relief."""
        return self.words.say("path_up")

    def along(self) -> str:
        """Give the label of the axis of money."""
        if not extent_minor(self.scene):
            return self.words.say("path_along_free")
        return self.words.say("path_along", currency=self.scene.currency)

    def relieved(self, relief: float) -> str:
        """Give a relief in percent: neither nothing nor everything where it is only close to that."""
        percent = min(max(100 * relief, 1.0), 99.0) if 0 < relief < 1 else 100 * relief
        return self.words.say("percent", value=figure(percent, 0))

    def ticks(self, sums_minor: list[int]) -> list[str]:
        """Give the figures along the axis of money, without decimals where all are whole major units."""
        is_whole = all(each % 10**self.scene.decimals == 0 for each in sums_minor)
        return [self._amount(each, is_whole) for each in sums_minor]

    def start(self) -> str:
        """Give what the mark at the start means."""
        return self.words.say("path_start")

    def route(self) -> str:
        """Give what the line of the path means."""
        return self.words.say("path_route")

    def limit(self) -> str:
        """Give what the lines of the stages mean."""
        return self.words.say("path_limit")

    def way(self, index: int) -> str:
        """Give what the line of an alternative means."""
        return self.words.say("path_way", letter=way_key(index), label=self._way_label(index))

    def other(self) -> str:
        """Give what the mark of the other skate means; empty where there is none."""
        other = self.scene.other_skate
        if other is None:
            return ""
        label = plain(other.label) or self.words.say("path_unnamed_skate")
        key = "path_other_beyond" if is_beyond(self.scene) else "path_other"
        return self.words.say(key, label=label, price=self._money(other.price_minor))

    def stage(self, index: int) -> str:
        """Give what a stage is called."""
        return self.words.say("path_stage", **self._stage(index))

    def budget(self, index: int) -> str:
        """Give what may be spent by the end of a stage, and whether it has no step."""
        budget = self.words.say("path_budget", **self._stage(index))
        return budget if any(step.stage == index for step in self.scene.steps) else f"{budget}, {self._no_step()}"

    def step(self, index: int) -> str:
        """Give the name of a step."""
        return plain(self.scene.steps[index].name) or self.words.say("path_unnamed_step")

    def figures(self, index: int) -> str:
        """Give what a step costs, and what is spent and relieved with it."""
        step = self.scene.steps[index]
        cost = step.money_minor - (self.scene.steps[index - 1].money_minor if index else 0)
        price = self.words.say("path_price", amount=self._amount(cost)) if cost else self.words.say("path_free")
        return self.words.say(
            "path_figures", price=price, money=self._money(step.money_minor), relieved=self.relieved(step.relief)
        )

    def description(self) -> str:
        """Give the long alternative text: everything that the picture shows."""
        told = (
            *self.notes(),
            self.words.say("told_path_view"),
            *map(self._told_stage, range(len(self.scene.stages))),
            *map(self._told_way, range(len(self.scene.alternatives))),
            *self._told_other(),
        )
        return " ".join(told)

    def _stage(self, index: int) -> dict[str, str]:
        stage = self.scene.stages[index]
        label = plain(stage.label) or self.words.say("path_unnamed_stage")
        return {"letter": stage_keys(Run(index, index)), "label": label, "budget": self._money(stage.budget_minor)}

    def _told_stage(self, index: int) -> str:
        steps = "; ".join(self._told_steps(index)) or self._no_step()
        return self.words.say("told_path_stage", **self._stage(index), steps=steps)

    def _told_steps(self, stage: int) -> Iterator[str]:
        for index, step in enumerate(self.scene.steps):
            if step.stage == stage:
                yield self.words.say(
                    "told_path_step", number=index + 1, name=self.step(index), figures=self.figures(index)
                )

    def _no_step(self) -> str:
        return self.words.say("path_no_step")

    def _told_way(self, index: int) -> str:
        points = (
            self.words.say(
                "told_path_point", money=self._money(place.money_minor), relieved=self.relieved(place.relief)
            )
            for place in self.scene.alternatives[index].points
        )
        label = self._way_label(index)
        return self.words.say("told_path_way", letter=way_key(index), label=label, points="; ".join(points))

    def _told_other(self) -> Iterator[str]:
        if other := self.other():
            yield other[:1].upper() + other[1:] + "."

    def _way_label(self, index: int) -> str:
        return plain(self.scene.alternatives[index].label) or self.words.say("path_unnamed_way")

    def _money(self, sum_minor: int) -> str:
        return self.words.say("path_money", amount=self._amount(sum_minor), currency=self.scene.currency)

    def _amount(self, sum_minor: int, is_whole: bool = False) -> str:
        """Give a sum in major units, by whole numbers: no cent is lost."""
        major, minor = divmod(sum_minor, 10**self.scene.decimals)
        if is_whole or not self.scene.decimals:
            return str(major)
        return f"{major}{self.words.say('decimal_mark')}{minor:0{self.scene.decimals}d}"


def stage_keys(run: Run) -> str:
    """Give the letter of a stage, or those of several."""
    return _joined(_STAGE_KEYS[run.first], _STAGE_KEYS[run.last])


def step_keys(run: Run) -> str:
    """Give the number of a step, or those of several."""
    return _joined(str(run.first + 1), str(run.last + 1))


def way_key(index: int) -> str:
    """Give the letter of an alternative."""
    return _WAY_KEYS[index]


def _joined(first: str, last: str) -> str:
    return first if first == last else f"{first}\N{EN DASH}{last}"
