"""From a signature of the catalogue to the skate or part that it stands for."""

from __future__ import annotations

from dataclasses import replace

from mountwright.catalogue.documents import Json
from mountwright.catalogue.signatures import Signature
from mountwright.mounts.mount import Mount, Part
from mountwright.mounts.registry import Registry
from mountwright.mounts.sides import side_of
from mountwright.web.reading import mount_read


def part_signed(signature: Signature, registry: Registry) -> Part:
    """Give the skate or part, each mount's side settled by the kind of what it belongs to.

    Of two mounts on one side of a position, the nearer one counts: a skate's own before those of the
    parts it comes with.
    """
    places: dict[tuple[str, str], Mount] = {}
    for kind, data in signature.owned:
        mount = _read(data, kind, registry)
        places.setdefault((mount.position, mount.side), mount)
    kind = next((kind for kind, _ in signature.owned), "") if signature.of_part else ""
    return Part(kind, tuple(places.values()))


def _read(data: Json, kind: str, registry: Registry) -> Mount:
    mount = mount_read(data, registry, kept=True)[0]
    pattern = mount.patterns[0]
    side = side_of(mount.position, mount.side, pattern.standard, pattern.figures, registry, kind)
    return replace(mount, side=side)
