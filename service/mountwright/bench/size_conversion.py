"""From both feet to sizes, a shell, its padding, its liner and its insole, and how many people have such feet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from mountwright.bench.feet import Feet, Larger, Measure, larger
from mountwright.bench.foot_padding import Padding, PadNeed, paddings
from mountwright.bench.foot_shares import FootShare, foot_share, survey_groups
from mountwright.bench.lining import (
    Insole,
    InsoleFit,
    InsoleRoom,
    Liner,
    LinerFit,
    insole_room,
    insoles_ranked,
    liners_ranked,
)
from mountwright.bench.shell_fit import Fit, RoomState, Shell, ShellFit, Window, room_windows, shells_ranked
from mountwright.bench.shoe_sizes import ShoeSize, Wish, foot_size, mondopoint_size, scales
from mountwright.bench.size_estimates import size_estimate
from mountwright.errors import InvalidQuantityError
from mountwright.fitting.answers import NextStep, StepKind
from mountwright.riding.band import Band
from mountwright.riding.note import Note


class Outcome(StrEnum):
    """Whether the feet have sizes on the scales of lasts."""

    CONVERTED = "converted"
    TOO_SHORT = "too_short"
    TOO_LONG = "too_long"


@dataclass(frozen=True)
class SizeQuestion:
    """What is asked about a pair of feet.

    Parameters
    ----------
    feet : Feet
    wish : Wish or None
    group : str or None
        Of the survey; None for all.
    shells : tuple of Shell
    liners : tuple of Liner
        Each is judged in the best of the shells.
    insoles : tuple of Insole
        Each is judged in the best of the liners, or in the best shell as it was sold.
    old_insole_um : int or None
        Thickness of the insole that is in the skate now, above 0.

    Raises
    ------
    InvalidQuantityError
        For a group that the survey does not have, or an old insole of nothing.
    """

    feet: Feet
    wish: Wish | None = None
    group: str | None = None
    shells: tuple[Shell, ...] = ()
    liners: tuple[Liner, ...] = ()
    insoles: tuple[Insole, ...] = ()
    old_insole_um: int | None = None

    def __post_init__(self) -> None:
        if self.group is not None and self.group not in survey_groups():
            raise InvalidQuantityError(self.group, " or ".join(survey_groups()))
        if self.old_insole_um is not None and self.old_insole_um <= 0:
            raise InvalidQuantityError(f"old insole {self.old_insole_um} um", "more than 0")


class SizeAnswer(NamedTuple):
    """What is to be said about a pair of feet.

    Parameters
    ----------
    outcome : Outcome
    deciding : Mapping[Measure, Larger]
        By each measure that was taken, the foot that decides.
    mondopoint : ShoeSize
        mm.
    sizes : Mapping[str, ShoeSize]
        By scale; empty for feet that are on none.
    wanted : Mapping[Measure, Band]
        What a shell should have inside, mm, by each measure that was taken: from the least to the most.
    paddings : tuple of Padding
        Of the smaller foot.
    shells, liners, insoles : tuple of ShellFit, LinerFit, InsoleFit
        The best first.
    room : InsoleRoom
        That the insoles were judged by.
    shares : tuple of FootShare
    steps : tuple of Note
        What is done at the bench, in order.
    notes : tuple of Note
        The first is the answer in a sentence.
    cautions : tuple of str
        Message codes.
    next_step : NextStep or None
        What would tell more for the least trouble.
    """

    outcome: Outcome
    deciding: Mapping[Measure, Larger]
    mondopoint: ShoeSize
    sizes: Mapping[str, ShoeSize]
    wanted: Mapping[Measure, Band]
    paddings: tuple[Padding, ...]
    shells: tuple[ShellFit, ...]
    liners: tuple[LinerFit, ...]
    insoles: tuple[InsoleFit, ...]
    room: InsoleRoom
    shares: tuple[FootShare, ...]
    steps: tuple[Note, ...]
    notes: tuple[Note, ...]
    cautions: tuple[str, ...]
    next_step: NextStep | None


class _Chosen(NamedTuple):
    """What comes first of each kind, by its list."""

    shells: tuple[ShellFit, ...]
    liners: tuple[LinerFit, ...]
    insoles: tuple[InsoleFit, ...]
    room: InsoleRoom
    paddings: tuple[Padding, ...]

    @property
    def shell(self) -> ShellFit | None:
        """Give the best shell, None where none was offered."""
        return self.shells[0] if self.shells else None


#: Spelt out, so that each is found where messages are looked for.
_SAID = {
    Outcome.CONVERTED: "sizes.converted",
    Outcome.TOO_SHORT: "sizes.too_short",
    Outcome.TOO_LONG: "sizes.too_long",
}

_MEASURE_FEET = NextStep(StepKind.MEASURE, "step.measure_feet_again", "foot", "length_mm", "steel_rule", {})
_MEASURE_SHELL = NextStep(StepKind.MEASURE, "step.measure_shell", "skate", "shell_length_mm", "steel_rule", {})
_MEASURE_BREADTH_AND_INSTEP = NextStep(
    StepKind.MEASURE, "step.measure_breadth_and_instep", "skate", "shell_breadth_mm", "steel_rule", {}
)
_TRY_SHELL = NextStep(StepKind.TRIAL_FIT, "step.try_shell", "skate", "heel_gap_mm", "", {})
_TRY_BOOT = NextStep(StepKind.TRIAL_FIT, "step.try_size", "skate", "", "", {})
_MEASURE_LINER = NextStep(StepKind.MEASURE, "step.measure_liner", "liner", "thickness_mm", "caliper", {})
_MEASURE_OLD_INSOLE = NextStep(StepKind.MEASURE, "step.measure_old_insole", "insole", "thickness_mm", "caliper", {})


def size_conversion(question: SizeQuestion) -> SizeAnswer:
    """Tell the sizes of a pair of feet, and what of the parts that are offered goes with them."""
    deciding = _deciding(question.feet)
    length = deciding[Measure.LENGTH].size
    outcome = _outcome(length)
    mondopoint = mondopoint_size(length, question.wish)
    sizes = {name: foot_size(length, scale) for name, scale in scales().items()} if outcome is Outcome.CONVERTED else {}
    chosen = _chosen(question, sizes["eu_size"].size if sizes else None)
    breadth = deciding[Measure.BREADTH].size if Measure.BREADTH in deciding else None
    said = Note(_SAID[outcome], _params(deciding[Measure.LENGTH], mondopoint, sizes))
    return SizeAnswer(
        outcome,
        deciding,
        mondopoint,
        MappingProxyType(sizes),
        _wanted(deciding, question.wish),
        chosen.paddings,
        chosen.shells,
        chosen.liners,
        chosen.insoles,
        chosen.room,
        _shares(question.group, length, breadth),
        tuple(_steps(question, chosen)),
        (said, *_notes(question, outcome, deciding, chosen)),
        ("caution.try_on",),
        _next_step(question, chosen),
    )


def _deciding(feet: Feet) -> Mapping[Measure, Larger]:
    pairs = ((measure, feet.pair(measure)) for measure in Measure)
    return MappingProxyType({measure: larger(pair) for measure, pair in pairs if pair is not None})


def _wanted(deciding: Mapping[Measure, Larger], wish: Wish | None) -> Mapping[Measure, Band]:
    windows = room_windows(wish)
    return MappingProxyType({measure: _inside(found.size, windows[measure]) for measure, found in deciding.items()})


def _inside(size: Band, wanted: Window) -> Band:
    low, high = (size.likely + end.likely for end in wanted)
    return Band(low, (low + high) / 2, high)


def _outcome(length_mm: Band) -> Outcome:
    if length_mm.likely < size_estimate("adult_foot_shortest_mm").likely:
        return Outcome.TOO_SHORT
    return Outcome.TOO_LONG if length_mm.likely > size_estimate("adult_foot_longest_mm").likely else Outcome.CONVERTED


def _chosen(question: SizeQuestion, eu: Band | None) -> _Chosen:
    shells = shells_ranked(question.shells, question.feet, question.wish, eu)
    shell = shells[0] if shells else None
    liners = liners_ranked(question.liners, None if shell is None else shell.shell, question.feet, eu)
    room = insole_room(shell, liners[0] if liners else None, question.old_insole_um)
    return _Chosen(shells, liners, insoles_ranked(question.insoles, room, eu), room, paddings(question.feet))


def _shares(group: str | None, length: Band, breadth: Band | None) -> tuple[FootShare, ...]:
    groups = survey_groups()
    return tuple(foot_share(each, length, breadth) for name, each in groups.items() if group in (None, name))


def _params(decides: Larger, mondopoint: ShoeSize, sizes: Mapping[str, ShoeSize]) -> dict[str, str | float]:
    marked = {
        f"{name}_{end}": size.marked[at] for name, size in sizes.items() for end, at in (("low", 0), ("high", -1))
    }
    return {"length_mm": decides.size.likely, "mondopoint_mm": mondopoint.try_first, **marked}


def _steps(question: SizeQuestion, chosen: _Chosen) -> Iterator[Note]:
    """Give what is done, in the order of the bench: shell, liner, the old insole out, the insole, padding."""
    if question.shells:
        yield Note("sizes.step_shell")
    if question.liners:
        yield Note("sizes.step_liner")
    if question.insoles:
        yield Note("sizes.step_old_insole_out")
        yield Note("sizes.step_insole")
    if any(each.need in (PadNeed.TRY_WITHOUT, PadNeed.PAD) for each in chosen.paddings):
        yield Note("sizes.step_padding")


def _notes(
    question: SizeQuestion, outcome: Outcome, deciding: Mapping[Measure, Larger], chosen: _Chosen
) -> Iterator[Note]:
    length = deciding[Measure.LENGTH]
    if length.side is None:
        yield Note("sizes.feet_alike")
    else:
        code = {"left": "sizes.left_decides", "right": "sizes.right_decides"}[length.side]
        yield Note(
            code, {"percent": min(99, round(100 * length.probability)), "difference_mm": length.difference.likely}
        )
    if outcome is Outcome.CONVERTED:
        yield Note("sizes.half_a_size")
        yield Note("sizes.zeros_from_memory")
    if question.shells and all(each.fit is Fit.DOES_NOT_FIT for each in chosen.shells):
        yield Note("sizes.no_shell_fits")
    if Measure.BREADTH not in deciding:
        yield Note("sizes.breadth_not_told")
    if any(shell.is_soft for shell in question.shells):
        yield Note("sizes.soft_boot")
    if question.liners and not question.shells:
        yield Note("sizes.liner_wants_shell")
    yield Note("sizes.survey_of_an_army")


def _next_step(question: SizeQuestion, chosen: _Chosen) -> NextStep | None:
    """Give what to do where something offered is not settled: shell before liner before insole."""
    if chosen.shell is not None and chosen.shell.fit not in (Fit.FITS, Fit.DOES_NOT_FIT):
        return _shell_step(chosen.shell)
    if question.liners and chosen.liners[0].fit is Fit.CANNOT_TELL:
        return _MEASURE_LINER if question.shells else _MEASURE_SHELL
    if question.insoles and chosen.insoles[0].fit is Fit.CANNOT_TELL:
        return _MEASURE_OLD_INSOLE
    return None if chosen.shells else _feet_step(question.feet)


def _shell_step(found: ShellFit) -> NextStep:
    if found.shell.is_soft:
        return _TRY_BOOT
    if found.heel.fit is Fit.FITS:
        return _MEASURE_BREADTH_AND_INSTEP
    if found.heel.state is RoomState.UNKNOWN:
        return _MEASURE_SHELL
    return _TRY_SHELL if found.shell.heel_gap is None else _TRY_BOOT


def _feet_step(feet: Feet) -> NextStep | None:
    """Give whether to measure the feet again: their own doubt is then more than the sizes are apart."""
    size = larger(feet.lengths).size
    return _MEASURE_FEET if size.high - size.low > _HALF_SIZE_MM else None


#: Half a size of Mondopoint (ISO 9407:2019).
_HALF_SIZE_MM = 5.0
