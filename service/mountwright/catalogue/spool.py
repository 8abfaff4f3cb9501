"""Records that were read and found good, set down on disk until all of them are: families, parts, skates apart."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from itertools import islice
from types import TracebackType
from typing import IO, NamedTuple, Self

import orjson

from mountwright.catalogue.documents import FAMILY, SKATE, Json


class Placed(NamedTuple):
    """A record and where it stands."""

    file: str
    line: int
    record: Json


#: A skate comes after the parts and families that it names.
ORDER = ("families", "parts", "skates")


class Spool:
    """Three files without a name, gone when they are closed."""

    def __init__(self) -> None:
        self._open = ExitStack()
        self._files: dict[str, IO[bytes]] = {}
        self.counts = dict.fromkeys(ORDER, 0)

    def __enter__(self) -> Self:
        self._files = {sort: self._open.enter_context(tempfile.TemporaryFile()) for sort in ORDER}  # noqa: SIM115  # the stack closes them
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._open.close()

    def add(self, placed: Placed) -> None:
        """Set a record down.

        Raises
        ------
        OSError
            When the disk is full.
        """
        sort = _sort(placed.record)
        self.counts[sort] += 1
        self._files[sort].write(orjson.dumps(list(placed)) + b"\n")

    def batches(self, sort: str, size: int) -> Iterator[Sequence[Placed]]:
        """Give the records of a sort in the order they came, some at a time."""
        file = self._files[sort]
        file.seek(0)
        while lines := list(islice(file, size)):
            yield [Placed(*orjson.loads(line)) for line in lines]


def _sort(record: Json) -> str:
    return "families" if record["kind"] == FAMILY else "skates" if record["kind"] == SKATE else "parts"
