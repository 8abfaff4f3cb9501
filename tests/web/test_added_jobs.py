"""Jobs that a standards file adds to the bench, in the answers of a service that was started with it."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from mountwright.bench.jobs import bench_jobs
from mountwright.bootstrap import create_app
from mountwright.demo.loading import load_demo
from mountwright.settings import Settings
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

FILE = """\
requires_api = "1.0"
family = "jig"
positions = ["jig"]
sides = ["frame", "jig"]

[bench_jobs.swap_wheels_on_the_jig]
title = "Swap the wheels on the jig"
steps = ["Clamp both frames in the jig.", "Swap the wheels and tighten the axles."]
minutes = [8, 12, 20]
can_be_undone = false
where = "home"
risk = "low"
standing = "estimate"
tools = [{ name = "jig" }]
tightens = ["axle"]
cautions = ["Close the jig by hand."]
after_checks = ["Turn each wheel and see that none rubs."]
needs = ["take_wheels_off", "dust_the_jig"]
stands_for = ["swap_wheels", "put_wheels_on"]
fits = ["wheel"]

[bench_jobs.dust_the_jig]
title = "Dust the jig"
steps = ["Wipe it."]
minutes = [1, 1, 1]
can_be_undone = true
where = "home"
risk = "low"
standing = "estimate"

[bench_jobs.true_the_jig]
title = "True the jig"
steps = ["Turn the screw."]
minutes = [1, 2, 3]
can_be_undone = true
where = "workshop"
risk = "low"
standing = "estimate"
"""

JIG = "swap_wheels_on_the_jig"

#: Wheels are bought for it.
STORY: Json = next(
    story["request"]
    for story in tomllib.loads(Path(__file__).with_name("stories.toml").read_text(encoding="utf-8"))["stories"]
    if story["title"] == "Slow on hard wheels that do not bounce"
)


@pytest.fixture(scope="module")
def with_jig(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    """Give a client of a service with the invented shop's catalogue, a good file with jobs and a broken one."""
    folder = tmp_path_factory.mktemp("jig")
    standards = folder / "standards"
    standards.mkdir()
    (standards / "jig.toml").write_text(FILE, encoding="utf-8")
    broken = FILE.replace("jig", "rig").replace("minutes = [1, 2, 3]", "minutes = 2")
    (standards / "rig.toml").write_text(broken, encoding="utf-8")
    app = create_app(Settings(database=f"sqlite:///{folder / 'catalogue.db'}", standards_dir=standards))
    workshop: Workshop = app.extensions[EXTENSION]
    load_demo(workshop)
    yield app.test_client()
    workshop.engines.close()


def answer(client: FlaskClient, *at_home: str) -> Json:
    """Give the path for wheels that are slow."""
    response = client.post("/v1/upgrade-paths", json={**STORY, "at_home": [*at_home]})
    assert 200 == response.status_code, response.get_data(as_text=True)
    found: Json = response.json
    return found


class TestAddedJobs:
    """A job that a standards file adds ..."""

    def test_is_done_in_place_of_the_one_it_stands_for(self, with_jig: FlaskClient) -> None:
        """... stands in the path's bench list with its steps, and with the jobs that it needs."""
        found = answer(with_jig)
        jobs = {each["job"]: each for each in found["bench"]["jobs"]}

        assert {"take_wheels_off", "dust_the_jig", JIG} <= jobs.keys()
        assert set() == {"swap_wheels", "put_wheels_on"} & jobs.keys()
        assert ["Clamp both frames in the jig.", "Swap the wheels and tighten the axles."] == jobs[JIG]["steps"]
        assert "jig" in found["bench"]["tools"]
        (wheels,) = (step for stage in found["stages"] for step in stage["steps"] if step["kind"] == "wheel")
        usual = bench_jobs()["take_wheels_off"].minutes.usual + 1 + 12
        assert ([JIG], False, usual) == (wheels["jobs"], wheels["can_be_undone"], wheels["minutes"]["usual"])

    def test_may_be_done_at_home(self, with_jig: FlaskClient) -> None:
        """... may be done at home, without wage, where it is for anybody."""
        found = answer(with_jig, JIG)
        (wheels,) = (step for stage in found["stages"] for step in stage["steps"] if step["kind"] == "wheel")

        assert 0 == wheels["labour_minor"] < STORY["labour_minor_per_hour"]
        assert "home" == {each["job"]: each["where"] for each in found["bench"]["jobs"]}[JIG]

    @pytest.mark.parametrize(
        ("job", "code"),
        [
            ("true_the_jig", "path.workshop_only"),
            ("swap_wheels_on_a_jig", "path.unknown_job_near"),
            ("swap_wheels_on_the_rig", "path.unknown_job_near"),
        ],
    )
    def test_is_refused_at_home_as_any_other(self, with_jig: FlaskClient, job: str, code: str) -> None:
        """... is left to the workshop where it says so; one that is not there is unknown, and this one near."""
        response = with_jig.post("/v1/upgrade-paths", json={**STORY, "at_home": [job]})
        (fault,) = response.json["errors"]

        assert (422, "/at_home/0", code) == (response.status_code, fault["pointer"], fault["code"])
        assert code == "path.workshop_only" or repr(JIG) == fault["params"]["near"]

    def test_that_is_broken_costs_its_own_file(self, with_jig: FlaskClient) -> None:
        """... and cannot be read costs its file, which is listed with the place of the fault."""
        (failure,) = with_jig.get("/v1/standards").json["left_out"]

        assert "rig" == failure["plugin"]
        assert "rig: bench_jobs.true_the_rig: minutes: found 2, expected three whole numbers" in failure["reason"]
