"""What a standards file says in other languages: its own sentences by code, and its other texts by what they are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from string import Formatter
from types import MappingProxyType

from mountwright.mounts.toml_table import Table

_TABLE = "translations"

_LANGUAGE = re.compile(r"[a-z]{2,3}")


def translations_in(top: Table, sentences: Mapping[str, str], family: str) -> Mapping[str, Mapping[str, str]]:
    """Give the translations of a file by language, its codes with the family's name in front.

    A key that is neither a code of ``[messages]`` nor a text of the file, and a sentence with other params than the
    English one, are faults: either is a slip that would pass in silence.

    Parameters
    ----------
    top : Table
        The file.
    sentences : Mapping[str, str]
        Of its ``[messages]``.
    family : str
    """
    texts = top.every_text(but=_TABLE)
    found = {}
    for language, table in top.tables_by_name(_TABLE).items():
        if not _LANGUAGE.fullmatch(language):
            table.fault("expected an ISO 639 code of two or three lower-case letters")
        said = {key: table.text(key) for key in sorted(table.names())}
        for key, text in said.items():
            _judge(table, key, text, sentences, texts)
        found[language] = MappingProxyType({f"{family}.{key}" if key in sentences else key: said[key] for key in said})
    return MappingProxyType(found)


def params_of(template: str) -> frozenset[str]:
    """Give the names of the params in a template; empty where it is badly written."""
    try:
        return frozenset(name for _, name, _, _ in Formatter().parse(template) if name is not None)
    except ValueError:
        return frozenset()


def _judge(table: Table, key: str, text: str, sentences: Mapping[str, str], texts: set[str]) -> None:
    if key not in sentences and key not in texts:
        table.fault(f"{key!r} is neither a code of [messages] nor a text of this file")
    elif text and params_of(text) != params_of(sentences.get(key, "")):
        wanted = ", ".join(sorted(params_of(sentences.get(key, "")))) or "none"
        table.fault(f"{key!r}: other params than the English text has, which are {wanted}")
