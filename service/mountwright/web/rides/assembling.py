"""From a set-up of a request to the skate that is ridden: its frame, a wheel on each axle, its sole."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from marshmallow import ValidationError

from mountwright.measure.quantity import thousandths
from mountwright.messages import Fault
from mountwright.mounts.holes import Hole
from mountwright.mounts.kinds import kinds
from mountwright.mounts.mount import Part
from mountwright.riding.clearance import Place
from mountwright.riding.line import Axle, Deck, Line, Skate, Sole
from mountwright.riding.note import Note
from mountwright.web.faults import fault
from mountwright.web.naming import part_named, skate_named
from mountwright.web.reading import part_built
from mountwright.web.rides.tyres import Stood, tyre_of
from mountwright.web.workshop import Desk

Json = Mapping[str, Any]

#: What only a wheel may say.
OF_WHEELS = ("axles", "measured_mm", "used", "origin", "bounce")


class Piece(NamedTuple):
    """A part of a set-up.

    Parameters
    ----------
    entry : Mapping
        As the request has it; empty for a part that the skate comes with.
    record : Mapping
        What is known of it, with its kind.
    is_stock : bool
        Whether the skate comes with it.
    place : int or None
        Index in the request, None for what the skate comes with.
    part : Part or None
        Its mounts, None where nobody gave any.
    """

    entry: Json
    record: Json
    is_stock: bool
    place: int | None
    part: Part | None

    @property
    def kind(self) -> str:
        """Give its kind."""
        return str(self.record["kind"])

    @property
    def specs(self) -> Json:
        """Give its figures."""
        specs: Json = self.record.get("specs", {})
        return specs

    @property
    def name(self) -> str:
        """Give what it is called, as far as anybody said."""
        return str(self.record.get("name") or self.sku or "")

    @property
    def sku(self) -> str | None:
        """Give the SKU, None where it has none."""
        sku: str | None = self.record.get("sku")
        return sku

    @property
    def lot(self) -> str:
        """Give what pieces of one article have in common: all that is said of them but where they stand."""
        said = {name: value for name, value in self.entry.items() if name not in ("axles", "sku")}
        return f"{self.sku} {self.specs if self.sku is None else ''} {said}"


class Boot(NamedTuple):
    """The skate itself: as the request has it, what is known of it, and its mounts, None where nobody gave any."""

    entry: Json
    record: Json
    part: Part | None

    @property
    def specs(self) -> Json:
        """Give its figures."""
        specs: Json = self.record.get("specs", {})
        return specs


class SetUp(NamedTuple):
    """A skate that is ridden, and what was taken for it that nobody said.

    Parameters
    ----------
    name : str
        By which the caller tells it from others; may be empty.
    skate : Skate
    pieces : tuple of Piece
        All of its parts.
    wheels : tuple of Piece
        One on each axle, from the front.
    boot : Boot
        The skate itself.
    holes : tuple of (tuple of Hole, tuple of Hole) or None
        Those of the boot and of the frame that belong together, None where either is given without mounts.
    notes : tuple of Note
        What was taken for it that nobody said.
    """

    name: str
    skate: Skate
    pieces: tuple[Piece, ...]
    wheels: tuple[Piece, ...]
    boot: Boot
    holes: tuple[tuple[Hole, ...], tuple[Hole, ...]] | None
    notes: tuple[Note, ...]


def set_up_given(data: Json, desk: Desk) -> SetUp:
    """Give a set-up.

    Parameters
    ----------
    data : Mapping
        As it was loaded.
    desk : Desk

    Raises
    ------
    ValidationError
        For what the catalogue, the frame or the wheels have to say against it.
    """
    boot, pieces = _boot(data, desk), _pieces(data, desk)
    frame = _frame(pieces)
    axles = _axles(frame, data)
    wheels = _wheels(pieces, len(axles))
    price = boot.record.get("price_minor"), boot.record.get("currency")
    stood = [tyre_of(wheel.entry, wheel.specs, Stood(wheel.is_stock, *price)) for wheel in wheels]
    sole, more = _sole(boot.specs, data.get("skate", {}).get("eu_size"))
    skate = Skate(
        Line(axles, tuple(tyre for tyre, _ in stood), lots_of(wheels, {})),
        _deck(frame, data.get("bolt_spacing_mm")),
        sole,
        tuple((tip["along_mm"], tip["down_mm"]) for tip in data.get("bolt_tips", ())),
        brake_pad_mm=next(
            (pad for piece in pieces if (pad := piece.specs.get("ground_clearance_mm")) is not None), None
        ),
    )
    told = {note.code: note for note in [*more, *(note for _, notes in stood for note in notes)]}
    holes = _holes(boot.part, frame.part)
    return SetUp(data.get("name", ""), skate, tuple(pieces), tuple(wheels), boot, holes, tuple(told.values()))


def lots_of(pieces: Iterable[Piece], known: dict[str, int]) -> tuple[int, ...]:
    """Give the number of each piece's lot; what is known already keeps its number, what is new is added to it."""
    return tuple([known.setdefault(piece.lot, len(known)) for piece in pieces])


