"""Plugins and standards files: the good ones load, whatever the others do."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import EntryPoint
from pathlib import Path

import pytest

from mountwright.errors import PluginError, StandardsFileError
from mountwright.mounts.discovery import GROUP, HOME, discovered, standards_in
from mountwright.mounts.registry import Registry

Writing = Callable[..., str]
Plugin = Callable[..., EntryPoint]

#: The module of a plugin as its author would write it; the standards lie beside it.
GOOD = """\
from mountwright.plugin import hookimpl, standards_of

@hookimpl
def mountwright_standards():
    return standards_of(__name__)
"""

#: Plugins that cannot be taken in, each with words of the reason.
BROKEN = {
    "import that fails": ("import no_such_module_anywhere", "ModuleNotFoundError: No module named 'no_such_module"),
    "syntax error": ("def mountwright_standards(:", "SyntaxError: "),
    "exit at import": ("raise SystemExit(3)", "SystemExit: 3"),
    "misspelt hook": (
        GOOD.replace("mountwright_standards", "mountwright_standard"),
        "unknown hook 'mountwright_standard'",
    ),
    "hook with an argument": (GOOD.replace("standards()", "standards(registry)"), "registry"),
    "no hook": ("", "gave None, expected a StandardSet"),
    "hook without its mark": (GOOD.replace("@hookimpl\n", ""), "gave None, expected a StandardSet"),
    "wrong return type": (GOOD.replace("standards_of(__name__)", "[standards_of(__name__)]"), "expected a StandardSet"),
    "text in place of a set": (GOOD.replace("standards_of(__name__)", "(1, 2)"), "gave 1, expected a StandardSet"),
    "hook that raises": (GOOD.replace("standards_of(__name__)", "1 / 0"), "ZeroDivisionError: division by zero"),
    "file that is not there": (GOOD.replace("(__name__)", "(__name__, file='no.toml')"), "FileNotFoundError: "),
}

_numbers = itertools.count()


@dataclass(frozen=True)
class Distribution:
    """What an entry point knows of the package that it came with."""

    name: str
    version: str = "1.0"


@pytest.fixture
def plugin(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, standards_text: Writing) -> Plugin:
    """Give a way to install a plugin: a package on the path, and the entry point to it."""
    monkeypatch.syspath_prepend(tmp_path)

    def installed(
        name: str, source: str = GOOD, distribution: str | None = "stranger", text: str | None = None
    ) -> EntryPoint:
        package = tmp_path / f"{name}_{next(_numbers)}"
        package.mkdir()
        (package / "__init__.py").write_text(source, encoding="utf-8")
        own = standards_text(name.replace("_", "-"), name) if text is None else text
        (package / "standards.toml").write_text(own, encoding="utf-8")
        point = EntryPoint(name, package.name, GROUP)
        return point if distribution is None else point._for(Distribution(distribution))  # type: ignore[attr-defined]

    return installed


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Give a folder for standards files."""
    made = tmp_path / "standards"
    made.mkdir()
    return made


def reasons(registry: Registry) -> dict[str, str]:
    """Give why each plugin was left out."""
    return {failure.plugin: failure.reason for failure in registry.failures}


