"""The lines of a file, one after the other, in bounded memory whatever the file holds."""

from __future__ import annotations

from collections.abc import Iterator
from typing import IO, NamedTuple

from mountwright.messages import Fault

#: A record is at most so long, bytes.
MOST_BYTES = 1024 * 1024

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


class WrongLine(NamedTuple):
    """A line that cannot be read, and why."""

    line: int
    wrong: Fault


class Lines:
    """Texts with their line breaks, UTF-8 with or without a byte order mark.

    A record may take several lines; whoever reads says where one begins. A line that cannot be
    read stands in ``wrong``, and something harmless is given in its stead.

    Parameters
    ----------
    file : IO of bytes
    """

    def __init__(self, file: IO[bytes]) -> None:
        self._file = file
        self._size = 0
        self.number = 0
        self.first = 1
        self.wrong: list[WrongLine] = []
        self.has_ended = False
        self.is_cut = False

    def begin(self) -> None:
        """Say that the next line begins a record."""
        self.first, self._size, self.wrong = self.number + 1, 0, []

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        raw = self._file.readline(MOST_BYTES + 1)
        self._size += len(raw)
        begins = self.number < self.first
        if not raw or (self._size > MOST_BYTES and not begins):
            # A record that runs on and on: to whoever reads it, it never ends.
            self.has_ended = True
            raise StopIteration
        self.number += 1
        self.is_cut = not raw.endswith(b"\n")
        if self._size > MOST_BYTES:
            return self._passed_over()
        return self._decoded(raw.removeprefix(_BYTE_ORDER_MARK) if self.number == 1 else raw)

    def _decoded(self, raw: bytes) -> str:
        try:
            return raw.decode()
        except UnicodeDecodeError as error:
            wrong = Fault("import.not_utf8", {"found": f"0x{raw[error.start]:02x}", "place": error.start + 1})
            self.wrong.append(WrongLine(self.number, wrong))
            return raw.decode(errors="replace")

    def _passed_over(self) -> str:
        self.wrong.append(WrongLine(self.number, Fault("import.record_too_long", {"limit": MOST_BYTES})))
        while self.is_cut and (raw := self._file.readline(MOST_BYTES)):
            self.is_cut = not raw.endswith(b"\n")
        return "\n"
