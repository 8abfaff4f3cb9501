"""A standards file with faults: each is named with its place, and all are found in one pass."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from mountwright.errors import StandardsFileError
from mountwright.mounts.kinds import kinds
from mountwright.mounts.toml_file import read_standards

Writing = Callable[..., str]
Faults = Callable[..., list[str]]


def lent_by(loan: str) -> tuple[str, str]:
    """Give the change that says whose figure the clamp's width is."""
    measure = 'measure = "Across the clamp."\n'
    return measure, f"{measure}lent_by = {loan}\n"


#: What is changed in the good file, and the one fault that this makes.
SLIPS = {
    "missing unit": (
        ("[looks.clamp]", '[dimensions.weight]\nplausible = [1, 2]\nmeasure = "A scale."\n\n[looks.clamp]'),
        "dimensions.weight: unit missing: the name must end in _mm or _deg",
    ),
    "unknown unit": (
        ("[looks.clamp]", '[dimensions.width_in]\nplausible = [1, 2]\nmeasure = "A rule."\n\n[looks.clamp]'),
        "dimensions.width_in: unit missing: the name must end in _mm or _deg",
    ),
    "plausible range the wrong way round": (
        ("[-45, 45]", "[45, -45]"),
        "dimensions.tilt_deg: limits the wrong way round: found (45, -45), expected limits with the lower one first",
    ),
    "spread the wrong way round": (
        ("met = [-0.1, 0.9]", "met = [0.9, -0.1]"),
        "standards[0].dimensions.width_mm: limits the wrong way round: "
        "found (0.9, -0.1), expected limits with the lower one first",
    ),
    "half-width below nothing": (
        ("conforming = 0.3", "conforming = -0.3"),
        "standards[0].dimensions.width_mm: conforming: found -0.3, expected a number from 0 to 1e+09",
    ),
    "height the wrong way round": (
        ("added_height_mm = [1, 2]", "added_height_mm = [2, 1]"),
        "conversions[0]: limits the wrong way round: found (2, 1), expected limits with the lower one first",
    ),
    "misspelt field": (
        ("interchange = true", "interchanges = true"),
        "standards[0]: interchanges: unknown field, expected one of also_known_as, cautions, dimensions, features, "
        "interchange, key, mark, source, title, without",
    ),
    "misspelt field of the file": (
        ("[messages]", "[message]"),
        "file: message: unknown field, expected one of bench_jobs, conversions, dimensions, family, looks, messages, "
        "positions, requires_api, rules, sides, standards, translations",
    ),
    "text instead of a number": (
        ("bolt_mm = 5.0", 'bolt_mm = "5.0"'),
        "rules[3]: bolt_mm: found '5.0', expected a number",
    ),
    "unknown kind of rule": (
        ('kind = "alike"', 'kind = "alkie"'),
        "rules[2]: kind: found 'alkie', expected one of alike, bolts_pass, plane_match, stack, within",
    ),
    "number instead of a text": (
        ('mark = "A narrow clamp."', "mark = 22"),
        "standards[0]: mark: found 22, expected a text",
    ),
    "text instead of a flag": (
        ("reversible = true", 'reversible = "yes"'),
        "conversions[0]: reversible: found 'yes', expected true or false",
    ),
    "text instead of a list": (
        ('positions = ["handlebar"]', 'positions = "handlebar"'),
        "file: positions: found 'handlebar', expected a list of texts",
    ),
    "one number instead of two": (
        ("[-45, 45]", "[45]"),
        "dimensions.tilt_deg: plausible: found [45], expected two numbers",
    ),
    "message that is no text": (
        ('loud = "It rings."', "loud = 1"),
        "file: messages.loud: found 1, expected a text",
    ),
    "version that is no text": (
        ('requires_api = "1.0"', "requires_api = 1.0"),
        "file: requires_api: found 1.0, expected a text",
    ),
    "unknown kind of conversion": (
        ('kind = "adapter"', 'kind = "magic"'),
        "conversions[0]: kind: found 'magic', expected 'adapter' or 'bench'",
    ),
    "nominal outside what is plausible": (
        ("nominal = 22.2", "nominal = 222"),
        "standards[0].dimensions.width_mm: nominal 222.0 lies outside its own plausible range",
    ),
    "dimension that nobody declared": (
        ("[standards.dimensions.width_mm]", "[standards.dimensions.wdith_mm]"),
        "standards[0].dimensions.wdith_mm: dimension not declared: expected one of tilt_deg, width_mm",
    ),
    "key that is none": (
        ('key = "bell-22"', 'key = "Bell 22"'),
        "standards[0]: key: found 'Bell 22', expected lower-case words and numbers joined by hyphens",
    ),
    "missing title": (
        ('title = "A bell for a bar of 22.2 mm"\n', ""),
        "standards[0]: title: missing",
    ),
    "missing spread": (
        ("conforming = 0.3\n", ""),
        "standards[0].dimensions.width_mm: conforming: missing",
    ),
    "missing range": (
        ("plausible = [10, 60]\n", ""),
        "dimensions.width_mm: plausible: missing",
    ),
    "look that reads what its side has not": (
        ('sides = ["bell"]\nanswers.wide = { dimension = "width_mm"', 'answers.wide = { dimension = "tilt_deg"'),
        "looks.clamp.answers.wide: dimension: 'tilt_deg' is not measured on the bar",
    ),
    "look without a dimension": (
        ('{ dimension = "width_mm", value', "{ value"),
        "looks.clamp.answers.wide: dimension: missing",
    ),
    "dimension of no side": (
        ('sides = ["bell"]\nplausible', "sides = []\nplausible"),
        "dimensions.tilt_deg: sides: found none, expected some of bar, bell",
    ),
    "missing sides": (
        ('sides = ["bar", "bell"]\n', ""),
        "file: sides: missing",
    ),
    "feature that is no text": (
        ('features = { hand = "left" }', "features = { hand = 1 }"),
        "standards[0]: features.hand: found 1, expected a text",
    ),
    "yes in place of a spread": (
        ("conforming = 0.3", "conforming = true"),
        "standards[0].dimensions.width_mm: conforming: found True, expected a number",
    ),
    "cautions without a single sentence": (
        ('[messages]\n"goes_round.fail" = "The clamp is out by {excess} mm."\nloud = "It rings."\n', ""),
        "standards[0]: cautions: 'loud' has no sentence in [messages]",
    ),
    "missing kind of a conversion": (
        ('kind = "adapter"\n', ""),
        "conversions[0]: kind: missing",
    ),
    "conversion that resolves an empty code": (
        ('resolves = ["goes_round"]', 'resolves = [""]'),
        "conversions[0]: resolves: found [''], expected a list of texts",
    ),
    "caution of a conversion without a sentence": (
        ('resolves = ["goes_round"]', 'resolves = ["goes_round"]\ncautions = ["quiet"]'),
        "conversions[0]: cautions: 'quiet' has no sentence in [messages]",
    ),
    "reach of nothing": (
        ("plausible = [10, 60]\n", "plausible = [10, 60]\nreach_mm = 0\n"),
        "dimensions.width_mm: reach_mm: found 0, expected a number from 0.001 to 1e+09",
    ),
    "reach below nothing": (
        ("plausible = [10, 60]\n", "plausible = [10, 60]\nreach_mm = -3\n"),
        "dimensions.width_mm: reach_mm: found -3, expected a number from 0.001 to 1e+09",
    ),
    "reach that is no number": (
        ("plausible = [10, 60]\n", 'plausible = [10, 60]\nreach_mm = "3"\n'),
        "dimensions.width_mm: reach_mm: found '3', expected a number",
    ),
    "reach in another unit": (
        ("plausible = [10, 60]\n", "plausible = [10, 60]\nreach_deg = 3\n"),
        "dimensions.width_mm: reach_deg: expected reach_mm, in the unit of the dimension's name",
    ),
    "reach without a unit": (
        ("plausible = [10, 60]\n", "plausible = [10, 60]\nreach = 3\n"),
        "dimensions.width_mm: reach: unknown field, expected one of lent_by, measure, plausible, reach_deg, "
        "reach_mm, sides",
    ),
    "reach of what one side has": (
        ("plausible = [-45, 45]\n", "plausible = [-45, 45]\nreach_deg = 3\n"),
        "dimensions.tilt_deg: reach_deg: found with one side, expected a dimension that two sides have",
    ),
    "loan that is no table": (
        lent_by('"bolt"'),
        "dimensions.width_mm: lent_by: found 'bolt', expected a table",
    ),
    "loan of nobody": (
        lent_by('{ spec = "diameter_mm" }'),
        "dimensions.width_mm.lent_by: kind: missing",
    ),
    "loan of an unknown kind": (
        lent_by('{ kind = "bolz", spec = "diameter_mm" }'),
        f"dimensions.width_mm.lent_by: kind: found 'bolz', expected one of {', '.join(kinds())}",
    ),
    "loan of nothing": (
        lent_by('{ kind = "bolt" }'),
        "dimensions.width_mm.lent_by: spec: missing",
    ),
    "loan of another kind's figure": (
        lent_by('{ kind = "bolt", spec = "length_mm" }'),
        "dimensions.width_mm.lent_by: spec: found 'length_mm', expected one of diameter_mm, under_head_length_mm",
    ),
    "loan of what is no number": (
        lent_by('{ kind = "bolt", spec = "thread" }'),
        "dimensions.width_mm.lent_by: spec: found 'thread', expected one of diameter_mm, under_head_length_mm",
    ),
    "loan in another unit": (
        lent_by('{ kind = "bolt", spec = "mass_g" }'),
        "dimensions.width_mm.lent_by: spec: found 'mass_g', expected one of diameter_mm, under_head_length_mm",
    ),
    "loan in a unit that no figure of the kind has": (
        ("plausible = [-45, 45]\n", 'plausible = [-45, 45]\nlent_by = { kind = "bolt", spec = "diameter_mm" }\n'),
        "dimensions.tilt_deg.lent_by: spec: found 'diameter_mm', expected one of none",
    ),
    "misspelt field of a loan": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", were = { diameter_mm = [5, 6] } }'),
        "dimensions.width_mm.lent_by: were: unknown field, expected one of kind, spec, where",
    ),
    "loan where another kind's figure lies": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", where = { bore_mm = [5, 6], mass_g = [1, 2] } }'),
        "dimensions.width_mm.lent_by: where: found 'bore_mm', expected some of mass_g, diameter_mm, "
        "under_head_length_mm, torque_n_m",
    ),
    "loan where limits stand the wrong way round": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", where = { diameter_mm = [6.5, 5.5] } }'),
        "dimensions.width_mm.lent_by.where: limits the wrong way round: found (6.5, 5.5), "
        "expected limits with the lower one first",
    ),
    "loan where one limit stands": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", where = { diameter_mm = [6] } }'),
        "dimensions.width_mm.lent_by.where: diameter_mm: found [6], expected two numbers",
    ),
    "loan where no table stands": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", where = 6 }'),
        "dimensions.width_mm.lent_by: where: found 6, expected a table",
    ),
    "loan that deviates by less than nothing": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", conforming = -0.1 }'),
        "dimensions.width_mm.lent_by: conforming: found -0.1, expected a number from 0 to 1e+09",
    ),
    "loan that deviates the wrong way round": (
        lent_by('{ kind = "bolt", spec = "diameter_mm", conforming = [0.1, -0.1] }'),
        "dimensions.width_mm.lent_by: limits the wrong way round: found (0.1, -0.1), "
        "expected limits with the lower one first",
    ),
    "drawn as no shape": (
        ('measure = "Across the clamp."\n', 'measure = "Across the clamp."\ndrawn_as = "star"\n'),
        "dimensions.width_mm: drawn_as: found 'star', expected one of holes, circle, comb",
    ),
    "drawn as no text": (
        ('measure = "Across the clamp."\n', 'measure = "Across the clamp."\ndrawn_as = 3\n'),
        "dimensions.width_mm: drawn_as: found 3, expected a text",
    ),
    "an angle that is drawn": (
        ("plausible = [-45, 45]\n", 'plausible = [-45, 45]\ndrawn_as = "circle"\n'),
        "dimensions.tilt_deg: drawn_as: found with an angle, expected a length in mm",
    ),
    "sentence without a word": (
        ('loud = "It rings."', 'loud = ""'),
        "file: messages.loud: found '', expected a text",
    ),
}


