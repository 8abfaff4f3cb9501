"""The message catalogue: every code has its sentence, every sentence its code, and no slip costs an answer."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path
from string import Formatter

import pytest

import mountwright
from mountwright.bench.foot_padding import PadPlace
from mountwright.bench.shell_fit import RoomState
from mountwright.drawing.words import PICTURE, english
from mountwright.fitting.answers import Outcome
from mountwright.fitting.identification import Finding
from mountwright.messages import Messages, catalogue
from mountwright.riding.obstacles import TO_BLOCK, TO_FRAME, TO_SOLE, TO_TIP, TO_WHEEL
from mountwright.riding.ride_answer import Outcome as RideOutcome
from mountwright.riding.wheel_line import Outcome as LineOutcome
from mountwright.upgrading.offers import Reason
from mountwright.upgrading.path import Outcome as PathOutcome
from mountwright.upgrading.unchosen import WhyNot

SOURCES = sorted(Path(mountwright.__file__).parent.rglob("*.py"))

CORE = catalogue({}).templates

GROUPS = sorted({code.partition(".")[0] for code in CORE})

#: A whole code as it stands in the sources; what ends in a low line is only the beginning of one.
CODE = re.compile(rf"({'|'.join(GROUPS)})\.[a-z_]*[a-z]")


@cache
def nodes() -> list[ast.AST]:
    """Give everything that is written in the sources."""
    return [node for path in SOURCES for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))]


def texts() -> set[str]:
    """Give every text in the sources."""
    return {node.value for node in nodes() if isinstance(node, ast.Constant) and isinstance(node.value, str)}


def beginnings() -> set[str]:
    """Give the text that each formatted text in the sources begins with."""
    leads = [node.values[0] for node in nodes() if isinstance(node, ast.JoinedStr) and node.values]
    return {str(lead.value) for lead in leads if isinstance(lead, ast.Constant)}


def problems() -> set[str]:
    """Give the codes of problems: the second argument of each one made, and what failures are told apart by."""
    made = [node.args[1] for node in nodes() if _calls(node, "Problem") and len(node.args) > 1]
    told = [
        node.value.elts[0]
        for function in nodes()
        if _defines(function, "_told")
        for node in ast.walk(function)
        if isinstance(node, ast.Return) and isinstance(node.value, ast.Tuple)
    ]
    return {str(code.value) for code in (*made, *told) if isinstance(code, ast.Constant)}


def _calls(node: ast.AST, name: str) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == name


def _defines(node: ast.AST, name: str) -> bool:
    return isinstance(node, ast.FunctionDef) and node.name == name


#: What is asked about, of all that a basket is found to be.
ASKED = [
    "needs_adapter",
    "needs_bench_work",
    "cannot_tell",
    "no_mounts",
    "staying_part_does_not_fit",
    "staying_part_unknown",
    "staying_part_needs",
    "frames_differ",
    "which_version",
    "which_skate",
    "unlisted",
    "paused",
    "skate_in_doubt",
    "pack_size_unknown",
    "too_few",
    "hands_unmatched",
    "colours_unmatched",
    "sizes_unmatched",
    "size_between",
    "size_unknown",
    "insole_too_thick",
    "lace_length_unknown",
    "lace_other_length",
    "brake_unknown",
    "staying_brake",
    "wheel_room_close",
    "wheel_room_unknown",
    "wheel_places_open",
]

#: Codes that the sources put together, by what they are put together from.
COMPOSED = {
    *(f"check.{outcome}" for outcome in Outcome),
    *(f"check.alike_{outcome}" for outcome in Outcome if outcome is not Outcome.NOT_MEASURED),
    *(f"identification.{finding}" for finding in Finding),
    *(f"against.{what}" for what in ("skate", "line", "fitted")),
    *(f"ask.{about}" for about in ASKED),
    *(f"need.{kind}" for kind in ("adapter", "bench")),
    *(f"problem.{code}" for code in problems()),
    *(f"ride.{outcome}" for outcome in RideOutcome),
    *(f"wheels.{outcome}" for outcome in LineOutcome),
    *(f"room.{gap}_{outcome}" for gap in (TO_WHEEL, TO_FRAME, TO_TIP, TO_BLOCK, TO_SOLE) for outcome in Outcome),
    *(f"path.{outcome}" for outcome in PathOutcome),
    *(f"path.{why}" for why in WhyNot),
    *(f"path.left_out_{reason}" for reason in Reason),
    *(f"{PICTURE}.{word}" for word in english()),
    *(f"sizes.{room}_{state}" for room in ("heel_gap", "breadth", "instep", "liner") for state in RoomState),
    *(f"sizes.pad_{place}" for place in PadPlace),
}


class TestCatalogue:
    """The catalogue ..."""

    def test_has_a_sentence_for_every_code_in_the_sources(self) -> None:
        """... has a sentence for every code that stands in the sources."""
        assert set() == {text for text in texts() if CODE.fullmatch(text)} - set(CORE)

    def test_has_a_sentence_for_every_code_that_is_put_together(self) -> None:
        """... has a sentence for every outcome, finding, conversion and problem."""
        assert set() == COMPOSED - set(CORE)

    def test_has_no_sentence_that_nobody_says(self) -> None:
        """... has no sentence whose code is neither in the sources nor put together there."""
        assert set() == set(CORE) - texts() - COMPOSED

    def test_is_put_together_only_from_what_is_listed_here(self) -> None:
        """... is asked for composed codes of no other group than those that this test knows."""
        groups = {lead.partition(".")[0] for lead in beginnings() if lead.partition(".")[0] in GROUPS and "." in lead}

        assert groups - {"step"} == {code.partition(".")[0] for code in COMPOSED} - {PICTURE}

    @pytest.mark.parametrize("code", sorted(CORE))
    def test_has_sentences_with_plain_names_for_what_is_filled_in(self, code: str) -> None:
        """... has sentences that can be filled in: each gap is a plain name, without a format."""
        gaps = [(name, form, turned) for _, name, form, turned in Formatter().parse(CORE[code]) if name is not None]

        assert all(name.isidentifier() and not form and not turned for name, form, turned in gaps)

    def test_takes_the_plugins_sentences_in(self) -> None:
        """... has the plugins' sentences beside its own."""
        messages = catalogue({"bells.loud": "It rings."})

        assert ("It rings.", True) == (messages.text("bells.loud"), messages.has("step.trial_fit"))

    def test_keeps_its_own_sentences(self) -> None:
        """... never lets a plugin replace a sentence of its own."""
        assert CORE["caution.geometry_only"] == catalogue({"caution.geometry_only": "It is safe."}).text(
            "caution.geometry_only"
        )


