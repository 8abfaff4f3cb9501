"""A printed gauge: one sheet for a standard, at its true size, with what catches a printer's scaling."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from mountwright.bench.gauges import INSTRUMENT, Gauge, GaugeScale
from mountwright.drawing.column import Column
from mountwright.drawing.comb import draw_comb, stairs_of
from mountwright.drawing.gauge_card import CardCheck, draw_card_check
from mountwright.drawing.gauge_look import GAUGE, GUTTER_RIGHT, HEADING, MARGIN, TEXT, TITLE
from mountwright.drawing.gauge_scales import draw_scales, scale_height, scale_that_fits, told_neighbours
from mountwright.drawing.lettering import plain
from mountwright.drawing.sheet import Paper, Sheet
from mountwright.drawing.words import figure
from mountwright.errors import InvalidQuantityError
from mountwright.measure.instruments import instruments
from mountwright.messages import Messages
from mountwright.mounts.standard import DrawnAs

_GAP = 2.0


@dataclass(frozen=True)
class Laid:
    """What of a gauge goes on a paper.

    Parameters
    ----------
    scales : tuple of GaugeScale
        Holes and circles, with the neighbours that fit.
    comb : GaugeScale or None
    left_out : tuple of GaugeScale
        For which the paper is too small.
    """

    scales: tuple[GaugeScale, ...]
    comb: GaugeScale | None
    left_out: tuple[GaugeScale, ...]

    @property
    def is_empty(self) -> bool:
        """Tell whether nothing of the standard's own is drawn."""
        return not self.scales and (self.comb is None or self.comb.nominal_um is None)

    @property
    def drawn(self) -> tuple[GaugeScale, ...]:
        """Give everything that is drawn."""
        return self.scales if self.comb is None else (*self.scales, self.comb)


def gauge_sheet(gauge: Gauge, paper: Paper, messages: Messages) -> Sheet:
    """Draw the gauge of a standard.

    Raises
    ------
    InvalidQuantityError
        Where nothing of it goes on the paper.
    """
    laid = laid_out(gauge, paper)
    if laid.is_empty:
        raise InvalidQuantityError(gauge.standard.key, f"a standard of which something goes on {paper}")
    key = gauge.standard.key
    name = plain(messages.text("gauge.name", {"standard": key}))
    sheet = Sheet("gauge", paper, GAUGE, name, plain(" ".join(_told(laid, messages))))
    draw_scales(sheet.body, key, laid.scales, paper.size.height_mm - MARGIN, messages)
    column = Column(sheet.body, GUTTER_RIGHT, paper.size.width_mm - MARGIN, MARGIN)
    _write_head(column, gauge, laid, messages)
    check = CardCheck(_bar_mm(), [scale.dimension.name for scale in laid.drawn])
    column.top += _GAP
    draw_card_check(column, check, messages)
    column.top += _GAP
    column.write(TEXT, messages.text("gauge.enter"), lines=2)
    _write_notes(column, gauge, laid, messages)
    if laid.comb is not None:
        column.top += _GAP
        draw_comb(column, key, laid.comb, messages)
    return sheet


def laid_out(gauge: Gauge, paper: Paper) -> Laid:
    """Give what of a gauge goes on a paper, from the top until it is full."""
    room = paper.size.height_mm - 2 * MARGIN
    scales: list[GaugeScale] = []
    comb: GaugeScale | None = None
    left_out: list[GaugeScale] = []
    for scale in gauge.scales:
        if scale.drawn_as is DrawnAs.COMB and comb is None and stairs_of(scale) is not None:
            comb = scale
        elif scale.drawn_as is not DrawnAs.COMB and (found := scale_that_fits(scale, room)) is not None:
            scales.append(found)
            room -= scale_height(found)
        else:
            left_out.append(scale)
    return Laid(tuple(scales), comb, tuple(left_out))


def _bar_mm() -> float:
    bar = instruments()[INSTRUMENT].check_bar
    if bar is None:
        raise InvalidQuantityError(bar, f"a check bar of {INSTRUMENT}")
    return bar.length_um / 1000


def _write_head(column: Column, gauge: Gauge, laid: Laid, messages: Messages) -> None:
    """Write which standard it is, how it is told by eye, how it is printed, and how each length is read."""
    column.write(TITLE, messages.phrase(gauge.standard.title), lines=3)
    column.write(HEADING, gauge.standard.key, lines=1)
    column.write(TEXT, messages.phrase(gauge.standard.mark), lines=3)
    column.top += _GAP
    column.write(HEADING, messages.text("gauge.print_true"), lines=3)
    for shape, code in ((DrawnAs.HOLES, "gauge.read_holes"), (DrawnAs.CIRCLE, "gauge.read_circle")):
        drawn = [scale for scale in laid.scales if scale.drawn_as is shape]
        if drawn:
            column.top += _GAP / 2
            column.write(TEXT, messages.text(code), lines=3)


def _write_notes(column: Column, gauge: Gauge, laid: Laid, messages: Messages) -> None:
    """Write what the gauge cannot tell, and what there was no room for."""
    if gauge.not_told_apart:
        told = {"standards": ", ".join(gauge.not_told_apart)}
        column.write(TEXT, messages.text("gauge.not_told_apart", told), lines=3)
    for scale in laid.left_out:
        told = {
            "dimension": scale.dimension.name,
            "measure": messages.phrase(scale.dimension.measure),
            "value": _value(scale),
        }
        column.write(TEXT, messages.text("gauge.left_out", told), lines=3)


def _value(scale: GaugeScale) -> str:
    return figure((scale.nominal_um or 0) / 1000, 3)


#: What is said of a scale to who does not see it.
_TOLD = {DrawnAs.HOLES: "gauge.told_holes", DrawnAs.CIRCLE: "gauge.told_circle"}


def _told(laid: Laid, messages: Messages) -> Iterator[str]:
    """Give what is drawn, in words."""
    yield messages.text("gauge.told_view")
    for scale in laid.scales:
        told = {"dimension": scale.dimension.name, "value": _value(scale)}
        yield messages.text(_TOLD[scale.drawn_as], told)
        if scale.neighbours:
            yield told_neighbours(scale.neighbours, messages)
    if laid.comb is not None and (stairs := stairs_of(laid.comb)) is not None:
        yield messages.text("gauge.told_comb", {"dimension": laid.comb.dimension.name, **stairs._asdict()})
    yield messages.text("gauge.told_bar", {"length": f"{_bar_mm():.2f}"})