def _boot(data: Json, desk: Desk) -> Boot:
    skate = data.get("skate", {})
    try:
        if "sku" not in skate:
            return Boot(skate, {"specs": skate.get("specs", {})}, _described("", skate, desk))
        part = skate_named(skate, desk)
    except ValidationError as error:
        raise ValidationError({"skate": error.messages}) from error
    return Boot(skate, _laid_over(skate, desk), part)


def _laid_over(entry: Json, desk: Desk) -> Json:
    """Give the record of an SKU with the figures that the request says otherwise."""
    assert desk.seen is not None  # noqa: S101  # it was found there just now
    record = desk.seen.articles[entry["sku"]].record
    return {**record, "specs": {**record.get("specs", {}), **entry.get("specs", {})}}


def _described(kind: str, entry: Json, desk: Desk) -> Part | None:
    if "mounts" not in entry:
        return None
    part, faults = part_built(kind, entry["mounts"], entry.get("name", ""), desk.workshop.registry)
    if faults:
        raise ValidationError({"mounts": faults})
    return part


def _pieces(data: Json, desk: Desk) -> list[Piece]:
    """Give the parts that are named, and those the skate comes with of kinds that are not.

    Wheels that are named for some axles leave the others to those that the skate comes with.
    """
    given: list[Piece] = []
    faults: dict[int, Any] = {}
    for place, entry in enumerate(data.get("parts", ())):
        try:
            given.append(_piece(entry, place, desk))
        except ValidationError as error:
            faults[place] = error.messages
    if faults:
        raise ValidationError({"parts": faults})
    told = {piece.kind for piece in given}
    if all("axles" in piece.entry for piece in given if piece.kind == "wheel"):
        told -= {"wheel"}
    return [*given, *(piece for piece in _stock(data, desk) if piece.kind not in told)]


def _piece(entry: Json, place: int, desk: Desk) -> Piece:
    if "sku" not in entry:
        return Piece(entry, entry, False, place, _described(entry["kind"], entry, desk))
    part = part_named(entry, desk)
    if part.kind != "wheel" and (said := [name for name in OF_WHEELS if name in entry]):
        raise ValidationError({name: fault("ride.wheels_only") for name in said})
    return Piece(entry, _laid_over(entry, desk), False, place, part)


def _stock(data: Json, desk: Desk) -> Iterator[Piece]:
    sku = data.get("skate", {}).get("sku")
    if sku is None or desk.seen is None:
        return
    for content in desk.seen.articles[sku].record.get("comes_with", ()):
        shelved = desk.seen.articles.get(content["sku"])
        if shelved is not None:
            yield Piece({}, shelved.record, True, None, shelved.part)


def _frame(pieces: Sequence[Piece]) -> Piece:
    frames = [piece for piece in pieces if piece.kind == "frame"]
    # Left and right frames of a skate are alike in what counts here.
    unlike = {str(piece.specs.get("axle_places")) for piece in frames}
    if not frames:
        raise ValidationError({"parts": fault("ride.no_frame")})
    if len(unlike) > 1:
        raise ValidationError({"parts": fault("ride.several_frames", found=len(frames))})
    if not frames[0].specs.get("axle_places"):
        raise ValidationError({"parts": _at(frames[0], fault("ride.no_axle_places"))})
    return frames[0]


def _at(piece: Piece, wrong: list[Fault]) -> Any:
    """Give a fault at the place of a part in the request; of one that the skate comes with, at the whole."""
    return wrong if piece.place is None else {piece.place: wrong}


