"""Sheets as a PDF, drawn from the same elements as the SVG: lines, circles, polygons and text, all of it as vectors.

It is to scale: a unit of the sheet is a millimetre, and a millimetre is 72/25.4 points (ISO 32000-1, 8.3.2.3).
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType
from xml.etree.ElementTree import Element

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from mountwright.drawing.palette import LIGHT, Look
from mountwright.drawing.sheet import Sheet
from mountwright.drawing.typeface import BOLD, REGULAR, faces

#: Who made the document.
_MAKER = "Mountwright"

#: What a class or a tag of the style sheet says.
Style = Mapping[str, str]


def pdf(sheets: Sequence[Sheet], title: str) -> bytes:
    """Give sheets as one PDF, a page each; the same sheets, the same bytes.

    Parameters
    ----------
    sheets : sequence of Sheet
        One at least.
    title : str
        Of the document.
    """
    faces()
    out = io.BytesIO()
    canvas = Canvas(out, invariant=True, initialFontName=REGULAR)  # type: ignore[arg-type]  # the stubs want a number
    for say in (canvas.setTitle, canvas.setSubject):
        say(title)
    for sign in (canvas.setAuthor, canvas.setCreator):
        sign(_MAKER)
    # A print dialogue then proposes the true size (ISO 32000-1, 12.2).
    canvas.setViewerPreference("PrintScaling", "None")
    for sheet in sheets:
        width, height = sheet.paper.size
        canvas.setPageSize((width * mm, height * mm))
        draw_elements(canvas, sheet.body, sheet.look, top_mm=height)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw_elements(
    canvas: Canvas, body: Element, look: Look, *, top_mm: float, left_mm: float = 0.0, unit_mm: float = 1.0
) -> None:
    """Draw the elements of a picture onto a page.

    Parameters
    ----------
    canvas : Canvas
        As it came: its origin at the lower left, in points.
    body : Element
        Of lines, circles, polygons, polylines, rectangles, texts, and groups of them.
    look : Look
    top_mm, left_mm : float
        Where the picture's origin, its upper left corner, stands: above and right of the page's lower left corner.
    unit_mm : float
        How large a unit of the picture is printed, above 0.
    """
    canvas.saveState()
    canvas.translate(left_mm * mm, top_mm * mm)
    canvas.scale(unit_mm * mm, unit_mm * mm)
    styles = _styles(look)
    for element in _leaves(body):
        canvas.saveState()
        _DRAWN[element.tag](canvas, element, _style(element, styles))
        canvas.restoreState()
    canvas.restoreState()


def _leaves(group: Element) -> Iterator[Element]:
    for element in group:
        if element.tag == "g":
            yield from _leaves(element)
        else:
            yield element


def _styles(look: Look) -> Mapping[str, Style]:
    """Give what each selector says, the colours last, as they stand in a style sheet."""
    found: dict[str, dict[str, str]] = {}
    for kinds, rule in (*look.shapes.items(), *look.colours(LIGHT).items()):
        said = dict(part.strip().split(": ", 1) for part in rule.split(";"))
        for kind in kinds.split():
            found.setdefault(kind, {}).update(said)
    return found


def _style(element: Element, styles: Mapping[str, Style]) -> Style:
    """Give how an element is drawn, in the order of the style sheet: a later rule wins over an earlier one.

    A class counts for more than a tag, whichever comes first.
    """
    classes = {f".{name}" for name in element.get("class", "").split()}
    by_class = [style for selector, style in styles.items() if selector in classes]
    return MappingProxyType({k: v for style in (styles.get(element.tag, {}), *by_class) for k, v in style.items()})


def _figures(element: Element, *names: str) -> tuple[float, ...]:
    return tuple(float(element.get(name, "0")) for name in names)


def _stroked(canvas: Canvas, element: Element, style: Style) -> bool:
    """Set how lines are drawn, and tell whether there are any."""
    (width,) = _figures(element, "stroke-width")
    colour = style.get("stroke", "none")
    if colour == "none" or not width:
        return False
    canvas.setStrokeColor(HexColor(colour))
    canvas.setLineWidth(width)
    if "stroke-dasharray" in style:
        canvas.setDash([float(each) for each in style["stroke-dasharray"].split()])
    return True


def _filled(canvas: Canvas, style: Style) -> bool:
    """Set how areas are filled, and tell whether they are; black where the style does not say, as in SVG."""
    colour = style.get("fill", "#000000")
    if colour == "none":
        return False
    canvas.setFillColor(HexColor(colour))
    return True


def _line(canvas: Canvas, element: Element, style: Style) -> None:
    x1, y1, x2, y2 = _figures(element, "x1", "y1", "x2", "y2")
    if _stroked(canvas, element, style):
        canvas.line(x1, -y1, x2, -y2)


def _circle(canvas: Canvas, element: Element, style: Style) -> None:
    x, y, radius = _figures(element, "cx", "cy", "r")
    canvas.circle(x, -y, radius, stroke=_stroked(canvas, element, style), fill=_filled(canvas, style))


def _rect(canvas: Canvas, element: Element, style: Style) -> None:
    x, y, width, height = _figures(element, "x", "y", "width", "height")
    canvas.rect(x, -y - height, width, height, stroke=_stroked(canvas, element, style), fill=_filled(canvas, style))


def _polygon(canvas: Canvas, element: Element, style: Style) -> None:
    _through(canvas, element, style, is_closed=True)


def _polyline(canvas: Canvas, element: Element, style: Style) -> None:
    _through(canvas, element, style, is_closed=False)


def _through(canvas: Canvas, element: Element, style: Style, *, is_closed: bool) -> None:
    path = canvas.beginPath()
    places = [place.split(",") for place in element.get("points", "").split()]
    for index, (x, y) in enumerate(places):
        (path.lineTo if index else path.moveTo)(float(x), -float(y))
    if is_closed:
        path.close()
    is_stroked, is_filled = _stroked(canvas, element, style), _filled(canvas, style)
    canvas.drawPath(path, stroke=is_stroked, fill=is_filled)


def _text(canvas: Canvas, element: Element, style: Style) -> None:
    x, y, size = _figures(element, "x", "y", "font-size")
    _filled(canvas, style)
    canvas.setFont(BOLD if style.get("font-weight") == "bold" else REGULAR, size)
    write = canvas.drawCentredString if element.get("text-anchor") == "middle" else canvas.drawString
    write(x, -y, element.text or "")


_DRAWN: Mapping[str, Callable[[Canvas, Element, Style], None]] = MappingProxyType(
    {
        "line": _line,
        "circle": _circle,
        "rect": _rect,
        "polygon": _polygon,
        "polyline": _polyline,
        "text": _text,
    }
)