class TestText:
    """A sentence ..."""

    def test_is_filled_in(self) -> None:
        """... has its gaps filled in."""
        assert Messages({"a": "{label}: {value} mm"}).text("a", {"label": "Room", "value": 0.5}) == "Room: 0.5 mm"

    def test_shows_the_name_of_what_is_missing(self) -> None:
        """... shows the name of a gap that nobody filled."""
        assert Messages({"a": "{label}: {value} mm"}).text("a", {"label": "Room"}) == "Room: (value) mm"

    def test_may_be_asked_for_with_nothing(self) -> None:
        """... may be asked for without params."""
        assert Messages({"a": "It rings {often}."}).text("a") == "It rings (often)."

    def test_that_is_not_there_is_its_code(self) -> None:
        """... that nobody wrote is given as its code."""
        assert ("bells.loud", False) == (Messages({}).text("bells.loud", {"x": 1}), Messages({}).has("bells.loud"))

    @pytest.mark.parametrize(
        "template",
        ["{value", "value}", "{}", "{0}", "{value!x}", "{value:.1f}", "{value[0]}", "{value.name}", "{value:{width}}"],
    )
    @pytest.mark.parametrize("value", [None, "long", 5], ids=["nothing", "a text", "a number"])
    def test_that_is_badly_written_costs_no_answer(self, template: str, value: object) -> None:
        """... that cannot be filled in, whatever is wrong with it, still gives a text."""
        assert Messages({"a": template}).text("a", {"value": value})

    @pytest.mark.parametrize("template", ["{value", "{value:.1f}", "{value.name}"])
    def test_that_cannot_be_filled_in_is_given_as_it_stands(self, template: str) -> None:
        """... that cannot be filled in is given as it was written."""
        assert template == Messages({"a": template}).text("a", {"value": None})
