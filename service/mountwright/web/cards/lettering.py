"""Letters that a card is printed in: those of the typeface that its PDF carries, so that every form says the same."""

from __future__ import annotations

from unicodedata import normalize

from mountwright.drawing.typeface import lacking
from mountwright.messages import Fault
from mountwright.web.faults import fault

#: So many of the lacking letters are named.
_NAMED = 12


def composed(text: str) -> str:
    """Give a text with its accents put together with their letters, as the typeface has them."""
    return normalize("NFC", text)


def letter_faults(text: str) -> list[Fault]:
    """Give the fault of a text that the typeface cannot print; none for one that it can."""
    missing = lacking(composed(text))
    if not missing:
        return []
    told = " ".join(_told(letter) for letter in missing[:_NAMED])
    return fault("card.letters", text, letters=told, count=len(missing))


def _told(letter: str) -> str:
    return f"{letter} (U+{ord(letter):04X})" if letter.isprintable() else f"U+{ord(letter):04X}"
