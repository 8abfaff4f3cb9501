"""A bench card as a PDF, A4, in two columns: the same content as the page, with its typeface within it.

The PDF is not tagged, as reportlab has no tags: who listens rather than reads takes the page.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, TypeAlias
from xml.sax.saxutils import escape

from reportlab.lib.colors import HexColor
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import (
    BaseDocTemplate,
    Flowable,
    Frame,
    FrameBreak,
    KeepTogether,
    NextPageTemplate,
    PageTemplate,
    Paragraph,
    Spacer,
    Table,
)

from mountwright.drawing.card_scene import CardScene, DrawnJob, OldFrame
from mountwright.drawing.palette import LIGHT, WHEEL_LINE
from mountwright.drawing.pdf import draw_elements
from mountwright.drawing.qr import Code
from mountwright.drawing.sheet import Paper
from mountwright.drawing.typeface import BOLD, REGULAR, faces
from mountwright.drawing.wheel_line import Picture

#: Around the page, and between its columns, millimetres.
_MARGIN_MM, _FOOT_MM, _GAP_MM = 10.0, 14.0, 6.0
_WIDTH_MM, _HEIGHT_MM = Paper.A4.size
_ACROSS_MM = _WIDTH_MM - 2 * _MARGIN_MM
_COLUMN_MM = (_ACROSS_MM - _GAP_MM) / 2
_TALL_MM = _HEIGHT_MM - _MARGIN_MM - _FOOT_MM

#: Below the head.
_SLACK_MM = 1.0

#: How wide the wheel line is drawn, and how high a line to write on is, millimetres.
_PICTURE_MM, _LINE_MM = 72.0, 7.0

_INK, _GREY, _WARM, _RED = HexColor(LIGHT.text), HexColor(LIGHT.line), HexColor("#fff4e5"), HexColor(LIGHT.clash)

#: How cells of a table are drawn: what, from which to which, and with what.
_Rule: TypeAlias = tuple[Any, ...]

_RULED: list[_Rule] = [("GRID", (0, 0), (-1, -1), 0.4, _GREY)]

#: A box to tick.
_BOX = "\N{BALLOT BOX}"

_PLAIN = ParagraphStyle(
    "plain", fontName=REGULAR, fontSize=8.25, leading=10.2, textColor=_INK, bulletFontName=REGULAR, spaceShrinkage=0
)
_PLAIN.bulletFontSize = _PLAIN.fontSize
_SMALL = ParagraphStyle("small", _PLAIN, fontSize=7.5, leading=9.2, textColor=_GREY)
_STRONG = ParagraphStyle("strong", _PLAIN, fontName=BOLD)
_TITLE = ParagraphStyle("title", _PLAIN, fontName=BOLD, fontSize=15, leading=18)
_HEADING = ParagraphStyle("heading", _PLAIN, fontName=BOLD, fontSize=10.5, leading=13, spaceBefore=2 * mm)
_ITEM = ParagraphStyle("item", _PLAIN, leftIndent=4 * mm, bulletIndent=0)
_JOB = ParagraphStyle("job", _ITEM, fontName=BOLD, fontSize=9, leading=11.5, spaceBefore=1.5 * mm, bulletFontSize=10)
_CAUTION = ParagraphStyle(
    "caution",
    _PLAIN,
    backColor=_WARM,
    borderColor=_RED,
    borderWidth=0.5,
    borderPadding=2,
    leftIndent=4,
    rightIndent=4,
    spaceBefore=3,
    spaceAfter=4,
)
_CENTRED = ParagraphStyle("centred", _SMALL, alignment=1)


class _Whole(Paragraph):
    """A paragraph that stands on one page, unless it is taller than one."""

    def split(self, wide: float, tall: float) -> list[Flowable]:
        """Give nothing: it goes on to the next column as it is."""
        is_too_tall = self.wrap(wide, tall)[1] > _TALL_MM * mm
        return super().split(wide, tall) if is_too_tall else []


class _Drawn(Flowable):
    """A picture, so wide that it fills what it is given."""

    def __init__(self, picture: Picture, wide_mm: float) -> None:
        super().__init__()
        self._picture, self._unit_mm = picture, wide_mm / picture.width
        self.width, self.height = wide_mm * mm, picture.height * self._unit_mm * mm

    def draw(self) -> None:
        """Draw it."""
        tall_mm = self.height / mm
        draw_elements(self.canv, self._picture.body, WHEEL_LINE, top_mm=tall_mm, unit_mm=self._unit_mm)


class _Modules(Flowable):
    """A QR code."""

    def __init__(self, code: Code) -> None:
        super().__init__()
        self._rows, self._module = code.rows, code.side_mm * mm / len(code.rows)
        self.width = self.height = code.side_mm * mm

    def draw(self) -> None:
        """Draw its dark modules, those side by side as one."""
        self.canv.setFillGray(0)
        for down, row in enumerate(self._rows, 1):
            for start, end in _runs(row):
                bottom = self.height - down * self._module
                self.canv.rect(
                    start * self._module, bottom, (end - start) * self._module, self._module, stroke=0, fill=1
                )


def card_pdf(scene: CardScene) -> bytes:
    """Give a card as a PDF, the same bytes for the same scene; on as many pages as it needs."""
    faces()
    pages = _built(scene, 0)[1]
    return _built(scene, pages)[0]


def _built(scene: CardScene, pages: int) -> tuple[bytes, int]:
    """Give the document with so many pages said in its foot, and how many it has."""
    out, count = io.BytesIO(), 0

    def foot(canvas: Canvas, document: BaseDocTemplate) -> None:
        nonlocal count
        count = document.page
        canvas.setFont(REGULAR, 8)
        canvas.setFillColor(_GREY)
        canvas.drawString(_MARGIN_MM * mm, 8 * mm, scene.reference)
        canvas.drawRightString((_WIDTH_MM - _MARGIN_MM) * mm, 8 * mm, f"{document.page} / {pages}")

    head = _head(scene)
    tall_mm = head.wrap(_ACROSS_MM * mm, _TALL_MM * mm)[1] / mm
    document = BaseDocTemplate(
        out,
        pagesize=(_WIDTH_MM * mm, _HEIGHT_MM * mm),
        title=f"{scene.words['title']} {scene.reference}",
        lang=scene.language,
        invariant=True,
        initialFontName=REGULAR,
        pageTemplates=[
            PageTemplate(
                "first", [_frame(0, tall_mm + _SLACK_MM, _ACROSS_MM, 0), *_columns(tall_mm + _SLACK_MM)], onPage=foot
            ),
            PageTemplate("later", _columns(0.0), onPage=foot),
        ],
    )
    document.build([NextPageTemplate("later"), head, FrameBreak(), *_story(scene)])
    return out.getvalue(), count


def _frame(left_mm: float, tall_mm: float, wide_mm: float, below_mm: float) -> Frame:
    """Give a frame of the page, its top so far below the margin."""
    bottom_mm = _HEIGHT_MM - _MARGIN_MM - below_mm - tall_mm
    return Frame((_MARGIN_MM + left_mm) * mm, bottom_mm * mm, wide_mm * mm, tall_mm * mm, 0, 0, 0, 0)


def _columns(below_mm: float) -> list[Frame]:
    places = (0.0, _COLUMN_MM + _GAP_MM)
    return [_frame(left, _TALL_MM - below_mm, _COLUMN_MM, below_mm) for left in places]


def _head(scene: CardScene) -> Table:
    said = [
        Paragraph(escape(f"{scene.words['title']} {scene.reference}"), _TITLE),
        *(
            Paragraph(f"{_bold(fact.label + scene.words['colon'])} {escape(fact.value)}", _PLAIN)
            for fact in scene.facts
        ),
        Paragraph(escape(scene.summary), _STRONG),
        *(Paragraph(escape(remark), _SMALL) for remark in scene.remarks),
    ]
    if scene.code is None:
        return _table([[[*said, Paragraph(escape(scene.code_said), _SMALL)]]], [_ACROSS_MM], [])
    wide_mm = scene.code.side_mm
    code = [_Modules(scene.code), Paragraph(escape(scene.code_said), _CENTRED)]
    return _table([[said, code]], [_ACROSS_MM - wide_mm, wide_mm], [])


def _story(scene: CardScene) -> Iterator[Flowable]:
    words = scene.words
    if scene.picture is not None:
        yield _Drawn(scene.picture, _PICTURE_MM)
    if scene.tools:
        tools = [f"{escape(tool.label)} ({escape(words['job'])} {tool.value})" for tool in scene.tools]
        yield _section(words["tools"], [Paragraph(tool, _PLAIN) for tool in tools])
    if scene.consumables:
        yield _section(words["consumables"], [Paragraph(escape("; ".join(scene.consumables)), _PLAIN)])
    if scene.parts:
        yield from _parts(scene)
    if scene.old_frame is not None:
        yield _section(words["old_frame"], _old_frame(scene.old_frame, words["side"], words["along"], words["across"]))
    if scene.note_leads:
        yield from _note(scene)
    if scene.consent is not None:
        signed = _lines(words["name"], words["date"], words["signature"])
        yield _section(words["consent_heading"], [Paragraph(escape(scene.consent), _PLAIN), signed])
    yield from _jobs(scene)
    checks = [Paragraph(escape(check), _ITEM, bulletText=_BOX) for check in scene.after_checks]
    yield _section(words["after_checks"], [*checks, _lines(words["remarks"], words["checked_by"], words["date"])])
    if not scene.note_leads:
        yield from _note(scene)


def _section(heading: str, content: Sequence[Flowable]) -> Flowable:
    return KeepTogether([Paragraph(escape(heading), _HEADING), *content])


def _leading(heading: str) -> Paragraph:
    """Give a heading that is never the last thing in a column."""
    found = Paragraph(escape(heading), _HEADING)
    found.keepWithNext = True
    return found


def _parts(scene: CardScene) -> Iterator[Flowable]:
    words = scene.words
    head = [Paragraph(escape(words[label]), _STRONG) for label in ("part", "sku", "place", "job")]
    rows = [[Paragraph(escape(cell), _PLAIN) for cell in part] for part in scene.parts]
    wide = [_COLUMN_MM * share for share in (0.4, 0.24, 0.24, 0.12)]
    yield _leading(words["parts"])
    yield _table([head, *rows], wide, _RULED, repeated=1)


def _old_frame(old: OldFrame, *labels: str) -> list[Flowable]:
    head = [Paragraph(escape(label), _STRONG) for label in labels]
    rows = [[Paragraph(escape(cell), _PLAIN) for cell in place] for place in old.places]
    roomy: list[_Rule] = [*_RULED, ("BOTTOMPADDING", (1, 1), (-1, -1), 2 * mm)]
    return [Paragraph(escape(old.sentence), _PLAIN), Spacer(0, mm), _table([head, *rows], [_COLUMN_MM / 3] * 3, roomy)]


def _jobs(scene: CardScene) -> Iterator[Flowable]:
    heading = Paragraph(escape(scene.words["jobs"]), _HEADING)
    for job in scene.jobs:
        yield KeepTogether(
            [*([heading] if job is scene.jobs[0] else []), *_job(job, scene.words["caution"] + scene.words["colon"])]
        )


def _job(job: DrawnJob, caution: str) -> Iterator[Flowable]:
    yield Paragraph(escape(f"{job.number}. {job.title}"), _JOB, bulletText=_BOX)
    for target in job.targets:
        yield Paragraph(escape(target), _ITEM, bulletText=_BOX if len(job.targets) > 1 else None)
    yield Paragraph(escape(" · ".join(job.facts)), _SMALL)
    for each in job.cautions:
        yield _Whole(f"{_bold(caution)} {escape(each)}", _CAUTION)
    for figure in job.figures:
        yield Paragraph(escape(figure), _STRONG)
    for number, step in enumerate(job.steps, 1):
        yield Paragraph(escape(step), _ITEM, bulletText=f"{number}.")


def _note(scene: CardScene) -> Iterator[Flowable]:
    if not scene.note:
        return
    yield _leading(scene.words["notes"])
    for line in scene.note:
        yield Paragraph(escape(line), _PLAIN) if line else Spacer(0, _PLAIN.leading)


def _lines(*labels: str) -> Table:
    """Give lines to write on, each with what belongs there."""
    rows = [[Paragraph(escape(label), _PLAIN), ""] for label in labels]
    rules: list[_Rule] = [("LINEBELOW", (1, 0), (1, -1), 0.5, _INK), ("VALIGN", (0, 0), (-1, -1), "BOTTOM")]
    return _table(rows, [_COLUMN_MM * 0.22, _COLUMN_MM * 0.78], rules, _LINE_MM)


def _table(
    rows: Sequence[list[Any]],
    wide_mm: Iterable[float],
    rules: Sequence[_Rule],
    tall_mm: float | None = None,
    repeated: int = 0,
) -> Table:
    """Give a table; each row is as tall as it has to be, unless a height is given.

    So many rows at its head are repeated where it goes on in the next column.
    """
    always: list[_Rule] = [("VALIGN", (0, 0), (-1, -1), "TOP"), *_tight(), ("FONT", (0, 0), (-1, -1), REGULAR)]
    heights = None if tall_mm is None else [tall_mm * mm] * len(rows)
    return Table(
        rows, [wide * mm for wide in wide_mm], heights, style=[*always, *rules], hAlign="LEFT", repeatRows=repeated
    )


def _tight() -> list[_Rule]:
    paddings = {"LEFTPADDING": 1.5, "RIGHTPADDING": 1.5, "TOPPADDING": 0.5, "BOTTOMPADDING": 1.5}
    return [(name, (0, 0), (-1, -1), size) for name, size in paddings.items()]


def _bold(label: str) -> str:
    return f'<font name="{BOLD}">{escape(label)}</font>'


def _runs(row: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Give where dark modules that lie side by side begin, and where they end."""
    begin = None
    for place, dark in enumerate((*row, False)):
        if dark and begin is None:
            begin = place
        elif not dark and begin is not None:
            yield begin, place
            begin = None
