"""The message catalogue: a code and its params become a sentence. Rules build none."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final, NamedTuple

from babel.lists import format_list
from babel.numbers import format_currency, get_currency_precision, get_decimal_symbol

#: What sentences are written in first.
ENGLISH: Final = "en"

#: What the service speaks (ISO 639-1).
LANGUAGES: Final = (ENGLISH, "de", "fr", "nl")

#: Of a value that was found, so much is repeated.
_MOST_REPEATED = 60


class Fault(NamedTuple):
    """One thing that is wrong with what was given.

    Parameters
    ----------
    code : str
        Of its sentence.
    params : Mapping[str, str or float]
    """

    code: str
    params: Mapping[str, str | float] = {}  # a Mapping: nobody may write to it


def shown(value: object) -> str:
    """Give a value as a sentence repeats it, cut where it is long."""
    text = repr(value)
    return text if len(text) <= _MOST_REPEATED else text[:_MOST_REPEATED] + "…"


@dataclass(frozen=True)
class Messages:
    """Templates by code, and phrases, in one language.

    Parameters
    ----------
    templates : Mapping[str, str]
        With ``{name}`` for params. A param that ends in ``_minor`` is said as money where ``currency`` is one, too.
    language : str
        Of :data:`LANGUAGES`: how figures are written in it, Babel knows.
    phrases : Mapping[str, str]
        What texts of the data files, and words among the params, are in this language, by what they are in English.
    """

    templates: Mapping[str, str]
    language: str = ENGLISH
    phrases: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))

    def has(self, code: str) -> bool:
        """Tell whether there is a sentence for a code."""
        return code in self.templates

    def text(self, code: str, params: Mapping[str, object] | None = None) -> str:
        """Give the sentence for a code; a code without one is given as it stands.

        A param that is missing shows its own name, and a template that is badly written is
        given as it stands: a plugin's slip costs no answer.
        """
        template = self.templates.get(code)
        if template is None or "{" not in template:
            return code if template is None else template
        words = self._words({} if params is None else params, template)
        try:
            return template.format_map(words)
        except KeyError:
            return _PLACE.sub(lambda place: _filled(place, words), template)
        except (AttributeError, IndexError, TypeError, ValueError):
            return template

    def phrase(self, text: str) -> str:
        """Give what a text of a data file, or a figure with its unit, is in this language; itself where nobody said."""
        return text.replace(".", self.decimal_mark) if _FIGURE.fullmatch(text) else self.phrases.get(text, text)

    def all_of(self, items: Sequence[str]) -> str:
        """Give a list as one says it, by the rules of the Unicode CLDR."""
        return items[0] if len(items) == 1 else str(format_list(items, style="standard", locale=self.language))

    def group(self, name: str) -> Mapping[str, str]:
        """Give the templates of a group by the rest of their codes."""
        lead = f"{name}."
        return {code[len(lead) :]: text for code, text in self.templates.items() if code.startswith(lead)}

    @property
    def decimal_mark(self) -> str:
        """Give what stands between whole and parts."""
        return decimal_mark(self.language)

    def _words(self, params: Mapping[str, object], template: str) -> Mapping[str, object]:
        """Give params as they are said; in English only money and floats are said otherwise than they are."""
        if self.language == ENGLISH and _MONEY not in template and float not in map(type, params.values()):
            return params
        return _Said(params, self)


class _Said(dict[str, object]):
    """Params as they are said in a language; each is worked out when a template asks for it."""

    def __init__(self, params: Mapping[str, object], messages: Messages) -> None:
        super().__init__()
        self._params, self._messages = params, messages

    def __missing__(self, name: str) -> object:
        """Give a param as it is said.

        Raises
        ------
        KeyError
            For one that there is not.
        """
        value = self._params[name]
        if name.endswith("_minor") and isinstance(value, int) and "currency" in self._params:
            return self._money(value, str(self._params["currency"]))
        if isinstance(value, float):
            return f"{value:.6g}".replace(".", self._messages.decimal_mark)
        if self._messages.language == ENGLISH or name in _AS_CODED:
            return value
        return self._spoken(value) if isinstance(value, str) else value

    def _money(self, minor: int, currency: str) -> str:
        amount = Decimal(minor).scaleb(-get_currency_precision(currency))
        return str(format_currency(amount, currency, locale=self._messages.language))

    def _spoken(self, value: str) -> str:
        """Give a word, several with commas between, or a figure with its unit; whatever else it is stays as it is."""
        said = self._messages.phrase(value)
        return ", ".join(map(self._word, value.split(", "))) if said == value else said

    def _word(self, word: str) -> str:
        """Give what a word is called, also where it begins a sentence, is a code, or says whose the rest is."""
        side, mark, rest = word.partition(": ")
        if mark:
            return f"{self._word(side)}{mark}{rest}"
        phrases = self._messages.phrases
        ways = word.split(" or ")
        if len(ways) > 1 and phrases.keys() >= set(ways):
            return str(format_list([phrases[way] for way in ways], style="or", locale=self._messages.language))
        known = word.replace("_", " ")
        if known not in phrases and (known := known[:1].lower() + known[1:]) in phrases:
            return phrases[known][:1].upper() + phrases[known][1:]
        return phrases.get(known, word)


@cache
def decimal_mark(language: str) -> str:
    """Give what stands between whole and parts in a language (Unicode CLDR)."""
    return str(get_decimal_symbol(language))


#: Params that name what a caller has to write, in whatever language.
_AS_CODED = frozenset({"known", "allowed", "installed", "key", "sku", "code", "standard"})

#: A param that is money.
_MONEY = "_minor}"

_FIGURE = re.compile(r"[-\N{MINUS SIGN}]?\d+\.\d+\W*(?:mm|N m|N|g|m|m/s)?")

_PLACE = re.compile(r"\{(\w*)[^{}]*\}")


def _filled(place: re.Match[str], params: Mapping[str, object]) -> str:
    try:
        return str(params[place[1]])
    except KeyError:
        return f"({place[1]})" if place[1] else place[0]


def catalogue(
    plugin_messages: Mapping[str, str],
    language: str = ENGLISH,
    plugin_translations: Mapping[str, Mapping[str, str]] = MappingProxyType({}),
) -> Messages:
    """Give the messages of the core and of the plugins.

    Parameters
    ----------
    plugin_messages : Mapping[str, str]
        In English. Codes have the family's name in front, so that they never meet the core's.
    language : str
        Of :data:`LANGUAGES`.
    plugin_translations : Mapping[str, Mapping[str, str]]
        By language: codes, and texts of the plugins' files. What a plugin does not translate is said in English.
    """
    translated = plugin_translations.get(language, {})
    said = {code: translated.get(code, template) for code, template in plugin_messages.items()}
    phrases = {} if language == ENGLISH else {**_phrases(language), **translated}
    return Messages(MappingProxyType({**said, **_sentences(language)}), language, MappingProxyType(phrases))


@cache
def _sentences(language: str) -> Mapping[str, str]:
    groups = _file(f"messages.{language}.toml")
    return {f"{group}.{code}": line for group, lines in groups.items() for code, line in lines.items()}


@cache
def _phrases(language: str) -> Mapping[str, str]:
    return {text: said for group in _file(f"phrases.{language}.toml").values() for text, said in group.items()}


def _file(name: str) -> Mapping[str, Mapping[str, str]]:
    return tomllib.loads(resources.files("mountwright").joinpath(name).read_text(encoding="utf-8"))