class TestBrokenPlugin:
    """A stranger's plugin that is broken ..."""

    @pytest.mark.parametrize(("source", "reason"), BROKEN.values(), ids=BROKEN.keys())
    def test_is_left_out_and_named_while_the_others_load(self, plugin: Plugin, source: str, reason: str) -> None:
        """... is left out with its name and the reason, and those before and after it load."""
        registry = discovered(found=[plugin("alpha"), plugin("broken", source), plugin("zeta")])

        assert ["alpha", "zeta"] == list(registry.standards)
        assert ["broken"] == list(reasons(registry))
        assert reason in reasons(registry)["broken"]

    def test_that_points_to_nothing_is_left_out(self, plugin: Plugin) -> None:
        """... that names a module which is not there is left out."""
        lost = EntryPoint("lost", "no_such_module_anywhere", GROUP)._for(Distribution("stranger"))  # type: ignore[attr-defined]
        registry = discovered(found=[lost, plugin("alpha")])

        assert ["alpha"] == list(registry.standards)
        assert "No module named 'no_such_module_anywhere'" in reasons(registry)["lost"]

    @pytest.mark.parametrize("change", ["name='bells.loud'", "positions=None"])
    def test_through_what_it_made_of_its_family_is_left_out(self, plugin: Plugin, change: str) -> None:
        """... through a family that it changed in Python, past all checks of its file, is left out like any other."""
        source = GOOD.replace("return standards_of(__name__)", "found = standards_of(__name__)") + (
            f"    from dataclasses import replace\n    family = replace(found.family, {change})\n"
            "    standards = tuple(replace(each, family=family) for each in found.standards)\n"
            "    return replace(found, family=family, standards=standards)\n"
        )
        registry = discovered(found=[plugin("alpha"), plugin("broken", source), plugin("zeta")])

        assert (["alpha", "zeta"], ["broken"]) == (list(registry.standards), list(reasons(registry)))

    def test_with_a_file_in_another_encoding_names_that_file(self, plugin: Plugin, tmp_path: Path) -> None:
        """... through a file that is not UTF-8 names the file and the place."""
        point = plugin("bells")
        (tmp_path / point.value / "standards.toml").write_bytes("title = 'Glöckchen'".encode("latin-1"))
        reason = reasons(discovered(found=[point]))["bells"]

        assert f"{point.value}/standards.toml: not UTF-8: " in reason
        assert reason.endswith("at byte 11")

    def test_is_named_with_the_distribution_that_brought_it(self, plugin: Plugin) -> None:
        """... is listed with the distribution that it came with, or as unknown."""
        found = [plugin("one", "1 / 0", "partner-shop"), plugin("two", "1 / 0", None)]

        assert [("one", "partner-shop"), ("two", "unknown")] == [
            (failure.plugin, failure.distribution) for failure in discovered(found=found).failures
        ]

    def test_tells_every_fault_of_its_file(self, plugin: Plugin, standards_text: Writing) -> None:
        """... through its standards file tells the file and each fault in it."""
        text = standards_text().replace("bolt_mm = 5.0", 'bolt_mm = "5"').replace("nominal = 22.2", "nominal = 222")
        reason = reasons(discovered(found=[plugin("bells", text=text)]))["bells"]

        assert "standards.toml: rules[3]: bolt_mm: found '5'" in reason
        assert "standards[0].dimensions.width_mm: nominal 222.0" in reason

    def test_for_another_version_of_the_interface_is_left_out(self, plugin: Plugin, standards_text: Writing) -> None:
        """... for another major version of the interface is left out and says so."""
        text = standards_text().replace('requires_api = "1.0"', 'requires_api = "2.0"')

        assert "requires_api: found '2.0'" in reasons(discovered(found=[plugin("bells", text=text)]))["bells"]

    @pytest.mark.parametrize(("source", "reason"), BROKEN.values(), ids=BROKEN.keys())
    def test_is_fatal_if_it_is_our_own(self, plugin: Plugin, source: str, reason: str) -> None:
        """... is fatal if it came with this very distribution."""
        with pytest.raises(PluginError) as caught:
            discovered(found=[plugin("alpha"), plugin("broken", source, HOME)])

        assert caught.value.plugin == "broken"
        assert reason in caught.value.reason


class TestRepeated:
    """What is there already ..."""

    @pytest.mark.parametrize("first", ["ours", "stranger's"])
    def test_keeps_its_name(self, plugin: Plugin, standards_text: Writing, first: str) -> None:
        """... keeps its plugin name against a stranger's, in whichever order they are found."""
        ours, theirs = plugin("bells", distribution=HOME), plugin("bells", text=standards_text("theirs", "theirs"))
        registry = discovered(found=[ours, theirs] if first == "ours" else [theirs, ours])

        assert ["bells"] == list(registry.standards)
        assert "a plugin of this name is already loaded" in reasons(registry)["bells"]

    @pytest.mark.parametrize("first", ["ours", "stranger's"])
    def test_keeps_its_key(self, plugin: Plugin, standards_text: Writing, first: str) -> None:
        """... keeps its standard's key against a stranger's, whose name comes first in the alphabet."""
        ours, theirs = plugin("bells", distribution=HOME), plugin("a_bell", text=standards_text("bells", "theirs"))
        registry = discovered(found=[ours, theirs] if first == "ours" else [theirs, ours])

        assert registry.standards["bells"].family.name == "bells"
        assert "standard key repeated: bells" in reasons(registry)["a_bell"]

    def test_keeps_the_key_of_its_conversion(self, plugin: Plugin, standards_text: Writing) -> None:
        """... keeps its conversion's key against a later one's: two ways of one name cannot be told apart."""
        later = standards_text("horn-1", "horns").replace('key = "horn-1-shim"', 'key = "bells-shim"')
        registry = discovered(found=[plugin("bells"), plugin("horns", text=later)])

        assert ["bells"] == list(registry.standards)
        assert "conversion key repeated: bells-shim" in reasons(registry)["horns"]

    def test_keeps_its_family(self, plugin: Plugin, standards_text: Writing) -> None:
        """... keeps its family's name, and with it its messages, against a stranger's."""
        ours, theirs = plugin("bells", distribution=HOME), plugin("a_bell", text=standards_text("theirs", "bells"))

        assert "family 'bells' is already installed" in reasons(discovered(found=[theirs, ours]))["a_bell"]

    def test_is_the_same_in_whichever_order_strangers_are_found(self, plugin: Plugin, standards_text: Writing) -> None:
        """... of two strangers is the one whose name comes first, in whichever order they are found."""
        one, two = plugin("one", text=standards_text("bell", "one")), plugin("two", text=standards_text("bell", "two"))

        assert [["two"], ["two"]] == [list(reasons(discovered(found=found))) for found in ([one, two], [two, one])]

    def test_within_one_plugin_is_left_out_with_it(self, plugin: Plugin) -> None:
        """... and stands twice in what one plugin hands over costs that plugin, not the service."""
        source = GOOD.replace("return standards_of(__name__)", "found = standards_of(__name__)") + (
            "    from dataclasses import replace\n    return replace(found, standards=found.standards * 2)\n"
        )
        registry = discovered(found=[plugin("alpha"), plugin("twice", source)])

        assert ["alpha"] == list(registry.standards)
        assert "twice" in reasons(registry)["twice"]

    def test_of_a_plugin_that_failed_is_free(self, plugin: Plugin) -> None:
        """... of a plugin that was left out is free for the next of that name."""
        broken, good = plugin("bells", "1 / 0", "a-stranger"), plugin("bells", distribution="b-stranger")
        registry = discovered(found=[broken, good])

        assert ["bells"] == list(registry.standards)
        assert ["a-stranger"] == [failure.distribution for failure in registry.failures]