@pytest.mark.parametrize(("change", "fault"), SLIPS.values(), ids=SLIPS.keys())
def test_a_slip_is_named_with_its_place_and_nothing_else_is(
    faults_of: Faults, change: tuple[str, str], fault: str
) -> None:
    """A single slip gives a single fault that says where it is, what was found and what was expected."""
    assert [fault] == faults_of(change)


#: Slips that cannot be told from a line alone; the place has to be named, the words are free.
PLACES = {
    "infinite range": (("[10, 60]", "[10, inf]"), "dimensions.width_mm"),
    "range that is no number": (("[10, 60]", "[nan, 60]"), "dimensions.width_mm"),
    "range beyond all floats": (("[10, 60]", "[10, 1e308]"), "dimensions.width_mm"),
    "infinite nominal": (("nominal = 22.2", "nominal = inf"), "standards[0].dimensions.width_mm"),
    "doubt of a look below nothing": (("plus_minus = 3", "plus_minus = -3"), "looks.clamp.answers.wide"),
    "look at a dimension that nobody declared": (
        ('dimension = "width_mm"', 'dimension = "wdith_mm"'),
        "looks.clamp.answers.wide",
    ),
    "look at a side that is none": (
        ('sides = ["bell"]\nanswers', 'sides = ["ball"]\nanswers'),
        "looks.clamp",
    ),
    "dimension of a side that is none": (
        ('sides = ["bell"]\nplausible', 'sides = ["ball"]\nplausible'),
        "dimensions.tilt_deg",
    ),
    "standard without a dimension that nobody declared": (
        ('without = ["tilt_deg"]', 'without = ["titl_deg"]'),
        "standards[0]",
    ),
    "one side only": (('sides = ["bar", "bell"]', 'sides = ["bell", "bell"]'), "file"),
    "no position": (('positions = ["handlebar"]', "positions = []"), "file"),
    "family with a dot": (('family = "bell_clamp"', 'family = "bell.clamp"'), "file"),
    "caution without a sentence": (('loud = "It rings."', 'quiet = "It rings."'), "standards[0]"),
}


