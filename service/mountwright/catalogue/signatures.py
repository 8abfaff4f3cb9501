"""The mounts by which an article is judged, as one text; articles with the same text are judged once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

import orjson

from mountwright.catalogue.documents import SKATE, Json, canonical
from mountwright.fitting.narrowing import spans_of
from mountwright.mounts.mount import Mount

#: A mount, with the kind of the part that it belongs to; the kind is empty for a skate's own.
Owned = tuple[str, Json]

#: Reads mounts by the installed standards; one that cannot be read is left out.
MountReader = Callable[[Sequence[Owned]], Sequence[Mount]]


class Signature(NamedTuple):
    """What an article's mounts are, and the digest that it is known by."""

    digest: str
    mounts: str
    of_part: bool

    @property
    def owned(self) -> list[Owned]:
        """Give the mounts."""
        return [(kind, mount) for kind, mount in orjson.loads(self.mounts)]


def signature_of(
    record: Mapping[str, Any], inherited: Iterable[Json] = (), parts: Iterable[Mapping[str, Any]] = ()
) -> Signature:
    """Give an article's signature.

    Parameters
    ----------
    record : Mapping
        The article's own.
    inherited : iterable of mounts
        From its family, the nearest first.
    parts : iterable of records
        The parts that a skate comes with.
    """
    kind = "" if record["kind"] == SKATE else record["kind"]
    owned = [(kind, _told(mount)) for mount in merged([*record.get("mounts", ()), *inherited])]
    owned += [(part["kind"], _told(mount)) for part in parts for mount in part.get("mounts", ())]
    text = orjson.dumps([[kind, orjson.Fragment(canonical(mount))] for kind, mount in owned])
    of_part = bool(kind)
    return Signature(hashlib.sha256((b"part" if of_part else b"skate") + text).hexdigest()[:32], text.decode(), of_part)


def merged(mounts: Iterable[Json]) -> list[Json]:
    """Give one mount a place, what stands earlier overriding what stands later, figure by figure."""
    places: dict[tuple[str, str], Json] = {}
    for mount in mounts:
        place = mount["position"], mount.get("side", "")
        known = places.get(place)
        places[place] = mount if known is None else _overriding(known, mount)
    return list(places.values())


def _overriding(nearer: Json, farther: Json) -> Json:
    both = {**farther, **nearer}
    for name in ("dimensions", "seen"):
        if name in nearer and name in farther:
            both[name] = {**_doubted(farther, name), **_doubted(nearer, name)}
    # Figures that relied on their mount's instrument keep it, also beside another mount's.
    if "dimensions" in both and both.get("instrument") != farther.get("instrument"):
        both["dimensions"] = {**_doubted(farther, "dimensions"), **_doubted(nearer, "dimensions")}
    return both


def _doubted(mount: Json, name: str) -> Json:
    """Give the figures of a mount, each with the instrument that it was taken with."""
    instrument = mount.get("instrument")
    if name != "dimensions" or instrument is None:
        return dict(mount.get(name, {}))
    return {key: _with_instrument(figure, instrument) for key, figure in mount.get(name, {}).items()}


def _with_instrument(figure: Any, instrument: str) -> Any:
    if not isinstance(figure, dict):
        return {"value": figure, "instrument": instrument}
    own = {"instrument", "plus_minus", "from"} & figure.keys()
    # A check bar belongs to its instrument, also beside a doubt of its own.
    return (
        figure
        if own - ({"plus_minus"} if "check_bar_mm" in figure else set())
        else {**figure, "instrument": instrument}
    )


def _told(mount: Json) -> Json:
    """Give a mount without what no rule reads."""
    return {name: value for name, value in mount.items() if name != "source"}


def claim_rows(signature_id: int, mounts: Sequence[Mount], of_part: bool) -> list[Json]:
    """Give what each pattern is claimed to follow, for the index."""
    return [
        {
            "signature_id": signature_id,
            "mount": number,
            "pattern": place,
            "position": mount.position,
            "standard": pattern.standard or "",
            "claimed_by": pattern.claimed_by or "",
            "of_part": of_part,
        }
        for number, mount in enumerate(mounts)
        for place, pattern in enumerate(mount.patterns)
    ]


def figure_rows(signature_id: int, mounts: Sequence[Mount]) -> list[Json]:
    """Give where each measured dimension may lie, for the index."""
    return [
        {
            "signature_id": signature_id,
            "mount": number,
            "position": mount.position,
            "dimension": span.dimension,
            "low": span.low_um,
            "high": span.high_um,
        }
        for number, mount in enumerate(mounts)
        for span in spans_of(mount)
    ]