class TestSeveralSets:
    """A plugin with several families ..."""

    SOURCE = GOOD.replace("return standards_of(__name__)", "one = standards_of(__name__)") + (
        "    return one, standards_of(__name__, file='more.toml')\n"
    )

    def test_hands_them_over_together(self, plugin: Plugin, tmp_path: Path, standards_text: Writing) -> None:
        """... hands over one set for each."""
        point = plugin("bells", self.SOURCE)
        (tmp_path / point.value / "more.toml").write_text(standards_text("horn-1", "horns"), encoding="utf-8")

        assert ["bells", "horn-1"] == list(discovered(found=[point]).standards)

    def test_of_which_two_share_a_key_is_left_out_whole(
        self, plugin: Plugin, tmp_path: Path, standards_text: Writing
    ) -> None:
        """... of which two share a key is left out with both."""
        point = plugin("bells", self.SOURCE)
        (tmp_path / point.value / "more.toml").write_text(standards_text("bells", "horns"), encoding="utf-8")
        registry = discovered(found=[point])

        assert {} == registry.standards
        assert "standard key repeated: bells" in reasons(registry)["bells"]


class TestBlocked:
    """A blocked name ..."""

    def test_is_not_even_imported(self, plugin: Plugin) -> None:
        """... is not imported, so that it cannot fail, and is not listed as a failure."""
        registry = discovered(blocked={"bells"}, found=[plugin("bells", "raise SystemExit(3)"), plugin("alpha")])

        assert (["alpha"], ()) == (list(registry.standards), registry.failures)

    def test_holds_for_our_own_and_for_files(self, plugin: Plugin, folder: Path, standards_text: Writing) -> None:
        """... keeps out our own plugin and a file of that name as well."""
        (folder / "horns.toml").write_text(standards_text("horn-1", "horns"), encoding="utf-8")
        registry = discovered(folder, {"bells", "horns"}, [plugin("bells", "1 / 0", HOME)])

        assert ({}, ()) == (registry.standards, registry.failures)


