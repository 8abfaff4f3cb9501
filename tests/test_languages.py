"""The languages of the service: whatever it says in English it says in each of them, with the same figures in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from string import Formatter

import pytest

from mountwright.bench.jobs import BY_MAKERS_SHEET, bench_jobs
from mountwright.measure.instruments import instruments
from mountwright.messages import ENGLISH, LANGUAGES, Messages, catalogue
from mountwright.mounts.discovery import discovered
from mountwright.mounts.kinds import kinds
from mountwright.mounts.mount import Claimant
from mountwright.mounts.registry import Registry
from mountwright.upgrading.complaints import complaints

OTHERS = [language for language in LANGUAGES if language != ENGLISH]


@cache
def registry() -> Registry:
    """Give the standards in the box."""
    return discovered(None, frozenset())


@cache
def spoken(language: str) -> Messages:
    """Give everything that is said in a language."""
    return catalogue(registry().messages, language, registry().translations)


def params_of(template: str) -> list[str]:
    """Give the names of the params in a template, sorted, each once."""
    return sorted({name for _, name, _, _ in Formatter().parse(template) if name is not None})


def plain(code: str) -> str:
    """Give a code as it stands in a sentence."""
    for unit in ("_mm", "_deg"):
        code = code.removesuffix(unit)
    return code.replace("_", " ")


def texts_of_jobs() -> Iterator[str]:
    """Give every text of the jobs in the box."""
    for job in bench_jobs().values():
        yield from (job.title, *job.steps, *job.cautions, *job.after_checks)
        for tool in job.tools:
            yield from filter(None, (tool.name, tool.size))
        yield from (each.name for each in job.consumables)
    yield BY_MAKERS_SHEET


def texts_of_complaints() -> Iterator[str]:
    """Give every text of the complaints that an answer repeats."""
    for complaint in complaints().values():
        yield complaint.said
        for cause in complaint.causes:
            yield from filter(None, (cause.check, cause.say))


def words() -> Iterator[str]:
    """Give the words that sentences are filled with: sides, figures, instruments, kinds, complaints, what was seen."""
    for family in {standard.family.name: standard.family for standard in registry().standards.values()}.values():
        yield from map(plain, (*family.sides, *family.dimensions, *family.positions))
        yield from (plain(code) for rule in family.rules if (code := getattr(rule, "code", "")))
        for look in family.looks.values():
            yield from map(plain, (look.feature, *look.answers))
    for kind in kinds().values():
        yield from map(plain, (kind.name, *kind.specs))
    yield from map(plain, (*instruments(), *complaints()))
    yield from (str(who) for who in Claimant)
    yield "nothing"


def texts_of_standards() -> Iterator[str]:
    """Give every text of the standards in the box that an answer repeats."""
    for standard in registry().standards.values():
        yield from filter(None, (standard.title, standard.mark))
        yield from (dimension.measure for dimension in standard.family.dimensions.values())


def untranslated(texts: Iterator[str], said: Mapping[str, str]) -> list[str]:
    """Give the texts that nobody has put into a language; a number or a mark of a thread is the same in each."""
    return sorted({text for text in texts if text not in said and not is_the_same_everywhere(text)})


def is_the_same_everywhere(text: str) -> bool:
    """Tell whether a text is a figure with its unit, or the mark of a thread."""
    return text[:1].isdigit() or text in {"M4", "M5", "M6", "M8"}


@pytest.mark.parametrize("language", OTHERS)
class TestEveryLanguage:
    """Each language of the service."""

    def test_says_what_english_says(self, language: str) -> None:
        """It has a sentence for each code, and none that English lacks."""
        assert sorted(catalogue({}).templates) == sorted(catalogue({}, language).templates)

    def test_has_the_same_figures_in_each_sentence(self, language: str) -> None:
        """It puts the same params into each sentence."""
        english, other = catalogue(registry().messages).templates, spoken(language).templates
        assert {code: params_of(text) for code, text in english.items()} == {
            code: params_of(text) for code, text in other.items()
        }

    def test_translates_the_plugins_in_the_box(self, language: str) -> None:
        """It has a sentence of its own for each code of the plugins in the box."""
        said = registry().translations.get(language, {})
        assert [] == sorted(code for code in registry().messages if code not in said)

    @pytest.mark.parametrize("texts", [texts_of_jobs, texts_of_complaints, words, texts_of_standards])
    def test_translates_the_data(self, language: str, texts: object) -> None:
        """It has words for whatever a data file says in English."""
        assert callable(texts)
        assert [] == untranslated(texts(), spoken(language).phrases)
