"""What an answer about the ride says besides its figures: a message's code and what it is filled with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from mountwright.errors import InvalidQuantityError


@dataclass(frozen=True)
class Note:
    """One message.

    Parameters
    ----------
    code : str
        Message code, a group and a name: ``ride.runs_contradict``.
    params : Mapping[str, str or float]

    Raises
    ------
    InvalidQuantityError
        For a code without a group.
    """

    code: str
    params: Mapping[str, str | float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        group, _, name = self.code.partition(".")
        if not (group and name):
            raise InvalidQuantityError(self.code, "a message code with its group")
        object.__setattr__(self, "params", MappingProxyType(dict(self.params)))
