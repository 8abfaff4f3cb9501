"""The kinds of articles, their specs, and what is wrong with a value."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mountwright.errors import InvalidSpecError
from mountwright.mounts.kinds import Kind, has_unit, kinds, searched, spec_faults, specs, units
from mountwright.mounts.specs import Column, Spec, SpecType

#: The kinds that a shop's catalogue needs.
NEEDED = {
    *("skate", "frame", "wheel", "bearing", "axle", "spacer", "buckle", "strap", "cuff", "liner", "insole"),
    *("side_guard", "slider", "lace", "brake", "bolt", "adapter", "other"),
}

#: Fields of a record beside its specs.
FIELDS = {
    *("sku", "kind", "name", "maker", "version", "mark", "family", "parent", "eu_size_from", "eu_size_to"),
    *("made_from", "made_to", "gtin", "price_minor", "currency", "trade_in_minor", "stock", "units_per_pack"),
    *("sold_as", "side", "colour", "colour_srgb", "photo_url", "links", "comes_with", "specs", "mounts"),
}

NUMBERS = (SpecType.NUMBER, SpecType.NUMBERS)

FIGURES = [*specs().values(), *(column for spec in specs().values() for column in spec.columns.values())]

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda below: st.lists(below, max_size=4) | st.dictionaries(st.sampled_from(["eu_size", "x"]), below, max_size=3),
    max_leaves=8,
)

NAMES = st.sampled_from([*specs(), "diameter", "grip_mm", "x"]) | st.text(max_size=5)


def found(kind: str, **given: Any) -> list[tuple[Any, ...]]:
    """Give the place and the code of each fault in some specs."""
    return [(*fault.place, fault.code) for fault in spec_faults(kinds()[kind], given)]


def params(kind: str, **given: Any) -> dict[str, Any]:
    """Give the params of the only fault in some specs."""
    (fault,) = spec_faults(kinds()[kind], given)
    return dict(fault.params)


def plausible(spec: Spec) -> Any:
    """Give a value that stands at the upper end of what a spec allows."""
    return {
        SpecType.NUMBER: spec.high,
        SpecType.COUNT: int(spec.high),
        SpecType.TEXT: "x" * 120,
        SpecType.CHOICE: spec.choices[-1:] and spec.choices[-1],
        SpecType.FLAG: False,
        SpecType.WORDS: list(spec.choices),
        SpecType.NUMBERS: [spec.low, spec.high],
        SpecType.TABLE: [{name: plausible(column) for name, column in spec.columns.items()}],
    }[spec.type]


class TestKinds:
    """The kinds ..."""

    def test_are_those_of_a_shop(self) -> None:
        """... are all that a shop's catalogue needs."""
        assert set(kinds()) == NEEDED

    def test_know_their_own_names(self) -> None:
        """... and their specs stand under their own names."""
        named = [(name, kind.name) for name, kind in kinds().items()]
        named += [(name, spec.name) for kind in kinds().values() for name, spec in kind.specs.items()]

        assert [] == [pair for pair in named if pair[0] != pair[1]]

    def test_leave_no_spec_over(self) -> None:
        """... use every spec of the file."""
        assert set(specs()) == {name for kind in kinds().values() for name in kind.specs}

    def test_have_no_spec_that_is_called_like_a_field(self) -> None:
        """... share no name with the fields of a record, so that one row can hold both."""
        assert set() == set(specs()) & FIELDS

    def test_are_searched_by_few_figures(self) -> None:
        """... have each a few figures at most by which parts are looked for."""
        assert {"diameter_mm", "wheel_count", "length_mm", "thickness_mm"} < searched()
        assert 4 >= max(len(searched() & kind.specs.keys()) for kind in kinds().values())

    def test_narrow_bounds_and_never_widen_them(self) -> None:
        """... keep within the bounds that hold for all of them."""
        both = [(specs()[name], spec) for kind in kinds().values() for name, spec in kind.specs.items()]

        assert all(wide.low <= narrow.low <= narrow.high <= wide.high for wide, narrow in both)

    def test_tell_one_diameter_from_another(self) -> None:
        """... have bounds of their own: 80 mm is a wheel's diameter and no axle's."""
        assert ([], [("diameter_mm", "request.bounds")]) == (
            found("wheel", diameter_mm=80),
            found("axle", diameter_mm=80),
        )

    def test_cannot_be_changed(self) -> None:
        """... are only read."""
        with pytest.raises(TypeError):
            kinds()["wheel"] = kinds()["axle"]  # type: ignore[index]  # it is the point

    def test_refuse_a_spec_under_another_name(self) -> None:
        """... hold each spec under its own name, or are refused."""
        with pytest.raises(InvalidSpecError, match=r"wheel\.width_mm: found diameter_mm, expected"):
            Kind("wheel", {"width_mm": specs()["diameter_mm"]})


