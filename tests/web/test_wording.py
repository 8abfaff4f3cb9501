"""Which sentence is said of what."""

from __future__ import annotations

import pytest

from mountwright.fitting.beliefs import CATALOGUE, Contradiction
from mountwright.messages import Messages
from mountwright.web.answers.wording import contradiction_code, contradiction_message


@pytest.mark.parametrize(
    ("claimed_by", "found", "code"),
    [
        ("maker", 195_000, "contradiction.figure"),
        ("maker", "level", "contradiction.seen"),
        (CATALOGUE, 195_000, "contradiction.catalogue"),
        (CATALOGUE, "level", "contradiction.catalogue"),
    ],
)
def test_a_contradiction_is_told_by_who_is_contradicted(claimed_by: str, found: float | str, code: str) -> None:
    """An entry of the catalogue is told of as one, whether a figure or a look speaks against it."""
    assert code == contradiction_code(Contradiction("boot", "two-bolt-165", claimed_by, "heel", found, found))


def test_an_entry_is_told_with_its_unit() -> None:
    """A figure stands in millimetres, beside what was found instead."""
    said = Messages({"contradiction.catalogue": "{side} {what}: {expected}, found {found}"})
    found = Contradiction("boot", "", CATALOGUE, "hole_spacing_mm", 165_000, 164_500)

    assert "boot hole spacing: 164.5 mm, found 165 mm" == contradiction_message(found, said)
