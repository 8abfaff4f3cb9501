"""The way of a printed gauge: a standard's key in, a sheet out, as SVG or as PDF, or what to measure instead."""

from __future__ import annotations

from collections.abc import Sequence
from http import HTTPStatus

from flask import Response, request

from mountwright.bench.gauges import by_places, gauge_of, instead
from mountwright.drawing.gauge import gauge_sheet, laid_out
from mountwright.drawing.pdf import pdf
from mountwright.drawing.sheet import Paper, Sheet
from mountwright.drawing.typeface import lacking
from mountwright.mounts.standard import Standard
from mountwright.web.blueprint import PDF, SVG
from mountwright.web.caching import tagged
from mountwright.web.picturing import picture_answer
from mountwright.web.problems import Problem
from mountwright.web.workshop import Workshop


def standard_named(key: str, workshop: Workshop) -> Standard:
    """Give a standard by its key.

    Raises
    ------
    Problem
        404 where it is not installed.
    """
    found = workshop.registry.standards.get(key)
    if found is None:
        installed = ", ".join(workshop.registry.standards)
        raise Problem(HTTPStatus.NOT_FOUND, "no_such_standard", {"key": key, "installed": installed})
    return found


def gauge_sheet_of(key: str, paper: Paper, workshop: Workshop) -> Sheet:
    """Give the printed gauge of a standard.

    Raises
    ------
    Problem
        404 where it is not installed or states no length that could be drawn, 422 where the paper is too small.
    """
    standard = standard_named(key, workshop)
    gauge = gauge_of(standard, workshop.registry)
    if gauge is None:
        raise Problem(HTTPStatus.NOT_FOUND, "no_gauge", _instead(standard, workshop))
    if laid_out(gauge, paper).is_empty:
        raise Problem(HTTPStatus.UNPROCESSABLE_ENTITY, "gauge_beyond_paper", _instead(standard, workshop))
    return gauge_sheet(gauge, paper, workshop.messages)


def gauges_printed(sheets: Sequence[Sheet]) -> bytes:
    """Give sheets as one PDF, a page each.

    Raises
    ------
    Problem
        422 where the typeface lacks a letter of them.
    """
    title = ", ".join(sheet.title for sheet in sheets)
    letters = lacking(
        "".join((title, *(element.text or "" for sheet in sheets for element in sheet.body.iter("text"))))
    )
    if letters:
        raise Problem(HTTPStatus.UNPROCESSABLE_ENTITY, "gauge_letters", {"letters": " ".join(letters)})
    return pdf(sheets, title)


def gauge_shown(key: str, paper: Paper, workshop: Workshop) -> Response:
    """Give the gauge of a standard in the form that the caller accepts: PDF, or SVG rather than that.

    Raises
    ------
    Problem
    """
    sheet = gauge_sheet_of(key, paper, workshop)
    if request.accept_mimetypes.best_match([PDF, SVG], default=PDF) == SVG:
        answer = picture_answer(sheet.svg())
    else:
        answer = Response(gauges_printed([sheet]), mimetype=PDF)
        answer.headers["Content-Disposition"] = f'inline; filename="gauge-{key}-{paper}.pdf"'
    answer.vary.add("Accept")
    return tagged(answer, workshop.settings.reads)


def _instead(standard: Standard, workshop: Workshop) -> dict[str, str]:
    """Give what to measure where nothing can be drawn."""
    say, phrase = workshop.messages.text, workshop.messages.phrase
    told = [
        say("gauge.measure_instead", {"dimension": each.name, "measure": phrase(each.measure)})
        for each in instead(standard)
    ]
    if by_places(standard.family):
        told.insert(0, say("gauge.measure_holes"))
    if not told:
        told.append(say("gauge.measure_nothing"))
    return {"key": standard.key, "mark": phrase(standard.mark), "measure": " ".join(told)}
