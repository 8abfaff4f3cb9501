"""From what is known of a set-up's parts to the chain between foot and ground."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from mountwright.riding.band import Band, around
from mountwright.riding.chain import Chain, Change, How, Layer, Part, bench_tested, chained, changed, graded, wheels
from mountwright.riding.contact import stiffness_n_mm15
from mountwright.riding.estimates import estimate
from mountwright.riding.line import Tyre
from mountwright.riding.rubber import modulus_band
from mountwright.web.rides.assembling import SetUp

Json = Mapping[str, Any]


def layers_of(set_up: SetUp, load_n: float) -> tuple[Layer, ...]:
    """Give the links that something is known of; none where nothing is known but the wheels.

    Parameters
    ----------
    set_up : SetUp
    load_n : float
        On the skate.
    """
    found = list(_known(set_up))
    return (*found, _wheels(set_up.skate.line.tyres, load_n)) if found else ()


def chains_of(layers: Sequence[tuple[Layer, ...]]) -> list[tuple[Chain, Change | None] | None]:
    """Give the chain of each set-up, and how its shares moved where it differs from the first in one part."""
    return [None if not each else (chained(each), _change(layers[0], each)) for each in layers]


def _change(first: tuple[Layer, ...], other: tuple[Layer, ...]) -> Change | None:
    """Give what one part that is another one changes; None where more differs, or nothing."""
    own, theirs = ({layer.name: layer for layer in layers} for layers in (first, other))
    unlike = [name for name in own if own[name] != theirs.get(name)]
    if own.keys() != theirs.keys() or len(unlike) != 1:
        return None
    return changed(first, unlike[0], theirs[unlike[0]])


def _known(set_up: SetUp) -> Iterator[Layer]:
    for part in Part:
        for entry, specs in _sources(set_up, part):
            layer = _layer(part, entry, specs)
            if layer is not None:
                yield layer
                break


def _sources(set_up: SetUp, part: Part) -> Iterator[tuple[Json, Json]]:
    """Give what is said of a part, by the request and by its figures."""
    if part is Part.SHELL:
        yield set_up.boot.entry, set_up.boot.specs
    else:
        yield from ((piece.entry, piece.specs) for piece in set_up.pieces if piece.kind == part.value)


def _layer(part: Part, entry: Json, specs: Json) -> Layer | None:
    """Give a link by the surest that is known of it."""
    if "bench_test" in entry:
        test = entry["bench_test"]
        half = test.get("plus_minus_mm", min(estimate("bench_give_half_width_mm").likely, test["gives_mm"] / 2))
        load = test["load_n"]
        share = estimate("bench_load_share").likely
        return bench_tested(part.value, around(load, share * load), around(test["gives_mm"], half))
    if "stiffness_n_per_mm" in specs:
        told, share = specs["stiffness_n_per_mm"], estimate("told_stiffness_share").likely
        return Layer(part.value, around(told, share * told), How.GIVEN)
    return graded(part, specs["thumb_grade"]) if "thumb_grade" in specs else None


def _wheels(tyres: Sequence[Tyre], load_n: float) -> Layer:
    """Give the wheels as one link, each as stiff as all are on average."""
    bands = [_stiffness(tyre) for tyre in tyres]
    count = len(bands)
    mean = Band(
        sum(band.low for band in bands) / count,
        sum(band.likely for band in bands) / count,
        sum(band.high for band in bands) / count,
    )
    return wheels(mean, load_n, count)


def _stiffness(tyre: Tyre) -> Band:
    modulus, profile, radius = modulus_band(tyre.hardness_shore_a), tyre.profile_radius_mm, tyre.diameter.mm / 2
    low, likely, high = (
        float(stiffness_n_mm15(radius, crown, stiff))
        for crown, stiff in (
            (profile.low, modulus.low),
            (profile.likely, modulus.likely),
            (profile.high, modulus.high),
        )
    )
    return Band(low, likely, high)
