"""What a picture of a wheel line says, in labels and in its alternative text."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeAlias

from mountwright.drawing.lettering import plain
from mountwright.drawing.scene import Clash, DrawnWheel, WheelLineScene
from mountwright.drawing.words import Words, figure

#: How the loads of the wheels are given: each for itself, or as a share of all.
LoadsIn: TypeAlias = Literal["newton", "percent"]

#: A smaller gap is given as this: 0 would say that the wheel touches.
_LEAST_GAP_MM = 0.01
#: A rocker that is rounder is flat to the eye, and its radius tells nobody anything.
_FLATTEST_RADIUS_MM = 1e6
_LEAST_ROCKER_MM = 0.005


class Telling(NamedTuple):
    """The words of one picture."""

    scene: WheelLineScene
    words: Words
    loads_in: LoadsIn
    gap_factor: float

    def name(self) -> str:
        """Give what the scene is called, empty where it has no name."""
        return plain(self.scene.name)

    def title(self) -> str:
        """Give the short alternative text."""
        return self.name() or self.words.say("name")

    def front(self) -> str:
        """Give the label that tells which end is the front."""
        return self.words.say("front")

    def load(self) -> str:
        """Give the label of the load from above."""
        return self.words.say("load", load=self._total())

    def wheel(self, index: int) -> str:
        """Give a wheel's number and diameter."""
        diameter = figure(self.scene.wheels[index].diameter_mm, 1)
        return self.words.say("wheel", number=index + 1, diameter_mm=diameter)

    def under(self, wheel: DrawnWheel) -> str:
        """Give what is said under a wheel: its gap, or else its load, or nothing."""
        if wheel.gap_mm > 0:
            return self.words.say("gap", gap_mm=_gap(wheel))
        return "" if wheel.load_n is None else self._share(wheel.load_n)

    def wheelbase(self) -> str:
        """Give the label of the wheelbase."""
        return self.words.say("wheelbase", length_mm=figure(self.scene.wheelbase_mm, 1))

    def effective(self, front_mm: float, rear_mm: float) -> str:
        """Give the label of the effective wheelbase."""
        return self.words.say("effective", length_mm=figure(front_mm - rear_mm, 1))

    def captions(self) -> tuple[str, ...]:
        """Give what is said under the picture, one thing each."""
        return (*self._rocker(), *self._stretched(), *map(self._clash, self.scene.clashes), *self._notes())

    def description(self) -> str:
        """Give the long alternative text: everything that the picture shows."""
        lengths = [self.wheelbase()] if len(self.scene.wheels) > 1 else []
        if self.scene.effective_mm is not None:
            lengths.append(self.effective(*self.scene.effective_mm))
        told = (
            self.words.say("told_view"),
            *(self._standing(index, wheel) for index, wheel in enumerate(self.scene.wheels)),
            *self._load_place(),
            *self._heel(),
            *map(_sentence, (*lengths, *self.captions())),
        )
        return " ".join(told)

    def _total(self) -> str:
        load = self.scene.load_n
        return "" if load is None else self.words.say("newton", value=figure(load, 0))

    def _share(self, load_n: float) -> str:
        if self.loads_in == "newton":
            return self.words.say("newton", value=figure(load_n, 0))
        total = sum(wheel.load_n or 0.0 for wheel in self.scene.wheels)
        return self.words.say("percent", value=figure(100 * load_n / total if total else 0.0, 1))

    def _standing(self, index: int, wheel: DrawnWheel) -> str:
        who = {"number": index + 1, "diameter_mm": figure(wheel.diameter_mm, 1)}
        if wheel.gap_mm > 0:
            return self.words.say("told_hangs", **who, gap_mm=_gap(wheel))
        if wheel.load_n is None:
            return self.words.say("told_stands", **who)
        return self.words.say("told_carries", **who, load=self._share(wheel.load_n))

    def _load_place(self) -> Iterator[str]:
        if self.scene.load_along_mm is not None:
            behind = self.scene.wheels[0].along_mm - self.scene.load_along_mm
            key = "told_load" if behind >= 0 else "told_load_ahead"
            place = figure(abs(behind), 1)
            yield self.words.say(key, load=self._total(), behind_mm=place, ahead_mm=place)

    def _heel(self) -> Iterator[str]:
        if self.scene.deck is not None and self.scene.deck.heel_step_mm:
            yield self.words.say("told_heel", step_mm=figure(self.scene.deck.heel_step_mm, 1))

    def _rocker(self) -> Iterator[str]:
        rocker, radius = self.scene.rocker_mm, self.scene.rocker_radius_mm
        if rocker is None:
            return
        if abs(rocker) < _LEAST_ROCKER_MM:
            yield self.words.say("flat")
        elif rocker < 0:
            yield self.words.say("hollow", rocker_mm=figure(-rocker))
        elif radius is None or radius > _FLATTEST_RADIUS_MM:
            yield self.words.say("rocker", rocker_mm=figure(rocker))
        else:
            yield self.words.say("rocker_radius", rocker_mm=figure(rocker), radius_m=figure(radius / 1000, 1))

    def _stretched(self) -> Iterator[str]:
        if self.gap_factor != 1:
            yield self.words.say("stretched", factor=figure(self.gap_factor))

    def _clash(self, clash: Clash) -> str:
        how = "touch" if clash.gap_mm == 0 else "overlap" if clash.gap_mm < 0 else "close"
        other = None if clash.other is None else clash.other + 1
        who = {"number": clash.wheel + 1, "other": other}
        sentence = self.words.say(f"{clash.against.value}_{how}", **who, by_mm=figure(abs(clash.gap_mm)))
        return f"\N{MULTIPLICATION SIGN} {sentence}"

    def _notes(self) -> Iterator[str]:
        return (note for note in map(plain, self.scene.notes) if note)


def _gap(wheel: DrawnWheel) -> str:
    return figure(max(wheel.gap_mm, _LEAST_GAP_MM))


def _sentence(text: str) -> str:
    """Give a label as a sentence of its own."""
    text = text.removeprefix("\N{MULTIPLICATION SIGN} ")
    return text[:1].upper() + text[1:] + "." * (text[-1:] not in ".!?")