@pytest.mark.parametrize(("change", "place"), PLACES.values(), ids=PLACES.keys())
def test_a_figure_or_a_name_that_cannot_be_is_found_at_load(
    faults_of: Faults, change: tuple[str, str], place: str
) -> None:
    """A figure or a name that would fail or do nothing later is named with its place when the file is read."""
    assert place in {fault.partition(": ")[0] for fault in faults_of(change)}


class TestRepeatedKey:
    """A key that stands twice ..."""

    def test_is_counted(self, faults_of: Faults, standards_text: Writing) -> None:
        """... in one file is named with how often it stands."""
        again = standards_text().partition("[[standards]]")[2].partition("[[conversions]]")[0]

        assert ["standards: key 'bell-22' stands 2 times"] == faults_of(
            ("[messages]", f"[[standards]]{again}[messages]")
        )

    def test_is_counted_for_conversions_too(self, faults_of: Faults, standards_text: Writing) -> None:
        """... among the conversions is named as well."""
        again = standards_text().partition("[[conversions]]")[2].partition("[messages]")[0]
        faults = faults_of(("[messages]", f"[[conversions]]{again}[messages]"))

        assert ["conversions: key 'bell-22-shim' stands 2 times"] == faults

    def test_is_no_toml_within_one_table(self, faults_of: Faults) -> None:
        """... in one table is refused as no TOML, with its line."""
        (fault,) = faults_of(("interchange = true", "interchange = true\ninterchange = false"))

        assert fault.startswith("not TOML: ")
        assert "line" in fault


