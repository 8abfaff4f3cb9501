"""Records written as CSV: whatever they say, they read the same."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.catalogue.csv_records import csv_records, written_csv
from mountwright.catalogue.rows import Row
from mountwright.mounts.kinds import kinds, spec_faults
from mountwright.mounts.specs import Spec, SpecType

Json = dict[str, Any]

#: Texts that a table may trip over, and any others.
TEXTS = st.sampled_from(
    [
        '6.5" wheel',
        "a,b;c",
        "two\nlines",
        "\r",
        "a\r\nb",
        " x ",
        "=1+1",
        "\ufeffx",
        "''",
        '"',
        "\u2028",
        "null",
        "[]",
        "-",
    ]
) | st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=8)
WORD = st.from_regex(r"[a-z][a-z0-9_]{0,8}", fullmatch=True)
KEY = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9._-]{0,9}", fullmatch=True)
NUMBER = st.integers(-(10**6), 10**6) | st.floats(-1e6, 1e6)
COUNT = st.integers(0, 10**12)
ADDRESS = st.from_regex(r"https?://[^\s]{1,12}", fullmatch=True)


def some(**fields: st.SearchStrategy[Any]) -> st.SearchStrategy[Json]:
    """Give objects with any of some fields."""
    return st.fixed_dictionaries({}, optional=fields)


def values(spec: Spec) -> st.SearchStrategy[Any]:
    """Give values that a spec takes."""
    numbers = st.floats(spec.low, spec.high) | st.integers(-int(-spec.low // 1), int(spec.high // 1))
    return {
        SpecType.NUMBER: numbers,
        SpecType.COUNT: st.integers(int(spec.low), max(int(spec.low), int(spec.high))),
        SpecType.TEXT: TEXTS,
        SpecType.CHOICE: st.sampled_from(spec.choices or ("",)),
        SpecType.FLAG: st.booleans(),
        SpecType.WORDS: st.lists(st.sampled_from(spec.choices or ("",)), min_size=1, max_size=3),
        SpecType.NUMBERS: st.lists(numbers, min_size=1, max_size=3),
        SpecType.TABLE: st.just([{"eu_size": 42.5}] if spec.name == "soles" else [{"along_mm": 80, "down_mm": 42.5}]),
    }[spec.type]


FIGURES = NUMBER | some(
    value=NUMBER,
    plus_minus=NUMBER,
    instrument=TEXTS,
    method=TEXTS,
    check_bar_mm=NUMBER,
    **{"from": NUMBER},
    to=NUMBER,
    step=NUMBER,
    lock=TEXTS,
)
MOUNTS = st.lists(
    st.builds(
        lambda position, rest: {"position": position, **rest},
        st.sampled_from(["axle", "frame", "hub", "specs"]),
        some(
            side=st.sampled_from(["bearing", "boot", "wheel's"]),
            standard=TEXTS,
            claimed_by=TEXTS,
            instrument=TEXTS,
            source=TEXTS,
            drawing_id=TEXTS,
            dimensions=st.dictionaries(WORD.map("{}_mm".format) | TEXTS, FIGURES, max_size=3),
            seen=st.dictionaries(WORD | TEXTS, TEXTS, max_size=2),
            damage=st.lists(WORD | TEXTS, max_size=2),
            holes=st.lists(some(name=TEXTS, along_mm=NUMBER), max_size=2),
            patterns=st.lists(some(name=TEXTS, standard=TEXTS), min_size=1, max_size=2),
        ),
    ),
    min_size=1,
    max_size=3,
    unique_by=lambda mount: (mount["position"], mount.get("side", "")),
)
SPAN = dict.fromkeys(("eu_size_from", "eu_size_to", "made_from", "made_to"), NUMBER)
FAMILIES = st.builds(
    lambda family, rest: {"kind": "family", "family": family, **rest}, KEY, some(parent=KEY, mounts=MOUNTS, **SPAN)
)


@st.composite
def articles(draw: st.DrawFn) -> Json:
    """Give an article whose specs are those of its kind."""
    kind = draw(st.sampled_from(list(kinds().values())))
    own = draw(some(**{name: values(spec) for name, spec in kind.specs.items()}))
    if kind.takes_free_names:
        own |= draw(st.dictionaries(WORD.map("{}_mm".format), st.floats(-1e5, 1e5), max_size=2))
    assert [] == list(spec_faults(kind, own))
    text = dict.fromkeys(("name", "maker", "version", "mark", "family", "gtin", "currency", "colour", "side"), TEXTS)
    count = dict.fromkeys(("price_minor", "trade_in_minor", "stock", "units_per_pack"), COUNT)
    content = st.fixed_dictionaries({"sku": KEY, "count": st.integers(1, 1000)})
    lists = {
        "links": st.lists(ADDRESS, min_size=1, max_size=2),
        "comes_with": st.lists(content, min_size=1, max_size=3),
        "mounts": MOUNTS,
    }
    rest = draw(some(**text, **count, **lists, **SPAN))
    return {"sku": draw(KEY), "kind": kind.name, **rest, **({"specs": own} if own else {})}


RECORDS = st.lists(articles() | FAMILIES, min_size=1, max_size=4)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give a file that each test writes anew."""
    return tmp_path_factory.mktemp("csv") / "parts.csv"


