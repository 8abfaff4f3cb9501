"""QR codes (ISO/IEC 18004) that a telephone reads off paper: no module smaller than 0.4 mm, a quiet zone of four."""

from __future__ import annotations

from typing import NamedTuple

import segno
from segno import DataOverflowError

#: Error correction level M, 15 %: a card at the bench gets dirty (common practice).
_LEVEL = "m"

#: Largest version that stays within 50 mm: 117 modules and the quiet zone.
_LARGEST = 25

#: The quiet zone on each side, modules (ISO/IEC 18004).
_QUIET = 4

#: Least width of a module, and what a code of few modules grows to, millimetres (common practice).
_LEAST_MODULE_MM, _USUAL_SIDE_MM = 0.4, 32.0


class Code(NamedTuple):
    """A QR code.

    Parameters
    ----------
    rows : tuple of (tuple of bool)
        From the top, true where a module is dark, the quiet zone among them.
    side_mm : float
        Of the whole, printed.
    address : str
        What it says.
    data_uri : str
        The same as an SVG.
    """

    rows: tuple[tuple[bool, ...], ...]
    side_mm: float
    address: str
    data_uri: str


def qr_code(address: str) -> Code | None:
    """Give the code of an address; None for one that is so long that its modules would be too small to read."""
    try:
        found = segno.make_qr(address, error=_LEVEL, boost_error=False)
    except DataOverflowError:
        return None
    if int(found.version) > _LARGEST:
        return None
    rows = tuple(tuple(bool(module) for module in row) for row in found.matrix_iter(border=_QUIET))
    side_mm = max(_USUAL_SIDE_MM, _LEAST_MODULE_MM * len(rows))
    return Code(rows, side_mm, address, found.svg_data_uri(border=_QUIET))