@pytest.mark.parametrize("figure", FIGURES, ids=lambda figure: figure.name)
class TestFigure:
    """Every figure ..."""

    def test_has_its_unit_in_its_name(self, figure: Spec) -> None:
        """... that is measured ends in a unit; a size is its own."""
        assert figure.type not in NUMBERS or has_unit(figure.name) or figure.name == "eu_size"

    def test_says_what_it_is(self, figure: Spec) -> None:
        """... says in a sentence what it is or how it is taken."""
        assert figure.measure.endswith(".")
        assert figure.standing in ("estimate", "common practice")


@pytest.mark.parametrize("kind", kinds().values(), ids=lambda kind: kind.name)
def test_a_kind_takes_plausible_values_of_all_its_specs(kind: Kind) -> None:
    """Values on the bounds are taken, all specs of a kind at once."""
    assert [] == list(spec_faults(kind, {name: plausible(spec) for name, spec in kind.specs.items()}))


class TestSpecFaults:
    """A fault ..."""

    @pytest.mark.parametrize(
        ("kind", "given", "expected"),
        [
            ("wheel", {"diameter": 80}, [("diameter", "request.unit_missing")]),
            ("wheel", {"diametr_mm": 80}, [("diametr_mm", "request.unknown_spec_near")]),
            ("wheel", {"colour": "red"}, [("colour", "request.unknown_spec")]),
            ("wheel", {"takes_brake": True}, [("takes_brake", "request.unknown_spec")]),
            ("wheel", {"": 1}, [("", "request.unknown_spec")]),
            ("wheel", {"diameter_mm": "80"}, [("diameter_mm", "request.not_number")]),
            ("wheel", {"diameter_mm": True}, [("diameter_mm", "request.not_number")]),
            ("wheel", {"diameter_mm": None}, [("diameter_mm", "request.not_number")]),
            ("wheel", {"diameter_mm": 39.9}, [("diameter_mm", "request.bounds")]),
            ("wheel", {"diameter_mm": float("nan")}, [("diameter_mm", "request.bounds")]),
            ("wheel", {"hard_core": 1}, [("hard_core", "request.not_flag")]),
            ("frame", {"wheel_count": 3.5}, [("wheel_count", "request.not_whole")]),
            ("frame", {"wheel_count": 0}, [("wheel_count", "request.bounds")]),
            ("bearing", {"seal": "shut"}, [("seal", "request.choice")]),
            ("bearing", {"seal": ["open"]}, [("seal", "request.choice")]),
            ("axle", {"thread": 8}, [("thread", "request.not_text")]),
            ("axle", {"thread": ""}, [("thread", "request.size")]),
            ("axle", {"thread": "x" * 121}, [("thread", "request.size")]),
            ("skate", {"fastening": "laces"}, [("fastening", "request.not_list")]),
            ("skate", {"fastening": ["laces", "glue"]}, [("fastening", 1, "request.choice")]),
            ("skate", {"soles": []}, [("soles", "request.size")]),
            ("skate", {"soles": [42]}, [("soles", 0, "request.not_object")]),
            ("skate", {"soles": [{"eu_size": 42}, {}]}, [("soles", 1, "eu_size", "request.required")]),
            ("skate", {"soles": [{"eu_size": 42, "size": 1}]}, [("soles", 0, "size", "request.unknown_field")]),
            ("skate", {"soles": [{"eu_size": 99}]}, [("soles", 0, "eu_size", "request.bounds")]),
        ],
    )
    def test_is_told_with_its_place(self, kind: str, given: dict[str, Any], expected: list[tuple[Any, ...]]) -> None:
        """... has a code and the place where the value stands."""
        assert expected == found(kind, **given)

    def test_is_not_the_only_one(self) -> None:
        """... does not hide another: all of them are told at once."""
        row = {"eu_size": "42", "outline_along_mm": [0, "a", 900]}
        expected = [
            ("thumb_grade", "request.bounds"),
            ("soles", 0, "eu_size", "request.not_number"),
            ("soles", 0, "outline_along_mm", 1, "request.not_number"),
            ("soles", 0, "outline_along_mm", 2, "request.bounds"),
        ]
        assert expected == found("skate", thumb_grade=6, soles=[row])

    def test_is_lists_that_belong_together_and_differ(self) -> None:
        """... is an outline with a place and no height to it."""
        row = {"eu_size": 42, "outline_along_mm": [-100, 0, 100], "outline_down_mm": [0, 5]}

        assert {"found": 2, "expected": 3, "other": "outline_along_mm"} == params("skate", soles=[row])

    def test_names_what_was_meant(self) -> None:
        """... of a name leads to the name with its unit, or to the nearest."""
        assert "diameter_mm" == params("wheel", diameter=80)["near"]
        assert "hardness_shore_a" == params("wheel", hardnes_shore_a=85)["near"]

    def test_names_both_bounds(self) -> None:
        """... of a number says what was found and what is plausible."""
        assert {"found": "161", "low": 40, "high": 160} == params("wheel", diameter_mm=161)

    def test_repeats_only_the_beginning_of_what_is_long(self) -> None:
        """... repeats no more of a value than a sentence can bear."""
        assert 61 == len(params("wheel", diameter_mm="x" * 10_000)["found"])

    @given(st.sampled_from(list(kinds().values())), st.dictionaries(NAMES, VALUES, max_size=4))
    def test_is_all_that_any_value_leads_to(self, kind: Kind, given: dict[str, Any]) -> None:
        """... is all that any JSON leads to, and none lies within the place of another."""
        places = [fault.place for fault in spec_faults(kind, given)]

        assert [] == [one for one in places for other in places if one is not other and one == other[: len(one)]]