def test_a_conversion_may_lead_from_and_to_standards_of_another_file(standards_text: Writing) -> None:
    """The ends of a conversion may live in another plugin, so that none of them has to be in the file."""
    text = standards_text().replace('from = "bell-22"', 'from = "bell-19"')

    assert read_standards(text, "bells.toml").conversions[0].from_standard == "bell-19"


class TestVersion:
    """A file for another version of the plugin interface ..."""

    def test_that_is_no_text_is_named_once(self, faults_of: Faults) -> None:
        """... is refused as no text, and not as another version as well."""
        assert ["file: requires_api: found 1, expected a text"] == faults_of(('"1.0"', "1"))

    @pytest.mark.parametrize("wanted", ["2.0", "0.9", "10.0", "next"])
    def test_is_refused_by_its_major_version(self, faults_of: Faults, wanted: str) -> None:
        """... is refused whole: nothing else in it can be judged."""
        faults = faults_of(('requires_api = "1.0"', f'requires_api = "{wanted}"'), ("nominal = 22.2", "nominal = 222"))

        assert [f"requires_api: found {wanted!r}, expected '1.0' or its major version"] == faults

    def test_has_to_say_which(self, faults_of: Faults) -> None:
        """... or for none at all is refused, and the field is named."""
        faults = faults_of(('requires_api = "1.0"\n', ""))

        assert any("requires_api" in fault for fault in faults)


