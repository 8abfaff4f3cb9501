"""The message catalogue: a code and its params become a sentence. Rules build none."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from types import MappingProxyType
from typing import NamedTuple

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
    """Templates by code.

    Parameters
    ----------
    templates : Mapping[str, str]
        With ``{name}`` for params.
    """

    templates: Mapping[str, str]

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
        words = {} if params is None else params
        try:
            return template.format_map(words)
        except KeyError:
            return _PLACE.sub(lambda place: _filled(place, words), template)
        except (AttributeError, IndexError, TypeError, ValueError):
            return template


_PLACE = re.compile(r"\{(\w*)[^{}]*\}")


def _filled(place: re.Match[str], params: Mapping[str, object]) -> str:
    try:
        return str(params[place[1]])
    except KeyError:
        return f"({place[1]})" if place[1] else place[0]


def catalogue(plugin_messages: Mapping[str, str], language: str = "en") -> Messages:
    """Give the messages of the core and of the plugins.

    Parameters
    ----------
    plugin_messages : Mapping[str, str]
        Codes have the family's name in front, so that they never meet the core's.
    language : str
        Of the file ``messages.<language>.toml``.
    """
    text = resources.files("mountwright").joinpath(f"messages.{language}.toml").read_text(encoding="utf-8")
    own = {f"{group}.{code}": line for group, lines in tomllib.loads(text).items() for code, line in lines.items()}
    return Messages(MappingProxyType({**plugin_messages, **own}))