def _axles(frame: Piece, data: Json) -> tuple[Axle, ...]:
    rows = sorted(frame.specs["axle_places"], key=lambda row: float(row["along_mm"]), reverse=True)
    if len({row["along_mm"] for row in rows}) < len(rows):
        raise ValidationError({"parts": _at(frame, fault("ride.axles_at_one_place"))})
    settings = data.get("settings_mm")
    if settings is not None and len(settings) != len(rows):
        raise ValidationError(
            {"settings_mm": fault("request.same_length", len(settings), expected=len(rows), other="axles")}
        )
    chosen = settings if settings is not None else [_usual(row) for row in rows]
    wrong = {
        index: fault("request.choice", setting, known=", ".join(f"{each:g}" for each in _settings(row)))
        for index, (row, setting) in enumerate(zip(rows, chosen, strict=True))
        if setting not in _settings(row)
    }
    if wrong:
        raise ValidationError({"settings_mm": wrong})
    return tuple(
        Axle(row["along_mm"], row["down_mm"], _settings(row), setting)
        for row, setting in zip(rows, chosen, strict=True)
    )


def _settings(row: Json) -> tuple[float, ...]:
    return tuple(sorted({float(each) for each in row.get("down_settings_mm", ())})) or (0.0,)


def _usual(row: Json) -> float:
    """Give the setting that is nearest to the drawn place, of two equally near the lower one."""
    return min(_settings(row), key=lambda setting: (abs(setting), setting))


def _wheels(pieces: Sequence[Piece], count: int) -> list[Piece]:
    """Give the wheel on each axle from the front.

    Raises
    ------
    ValidationError
        Unless each axle gets exactly one.
    """
    wheels = [piece for piece in pieces if piece.kind == "wheel"]
    if not wheels:
        raise ValidationError({"parts": fault("ride.no_wheels")})
    stands: dict[int, Piece] = {}
    for wheel in wheels:
        for axle in wheel.entry.get("axles", ()):
            if axle >= count or axle in stands:
                wrong = (
                    fault("ride.no_such_axle", axle, count=count) if axle >= count else fault("ride.axle_taken", axle)
                )
                raise ValidationError({"parts": _at(wheel, wrong)})
            stands[axle] = wheel
    left = [axle for axle in range(count) if axle not in stands]
    anywhere = _unlike(wheel for wheel in wheels if "axles" not in wheel.entry)
    if left and len(anywhere) != 1:
        code = "ride.which_wheel_where" if anywhere else "ride.axle_without_wheel"
        raise ValidationError({"parts": fault(code, axles=", ".join(map(str, left)))})
    return [stands.get(axle) or anywhere[0] for axle in range(count)]


def _unlike(wheels: Iterable[Piece]) -> list[Piece]:
    """Give wheels that differ in what counts, the first of each."""
    found: dict[str, Piece] = {}
    for wheel in wheels:
        found.setdefault(wheel.lot, wheel)
    return list(found.values())


def _deck(frame: Piece, bolt_spacing_mm: float | None) -> Deck:
    specs = frame.specs
    front, rear = specs.get("front_deck_height_mm"), specs.get("rear_deck_height_mm")
    # Places along are counted from midway between the bolts.
    half = None if bolt_spacing_mm is None else bolt_spacing_mm / 2
    return Deck(
        heel_step_mm=None if front is None or rear is None else rear - front,
        front_bolt_along_mm=half,
        rear_bolt_along_mm=None if half is None else -half,
        largest_wheel_mm=specs.get("largest_wheel_mm"),
        takes_brake=specs.get("takes_brake"),
    )


def _sole(specs: Json, eu_size: float | None) -> tuple[Sole, list[Note]]:
    """Give the sole of the size that is worn; none where it is not known which that is, and that that is so."""
    rows = specs.get("soles", ())
    row = next((row for row in rows if row["eu_size"] == eu_size), rows[0] if len(rows) == 1 else None)
    if row is None:
        sizes = ", ".join(f"{row['eu_size']:g}" for row in rows)
        return Sole(), [Note("ride.sole_size_unknown", {"sizes": sizes})] if rows else []
    outline = zip(row.get("outline_along_mm", ()), row.get("outline_down_mm", ()), strict=True)
    sole = Sole(
        tuple(Place(thousandths(along), thousandths(down)) for along, down in outline),
        row.get("sole_length_mm"),
        row.get("front_block_depth_mm"),
        row.get("rear_block_depth_mm"),
        row.get("block_gap_mm"),
    )
    return sole, []


def _holes(boot: Part | None, frame: Part | None) -> tuple[tuple[Hole, ...], tuple[Hole, ...]] | None:
    """Give the holes of the boot and of the frame at the position where both have a mount; usual patterns first."""
    if boot is None or frame is None:
        return None
    own = {mount.position: mount for mount in boot.mounts if mount.side not in kinds()}
    for mount in frame.mounts:
        if mount.position in own:
            return own[mount.position].patterns[0].holes, mount.patterns[0].holes
    return None
