"""A standards file in other languages: what it may translate, and which slips are named."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mountwright.messages import catalogue
from mountwright.mounts.registry import assembled
from mountwright.mounts.toml_file import read_standards

Writing = Callable[..., str]
Faults = Callable[..., list[str]]


def translated(lines: str) -> tuple[str, str]:
    """Give the change that translates the file into German."""
    return "[messages]", f"[translations.de]\n{lines}\n\n[messages]"


class TestTranslations:
    """A file's translations."""

    def test_are_said_instead_of_the_english_sentences(self, standards_text: Writing) -> None:
        """A code has the family's name in front; a text stands for itself; what is left out stays English."""
        lines = '"loud" = "Es klingelt."\n"Across the clamp." = "Quer über die Schelle."'
        found = assembled([read_standards(standards_text().replace(*translated(lines)), "bells.toml")])
        said = catalogue(found.messages, "de", found.translations)

        assert "Es klingelt." == said.text("bell_clamp.loud")
        assert "Quer über die Schelle." == said.phrase("Across the clamp.")
        assert "It rings." == catalogue(found.messages, "fr", found.translations).text("bell_clamp.loud")

    @pytest.mark.parametrize(
        ("lines", "fault"),
        {
            "neither code nor text": (
                '"lout" = "Es klingelt."',
                "translations.de: 'lout' is neither a code of [messages] nor a text of this file",
            ),
            "another param": (
                '"loud" = "Es klingelt {often}."',
                "translations.de: 'loud': other params than the English text has, which are none",
            ),
            "nothing": (
                '"loud" = ""',
                "translations.de: loud: found '', expected a text with something in it",
            ),
        }.values(),
    )
    def test_have_no_slip_that_passes(self, faults_of: Faults, lines: str, fault: str) -> None:
        """A slip is named with its language."""
        assert [fault] == faults_of(translated(lines))

    def test_are_for_a_language(self, faults_of: Faults) -> None:
        """The name of the table is an ISO 639 code."""
        change = ("[messages]", '[translations.German]\n"loud" = "Es klingelt."\n\n[messages]')

        assert ["translations.German: expected an ISO 639 code of two or three lower-case letters"] == faults_of(change)