class TestOtherKind:
    """The open kind ..."""

    @pytest.mark.parametrize("unit", units())
    def test_takes_any_number_with_a_unit(self, unit: str) -> None:
        """... takes a number by any name that ends in a unit."""
        assert [] == found("other", **{f"grip_{unit}": 12.5})

    @pytest.mark.parametrize("name", ["grip", "grip_cm", "_mm", "Grip_mm", "grip mm", "x" * 60 + "_mm"])
    def test_takes_no_name_without_one(self, name: str) -> None:
        """... takes no name without a unit, in capitals or without end."""
        assert [(name, "request.no_unit")] == found("other", **{name: 12.5})

    @pytest.mark.parametrize(("value", "code"), [("12", "request.not_number"), (1e6, "request.bounds")])
    def test_takes_nothing_but_sane_numbers(self, value: Any, code: str) -> None:
        """... takes no text and no number beyond all skates."""
        assert [("grip_mm", code)] == found("other", grip_mm=value)


class TestSpec:
    """A spec ..."""

    @pytest.mark.parametrize(
        "given",
        [
            {"type": SpecType.NUMBER, "low": 2, "high": 1},
            {"type": SpecType.NUMBER},
            {"type": SpecType.TEXT, "low": 1, "high": 2},
            {"type": SpecType.CHOICE},
            {"type": SpecType.TEXT, "choices": ("a",)},
            {"type": SpecType.TABLE},
            {"type": SpecType.FLAG, "standing": "certain"},
            {"type": SpecType.TEXT, "same_length": ("a",)},
            {"type": SpecType.TEXT, "searched": True},
            {"type": SpecType.NUMBERS, "low": 1, "high": 2, "searched": True},
        ],
        ids=str,
    )
    def test_that_contradicts_itself_is_refused(self, given: dict[str, Any]) -> None:
        """... without what its type needs, or with what it has no use for, is refused by name."""
        with pytest.raises(InvalidSpecError, match=r"^width_mm: found .*, expected "):
            Spec(name="width_mm", measure="Across.", **given)

    def test_of_text_is_no_column(self) -> None:
        """... of text is refused as a column of a table."""
        with pytest.raises(InvalidSpecError, match="a column of numbers"):
            Column(name="name", type=SpecType.TEXT, measure="A name.")