def rows(place: Path, content: str | bytes, *, decimal_comma: bool = False) -> list[Row]:
    """Give what a file with some content is read as."""
    place.write_bytes(content.encode() if isinstance(content, str) else content)
    return list(csv_records(place, decimal_comma=decimal_comma))


def written(records: list[Json], *, decimal_comma: bool = False) -> str:
    """Give records as CSV."""
    out = io.StringIO(newline="")
    assert len(records) == written_csv(lambda: records, out, decimal_comma=decimal_comma)
    return out.getvalue()


class TestWrittenCsv:
    """Records that are written ..."""

    @given(RECORDS, st.booleans())
    def test_read_the_same(self, place: Path, records: list[Json], decimal_comma: bool) -> None:
        """... read as the same records without a fault, whichever decimal mark they have."""
        found = rows(place, written(records, decimal_comma=decimal_comma), decimal_comma=decimal_comma)

        assert [(each, (), ()) for each in records] == [(row.record, row.faults, row.notes) for row in found]

    @given(RECORDS)
    def test_and_read_are_written_the_same(self, place: Path, records: list[Json]) -> None:
        """... are written with the same bytes again once they were read."""
        text = written(records)

        assert text == written([row.record or {} for row in rows(place, text)])

    def test_have_only_the_columns_that_are_used(self) -> None:
        """... have a column for what any of them says, in a fixed order, and empty cells elsewhere."""
        wheel = {
            "kind": "wheel",
            "sku": "b",
            "specs": {"width_mm": 24, "diameter_mm": 80.5},
            "mounts": [
                {"position": "hub", "side": "wheel", "dimensions": {"seat_mm": {"value": 22, "plus_minus": 0.1}}}
            ],
        }
        family = {"kind": "family", "family": "f", "made_from": 2021, "links": [], "specs": {}, "mounts": []}
        assert written([wheel, family]) == (
            "sku,kind,family,made_from,diameter_mm,width_mm,hub.seat_mm,hub.seat_mm.plus_minus,hub.side\n"
            "b,wheel,,,80.5,24,22,0.1,wheel\n"
            ",family,f,2021,,,,,\n"
        )

    def test_tell_two_mounts_at_a_position_apart_by_their_sides(self) -> None:
        """... have the side in the heading where a position has two mounts, and in a cell where it has one."""
        two = [{"position": "axle", "side": side, "standard": "axle-8"} for side in ("bearing", "frame")]

        assert "sku,axle/bearing.standard,axle/frame.standard" == written([{"sku": "a", "mounts": two}]).split()[0]
        assert "sku,axle.side,axle.standard" == written([{"sku": "a", "mounts": two[:1]}]).split()[0]

    @pytest.mark.parametrize(
        "mounts",
        [
            [{"position": "hub"}],
            [{"position": "hub", "standard": "hub-608", "dimensions": {}}],
            [{"position": "hub", "standard": "hub-608", "seen": {}}],
            [{"position": "hub", "seen": {"Core": "hard"}}],
            [{"position": "hub", "dimensions": {"seat_mm": {"value": 22}}}],
            [{"position": "hub", "dimensions": {"seat": 22}}],
            [{"position": "hub", "damage": ["worn out"]}],
            [{"position": "specs", "standard": "hub-608"}],
            [{"position": "hub", "side": "wheel"}, {"position": "axle", "side": "bearing"}],
        ],
        ids=str,
    )
    def test_have_mounts_in_one_cell_where_they_cannot_be_laid_flat(self, place: Path, mounts: list[Json]) -> None:
        """... keep mounts as JSON where columns would not give them back as they are."""
        text = written([{"sku": "a", "kind": "wheel", "mounts": mounts}])
        (row,) = rows(place, text)

        assert "sku,kind,mounts" == text.splitlines()[0]
        assert (mounts, "mounts") == ((row.record or {})["mounts"], row.column_of("/mounts/0/standard"))