@pytest.mark.parametrize("text", ["positions = [", "= 1", "a = 1\na = 2"])
def test_what_is_no_toml_is_refused_with_the_place_where_it_broke_off(text: str) -> None:
    """A text that is no TOML is refused with the parser's line, as a fault like any other."""
    with pytest.raises(StandardsFileError, match=r"bells\.toml: not TOML: .*(line \d+|end of document)") as caught:
        read_standards(text, "bells.toml")

    assert len(caught.value.faults) == 1


@pytest.mark.parametrize("text", ["a = 1" + 5000 * "0", "a = " + 20_000 * "["], ids=["long", "deep"])
def test_what_the_parser_gives_up_on_is_a_fault_like_any_other(text: str) -> None:
    """A number of thousands of digits, or lists in lists without end, name the file and end no service."""
    with pytest.raises(StandardsFileError, match=r"bells\.toml: not TOML: "):
        read_standards(text, "bells.toml")


def test_an_empty_file_is_refused() -> None:
    """A file with nothing in it is refused."""
    with pytest.raises(StandardsFileError, match="requires_api"):
        read_standards("", "bells.toml")


def test_all_faults_are_found_in_one_pass(faults_of: Faults) -> None:
    """Six slips in one file are named all six, in the order of the file's parts."""
    slips = [
        SLIPS[name]
        for name in (
            "plausible range the wrong way round",
            "unknown kind of rule",
            "text instead of a number",
            "misspelt field",
            "unknown kind of conversion",
            "misspelt field of the file",
        )
    ]

    assert sorted(fault for _, fault in slips) == sorted(faults_of(*(change for change, _ in slips)))


def test_the_error_tells_file_and_faults(standards_text: Writing) -> None:
    """The error names the file once and joins its faults."""
    text = standards_text().replace("bolt_mm = 5.0", 'bolt_mm = "5.0"').replace("reversible = true", "reversible = 1")
    with pytest.raises(StandardsFileError) as caught:
        read_standards(text, "bells.toml")

    assert caught.value.file == "bells.toml"
    assert str(caught.value) == (
        "bells.toml: rules[3]: bolt_mm: found '5.0', expected a number; "
        "conversions[0]: reversible: found 1, expected true or false"
    )


def test_a_job_of_the_bench_that_is_no_table_is_named_by_its_place(faults_of: Faults) -> None:
    """Whether a job can be done the bench says; that it is a table, the file."""
    assert ["file: bench_jobs.oil_bell: found 3, expected a table"] == faults_of(more="[bench_jobs]\noil_bell = 3\n")
    assert ["file: bench_jobs: found [], expected a table of tables"] == faults_of(
        ('family = "bell_clamp"', 'family = "bell_clamp"\nbench_jobs = []')
    )