class TestFolder:
    """A folder of standards files ..."""

    def test_is_read_beside_the_plugins(self, plugin: Plugin, folder: Path, standards_text: Writing) -> None:
        """... adds the standards of each file that ends in .toml, and of no other."""
        for name in ("horns.toml", "lamps.toml", "notes.txt"):
            stem = name.partition(".")[0]
            (folder / name).write_text(standards_text(f"{stem}-1", stem), encoding="utf-8")
        registry = discovered(folder, found=[plugin("bells")])

        assert (["bells", "horns-1", "lamps-1"], ()) == (list(registry.standards), registry.failures)

    def test_loses_only_the_file_that_is_broken(self, folder: Path, standards_text: Writing) -> None:
        """... loses a broken file alone, which is named by its path."""
        (folder / "horns.toml").write_text(standards_text("horn-1", "horns"), encoding="utf-8")
        (folder / "lamps.toml").write_text("positions = [", encoding="utf-8")
        (failure,) = discovered(folder, found=[]).failures

        assert ("lamps", str(folder / "lamps.toml")) == (failure.plugin, failure.distribution)
        assert failure.reason.startswith("lamps.toml: not TOML: ")

    def test_never_takes_the_place_of_a_plugin(self, plugin: Plugin, folder: Path, standards_text: Writing) -> None:
        """... leaves name and key to the plugins that were there before it."""
        (folder / "bells.toml").write_text(standards_text("horn-1", "horns"), encoding="utf-8")
        (folder / "a_file.toml").write_text(standards_text("bells", "lamps"), encoding="utf-8")
        registry = discovered(folder, found=[plugin("bells")])

        assert (["bells"], ["a_file", "bells"]) == (list(registry.standards), list(reasons(registry)))

    def test_with_a_file_in_another_encoding_loses_that_file(self, folder: Path) -> None:
        """... leaves out a file that is not UTF-8."""
        (folder / "bells.toml").write_bytes("title = 'Glöckchen'".encode("latin-1"))

        assert ["bells"] == list(reasons(discovered(folder, found=[])))


class TestStandardsIn:
    """A standards file ..."""

    def test_is_named_by_its_own_name(self, folder: Path) -> None:
        """... with faults is named by its own name, without the folder."""
        (folder / "bells.toml").write_text("positions = [", encoding="utf-8")
        with pytest.raises(StandardsFileError) as caught:
            standards_in(folder / "bells.toml")

        assert caught.value.file == "bells.toml"

    def test_in_another_encoding_has_a_fault_like_any_other(self, folder: Path) -> None:
        """... that is not UTF-8 is refused as a faulty file."""
        (folder / "bells.toml").write_bytes("title = 'Glöckchen'".encode("latin-1"))

        with pytest.raises(StandardsFileError, match=r"bells\.toml: "):
            standards_in(folder / "bells.toml")

    def test_that_is_not_there_is_an_os_error(self, folder: Path) -> None:
        """... that is not there is the operating system's error."""
        with pytest.raises(FileNotFoundError):
            standards_in(folder / "bells.toml")


def test_the_version_of_the_package_enters_that_of_the_rules(plugin: Plugin) -> None:
    """Two versions of the package judge under two rules versions, though the standards are the same."""
    found = [plugin("bells")]

    first, second = (discovered(found=found, package_version=version) for version in ("0.1.0", "0.2.0"))
    assert first.rules_version != second.rules_version


def test_the_version_of_a_plugin_enters_that_of_the_rules(plugin: Plugin) -> None:
    """A plugin of another version judges under another rules version, though only its Python may have changed."""
    point = plugin("bells")

    versions = {
        discovered(found=[point._for(Distribution("stranger", version))]).rules_version  # type: ignore[attr-defined]
        for version in ("1.0", "1.0", "1.1")
    }
    assert 2 == len(versions)


def test_what_is_installed_is_found_without_being_named() -> None:
    """The standards in the box are found through their entry points, and none is left out."""
    registry = discovered()

    assert {"two-bolt-165", "flat-167", "riveted"} <= set(registry.standards)
    assert () == tuple(failure for failure in registry.failures if failure.distribution == HOME)


class TestJudge:
    """A judge of what lies beyond the standards ..."""

    @staticmethod
    def refuse_horns(registry: Registry) -> None:
        """Want no jobs of a horn."""
        if "horns" in registry.bench_jobs:
            raise StandardsFileError("horns", ["bench_jobs.oil: missing"])

    def test_costs_the_file_that_it_refuses(self, plugin: Plugin, folder: Path, standards_text: Writing) -> None:
        """... costs the file that it refuses, and neither the plugins before it nor the files behind."""
        for name in ("horns", "lamps"):
            text = f"{standards_text(f'{name}-1', name)}\n[bench_jobs.oil_{name}]\nloud = true\n"
            (folder / f"{name}.toml").write_text(text, encoding="utf-8")
        registry = discovered(folder, found=[plugin("bells")], judge=self.refuse_horns)

        assert ["bells", "lamps-1"] == list(registry.standards)
        assert {"horns": "horns: bench_jobs.oil: missing"} == reasons(registry)
        assert {"lamps": {"oil_lamps": {"loud": True}}} == registry.bench_jobs

    def test_stops_the_start_for_a_plugin_of_our_own(self, plugin: Plugin, standards_text: Writing) -> None:
        """... stops the start where the plugin is ours."""
        text = f"{standards_text('horn-1', 'horns')}\n[bench_jobs.oil]\n"
        with pytest.raises(PluginError, match=r"bench_jobs\.oil: missing"):
            discovered(found=[plugin("horns", distribution=HOME, text=text)], judge=self.refuse_horns)
