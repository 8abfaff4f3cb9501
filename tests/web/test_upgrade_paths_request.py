"""What may be asked about an upgrade path: what is made of it, what is read for it, and what is refused and where."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event

from mountwright.catalogue.engines import opened
from mountwright.catalogue.writing import Writing
from mountwright.errors import CatalogueAwayError, CatalogueBusyError
from mountwright.upgrading.complaints import complaints
from mountwright.upgrading.customer import KINDS, Instalment, Wishes
from mountwright.web.parsing import Question
from mountwright.web.paths import asking
from mountwright.web.paths.asked import PathAsked
from mountwright.web.paths.asking import path_read
from mountwright.web.paths.wanting import sought_for
from mountwright.web.problems import Problem
from mountwright.web.records import mount_reader
from mountwright.web.schemas.upgrade_paths import PathRequestSchema
from mountwright.web.shelf import Shelf
from mountwright.web.shelved import NamedBasket
from mountwright.web.workshop import EXTENSION, Workshop

Json = dict[str, Any]

LOCK = "marrowby-lock-2"
BOOT: Json = {"mounts": [{"position": "frame", "standard": "two-bolt-165", "claimed_by": "maker"}]}
MARCH, APRIL = {"on": "2026-03-01", "amount_minor": 5000}, {"on": "2026-04-01", "amount_minor": 2500}


def question(**more: Any) -> Json:
    """Give a question about a skate of the invented shop, with 150 euro."""
    return {"skate": {"sku": LOCK}, "budget": {"currency": "EUR", "amount_minor": 15000}, **more}


def read(client: FlaskClient, body: Any) -> Question:
    """Read a body."""
    workshop: Workshop = client.application.extensions[EXTENSION]
    return path_read(body, PathRequestSchema(), workshop)


def asked(client: FlaskClient, **more: Any) -> PathAsked:
    """Give what is asked by a question."""
    found: PathAsked = read(client, question(**more)).asked
    return found


def faults(client: FlaskClient, body: Any) -> dict[str, str]:
    """Give the codes of the faults of a body that is refused, by place."""
    with pytest.raises(Problem) as refusal:
        read(client, body)
    assert (422, "invalid") == (refusal.value.code, refusal.value.problem_code)
    return {each["pointer"]: each["code"] for each in refusal.value.errors or ()}


class TestAsked:
    """What is asked ..."""

    def test_is_taken_as_it_stands(self, demo: FlaskClient) -> None:
        """... holds everything that was said."""
        found = asked(
            demo,
            rider={"mass_kg": 64.5},
            complaints=["heel_lift", "rolls_slowly"],
            wishes={"wheel_diameter_mm": 84, "wheelbase_mm": 260, "rocker_mm": 2, "colour": "teal"},
            stays=["liner", "cuff"],
            at_home=["rotate_wheels"],
            labour_minor_per_hour=4000,
            in_stock_only=True,
            worn={"wheel_mm": 76.5},
            most_alternatives=1,
        )
        customer = found.customer

        assert (LOCK, True, 1, False) == (
            found.skate_sku,
            found.in_stock_only,
            found.most_alternatives,
            found.mass_was_taken,
        )
        assert (("heel_lift", "rolls_slowly"), Wishes(84, 260, 2, "teal")) == (customer.complaints, customer.wishes)
        assert ({"liner", "cuff"}, {"rotate_wheels"}) == (customer.stays, customer.at_home)
        assert (4000, 64.5, {"wheel": 76.5}) == (customer.labour_minor_per_hour, customer.mass_kg, customer.worn_mm)

    def test_may_be_a_skate_and_a_budget_alone(self, demo: FlaskClient) -> None:
        """... needs no more than a skate and a budget; the mass that is taken is said to be taken."""
        found = asked(demo)

        assert ((), Wishes(), frozenset(), 0) == (
            found.customer.complaints,
            found.customer.wishes,
            found.customer.stays,
            found.customer.labour_minor_per_hour,
        )
        assert (80, True, 2, False) == (
            found.customer.mass_kg,
            found.mass_was_taken,
            found.most_alternatives,
            found.in_stock_only,
        )

    def test_has_one_sum_that_is_there_now(self, demo: FlaskClient) -> None:
        """... may have one sum, without a day; nothing at all is a budget, too."""
        money = asked(demo, budget={"currency": "EUR", "amount_minor": 0}).customer.money

        assert (("EUR", (Instalment(None, 0),), None)) == (money.currency, money.instalments, money.until)

    def test_has_money_that_comes_by_and_by(self, demo: FlaskClient) -> None:
        """... may have instalments on days, past or to come, and an end."""
        budget = {"currency": "EUR", "instalments": [MARCH, APRIL], "until": "2027-04-01"}
        money = asked(demo, budget=budget).customer.money

        assert (Instalment(date(2026, 3, 1), 5000), Instalment(date(2026, 4, 1), 2500)) == money.instalments
        assert date(2027, 4, 1) == money.until

    def test_has_the_skate_with_what_stands_on_it(self, demo: FlaskClient) -> None:
        """... has the skate as a basket has it: its parts, what stands on it instead, its size and the feet."""
        skate = {
            "sku": LOCK,
            "eu_size": 42,
            "foot_lengths_mm": {"left": 265, "right": 267},
            "fitted": [{"kind": "liner", "specs": {"thickness_mm": 9}}],
        }
        owned = asked(demo, skate=skate).customer.owned
        fitted = {each.article.kind: each.as_sold for each in owned.versions[0].fitted}

        assert ((42, (265_000, 267_000)), False, True) == (
            (owned.eu_size, owned.foot_lengths_um),
            fitted["liner"],
            fitted["wheel"],
        )

    def test_has_what_the_skate_is_taken_back_for(self, demo: FlaskClient) -> None:
        """... has what the shop takes the skate back for, in the currency of the budget and in no other."""
        yen = {"currency": "JPY", "amount_minor": 15000}

        assert (8000, None, None) == (
            asked(demo).trade_in_minor,
            asked(demo, budget=yen).trade_in_minor,
            asked(demo, skate=BOOT).trade_in_minor,
        )

    def test_may_be_locked_so_that_nothing_helps(self, demo: FlaskClient) -> None:
        """... may have a complaint whose every remedy stays: that is for the answer to say."""
        helping = complaints()["brake_worn"].helped_by
        found = asked(demo, complaints=["brake_worn"], stays=[kind for kind in helping if kind == "brake"])

        assert (("brake_worn",), {"brake"}) == (found.customer.complaints, found.customer.stays)


class TestForSale:
    """What may be bought ..."""

    def test_is_priced_and_goes_on_by_its_mounts(self, demo: FlaskClient) -> None:
        """... is priced in the currency, the cheapest first, and no frame claims what the boot does not take."""
        found = asked(demo).for_sale
        frames = [each.article for each in found.candidates["frame"]]
        prices = [article.price.minor for article in frames if article.price]
        claimed = {
            pattern.standard
            for article in frames
            for mount in article.part.mounts
            if mount.position == "frame"
            for pattern in mount.patterns
        }

        assert (len(frames), sorted(prices), {"EUR"}) == (
            len(prices),
            prices,
            {article.price.currency for article in frames if article.price},
        )
        assert "two-bolt-165" in claimed
        assert "two-bolt-150" not in claimed

    def test_has_to_go_on_what_stays_and_may_need_what_does_not(self, demo: FlaskClient) -> None:
        """... has to go on the boot and on parts that stay; beside parts that may be changed it only has to stand."""
        workshop: Workshop = demo.application.extensions[EXTENSION]

        def places(kind: str, **more: Any) -> tuple[list[str], list[str]]:
            (found,) = (each for each in sought_for(asked(demo, **more).customer, workshop) if each.kind == kind)
            return [position for position, _ in found.holds], [position for position, _ in found.stands]

        assert (["frame"], ["axle_place"]) == places("frame")
        assert (["axle_place", "frame"], []) == places("frame", stays=["axle"])
        assert ([], ["axle", "hub"]) == places("bearing")
        assert (["hub"], ["axle"]) == places("bearing", stays=["wheel"])
        assert (["strap_cuff", "strap_instep"], []) == places("buckle") == places("strap")

    @pytest.mark.parametrize("kind", KINDS)
    def test_is_of_every_kind_that_stands_there(self, demo: FlaskClient, kind: str) -> None:
        """... is of each kind that a path may change, with mounts and without: a spacer goes where one stands now."""
        counts = asked(demo).for_sale.there_are

        assert counts[kind] > (2 if kind == "spacer" else 0)

    def test_should_have_what_is_wished_for(self, demo: FlaskClient) -> None:
        """... is looked for by what is wished for, too: wheels and brakes by diameter, frames by what they take."""
        wishes = {"wheel_diameter_mm": 84, "wheelbase_mm": 260, "colour": "Rosé"}
        workshop: Workshop = demo.application.extensions[EXTENSION]
        sought = {each.kind: each for each in sought_for(asked(demo, wishes=wishes).customer, workshop)}

        assert {"diameter_mm": (83, 85)} == sought["wheel"].figures
        assert {"largest_wheel_mm": (84, None), "wheelbase_mm": (250, 270)} == sought["frame"].figures
        assert {"smallest_wheel_mm": (None, 84), "largest_wheel_mm": (84, None)} == sought["brake"].figures
        assert ({}, {"rose"}) == (sought["bearing"].figures, {each.colour_folded for each in sought.values()})

    def test_is_nothing_of_what_stays(self, demo: FlaskClient) -> None:
        """... leaves out the kinds that stay, and counts the others."""
        found = asked(demo, stays=["frame", "lace"]).for_sale

        assert not {"frame", "lace"} & {*found.candidates, *found.there_are}
        assert found.there_are["wheel"] == len(found.candidates["wheel"]) > 50

    def test_is_nothing_where_no_mount_is_known(self, demo: FlaskClient) -> None:
        """... of a boot alone has frames, and no wheels or axles: nobody knows what they would stand beside."""
        found = asked(demo, skate=BOOT).for_sale

        assert not {"wheel", "bearing", "axle", "buckle"} & found.candidates.keys()
        assert {"frame", "liner", "insole", "lace", "brake"} <= found.candidates.keys()

    def test_is_for_the_size(self, demo: FlaskClient) -> None:
        """... is made for the size, where one is told."""
        all_sizes, one = (
            asked(demo, skate={"sku": LOCK, **more}).for_sale.there_are["liner"] for more in ({}, {"eu_size": 42})
        )

        assert 0 < one < all_sizes

    def test_is_in_stock_where_that_is_wanted(self, demo: FlaskClient) -> None:
        """... is in stock, where that is wanted, and else says of each whether it is."""
        either, stocked = (
            [each.in_stock for each in asked(demo, in_stock_only=only).for_sale.candidates["wheel"]]
            for only in (False, True)
        )

        assert ({True, False}, {True}) == ({*either}, {*stocked})

    def test_is_another_skate_too(self, demo: FlaskClient) -> None:
        """... is another skate, too, in stock or not, but not the same one again."""
        found = asked(demo).for_sale
        skates = [each.article for each in found.skates]

        assert {"skate"} == {article.kind for article in skates}
        assert LOCK not in {article.sku for article in skates}
        assert found.there_are["skate"] >= len(skates) > 10

    def test_is_not_what_came_back_too_often(self, demo: FlaskClient) -> None:
        """... is nothing that is paused: a skate of this shop came back for its version, and is not offered."""
        found = asked(demo).for_sale

        assert found.there_are["skate"] - 1 == len(found.skates)
        assert "marrowby-weir-2021" not in {each.article.sku for each in found.skates}

    def test_says_which_currencies_there_are(self, demo: FlaskClient) -> None:
        """... is nothing in a currency that nothing is priced in, and then says which there are; no rate is made up."""
        found = asked(demo, budget={"currency": "SEK", "amount_minor": 90_000}).for_sale

        assert (0, ("EUR", "JPY")) == (sum(found.there_are.values()), found.other_currencies)
        assert () == asked(demo).for_sale.other_currencies

    def test_comes_with_what_was_told_of_it(self, demo: FlaskClient) -> None:
        """... is judged with what was told of it and the skate, as in a basket."""
        tallies = asked(demo).customer.owned.versions[0].tallies

        assert {"frame-quillfen-4x80-black", "frame-quillfen-truss-low-3x110-red"} <= tallies.keys()

    def test_has_what_is_wished_for_at_once(self, demo: FlaskClient) -> None:
        """... has wheels of the wished diameter among it, and is of one version with the skate."""
        found = read(demo, question(wishes={"wheel_diameter_mm": 110, "colour": "black", "wheelbase_mm": 243}))
        sizes = {each.article.specs.get("diameter_mm") for each in found.asked.for_sale.candidates["wheel"]}

        assert 110 in sizes
        assert found.version == found.asked.for_sale.version


@pytest.fixture
def statements(demo: FlaskClient) -> list[str]:
    """Give the statements that the catalogue is read with from now on."""
    found: list[str] = []
    workshop: Workshop = demo.application.extensions[EXTENSION]

    def note(*about: Any) -> None:
        found.append(about[2])

    event.listen(workshop.engines.reads, "before_cursor_execute", note)
    yield found
    event.remove(workshop.engines.reads, "before_cursor_execute", note)


class TestReading:
    """A question ..."""

    def test_takes_two_statements_at_most(self, demo: FlaskClient, statements: list[str]) -> None:
        """... takes one statement for what it names and one for what may be bought."""
        body = question(skate={"sku": LOCK, "fitted": [{"sku": "frame-quillfen-4x80-black"}]})
        workshop: Workshop = demo.application.extensions[EXTENSION]
        fresh = Workshop(
            workshop.registry,
            workshop.estimates,
            workshop.messages,
            workshop.engines,
            Shelf(workshop.engines, workshop.registry),
        )
        path_read(body, PathRequestSchema(), fresh)

        assert 2 == len(statements)

    def test_that_is_refused_asks_nothing_more(self, demo: FlaskClient, statements: list[str]) -> None:
        """... that is refused does not have anything looked for that could be bought."""
        faults(demo, {"skate": BOOT, "budget": {}})

        assert [] == statements

    def test_of_a_skate_by_its_mounts_names_a_version_as_well(self, demo: FlaskClient) -> None:
        """... about a skate that is in no catalogue has a version: what may be bought is read from it."""
        assert read(demo, question(skate=BOOT)).version == read(demo, question()).version

    def test_is_read_again_where_the_catalogue_changed(self, shop: Flask, keep: Any) -> None:
        """... is of one version, also where the catalogue changes between the two looks at it."""
        skate = {"sku": "s", "kind": "skate", "name": "Reach", **BOOT}
        keep(skate, {"sku": "l", "kind": "lace", "name": "Lace", "price_minor": 1, "currency": "EUR"})
        workshop: Workshop = shop.extensions[EXTENSION]
        schema = Between(lambda: keep_elsewhere(workshop, {**skate, "name": "Reach II"}))
        found = path_read(question(skate={"sku": "s"}), schema, workshop)

        assert (2, "Reach II") == (schema.loads_so_far, found.asked.customer.owned.versions[0].skate.name)
        assert found.version == workshop.shelf.version()

    def test_gives_up_where_the_catalogue_never_rests(self, shop: Flask, keep: Any) -> None:
        """... is put off where the catalogue changes every time."""
        skate = {"sku": "s", "kind": "skate", "name": "Reach", **BOOT}
        keep(skate)
        names = iter(range(1000))
        schema = Between(lambda: keep({**skate, "name": f"Reach {next(names)}"}), times=1000)

        with pytest.raises(CatalogueBusyError):
            path_read(question(skate={"sku": "s"}), schema, shop.extensions[EXTENSION])

    def test_is_put_off_while_the_catalogue_is_away(self, app: Flask, tmp_path: Any) -> None:
        """... cannot be answered without a catalogue, whatever the skate is."""
        workshop: Workshop = app.extensions[EXTENSION]
        away = Workshop(
            workshop.registry,
            workshop.estimates,
            workshop.messages,
            opened(f"sqlite:///{tmp_path / 'nowhere.db'}"),
            workshop.shelf,
        )
        with pytest.raises(CatalogueAwayError):
            path_read(question(skate=BOOT), PathRequestSchema(), away)


def keep_elsewhere(workshop: Workshop, record: Json) -> None:
    """Keep an article as another process does: this one is not told."""
    with workshop.engines.writing() as connection:
        writing = Writing(connection, mount_reader(workshop.registry), workshop.registry.rules_version)
        assert [] == writing.add_articles([record])
        writing.finish()


class Between(PathRequestSchema):
    """Reads as ever, and has something happen afterwards."""

    def __init__(self, happens: Any, times: int = 1) -> None:
        super().__init__()
        self.loads_so_far, self._happens, self._times = 0, happens, times

    def load(self, data: Any, **kwargs: Any) -> Any:
        """Load, and let it happen."""
        found = super().load(data, **kwargs)
        self.loads_so_far += 1
        if self.loads_so_far <= self._times:
            self._happens()
        return found


REFUSED: list[tuple[Any, dict[str, str]]] = [
    ([], {"": "request.not_object"}),
    ({}, {"/skate": "request.required", "/budget": "request.required"}),
    (question(extra=1), {"/extra": "request.unknown_field"}),
    (question(skate={"sku": "marrowby-lock-9"}), {"/skate/sku": "request.unknown_sku_near"}),
    (question(skate={"eu_size": 42}), {"/skate/mounts": "request.nothing_named"}),
    (question(skate={"sku": "frame-quillfen-4x80-black"}), {"/skate/sku": "request.not_a_skate"}),
    (
        question(skate={"sku": LOCK, "fitted": [{"sku": "frame-0"}]}),
        {"/skate/fitted/0/sku": "request.unknown_sku"},
    ),
    (question(rider={}), {"/rider/mass_kg": "request.required"}),
    (question(rider={"mass_kg": 0}), {"/rider/mass_kg": "request.bounds"}),
    (question(complaints=["heel_lifts"]), {"/complaints/0": "path.unknown_complaint_near"}),
    (question(complaints=["heel_lift", "qqqq"]), {"/complaints/1": "path.unknown_complaint"}),
    (question(complaints=["heel_lift", "heel_lift"]), {"/complaints/1": "request.given_again"}),
    (question(complaints="heel_lift"), {"/complaints": "request.not_list"}),
    (question(complaints=[*complaints()][:13]), {"/complaints": "request.size"}),
    (question(wishes={"wheels": 3}), {"/wishes/wheels": "request.unknown_field"}),
    (question(wishes={"wheel_diameter_mm": 12}), {"/wishes/wheel_diameter_mm": "request.bounds"}),
    (question(wishes={"wheel_diameter_mm": 125, "wheelbase_mm": 251.9}), {"/wishes/wheelbase_mm": "path.wishes_clash"}),
    (question(wishes={"colour": ""}), {"/wishes/colour": "request.size"}),
    (question(budget={"amount_minor": 1}), {"/budget/currency": "request.required"}),
    (question(budget={"currency": "EUR"}), {"/budget/amount_minor": "request.required"}),
    (question(budget={"currency": "euro", "amount_minor": 1}), {"/budget/currency": "request.currency"}),
    (question(budget={"currency": "EUR", "amount_minor": -1}), {"/budget/amount_minor": "request.bounds"}),
    (question(budget={"currency": "EUR", "amount_minor": 1.5}), {"/budget/amount_minor": "request.not_whole"}),
    (
        question(budget={"currency": "EUR", "amount_minor": 1, "instalments": [MARCH]}),
        {"/budget/instalments": "path.amount_or_instalments"},
    ),
    (question(budget={"currency": "EUR", "instalments": []}), {"/budget/instalments": "request.size"}),
    (
        question(budget={"currency": "EUR", "instalments": [{"amount_minor": 1}, APRIL]}),
        {"/budget/instalments/0/on": "request.required"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [MARCH, MARCH]}),
        {"/budget/instalments/1/on": "path.day_order"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [APRIL, {**MARCH, "amount_minor": -2}]}),
        {"/budget/instalments/1/amount_minor": "request.bounds", "/budget/instalments/1/on": "path.day_order"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [{**MARCH, "on": "1.3.2026"}]}),
        {"/budget/instalments/0/on": "request.form"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [{**MARCH, "on": "2026-02-30"}]}),
        {"/budget/instalments/0/on": "request.form"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [{**MARCH, "on": "1999-12-31"}]}),
        {"/budget/instalments/0/on": "request.bounds"},
    ),
    (
        question(budget={"currency": "EUR", "instalments": [MARCH], "until": "2026-03-01"}),
        {"/budget/until": "path.day_order"},
    ),
    (
        question(budget={"currency": "EUR", "amount_minor": 1, "until": "2027-03-01"}),
        {"/budget/until": "path.until_without_days"},
    ),
    (question(stays=["skate"]), {"/stays/0": "request.choice"}),
    (question(at_home=["service_bearing"]), {"/at_home/0": "path.unknown_job_near"}),
    (question(at_home=["qqqq"]), {"/at_home/0": "path.unknown_job"}),
    (question(at_home=["replace_rivet"]), {"/at_home/0": "path.workshop_only"}),
    (question(labour_minor_per_hour=-1), {"/labour_minor_per_hour": "request.bounds"}),
    (question(in_stock_only="yes"), {"/in_stock_only": "request.not_flag"}),
    (question(worn={"wheel_mm": 5}), {"/worn/wheel_mm": "request.bounds"}),
    (question(most_alternatives=5), {"/most_alternatives": "request.bounds"}),
]


class TestRefusal:
    """A question ..."""

    @pytest.mark.parametrize(("body", "expected"), REFUSED, ids=[str(expected)[:60] for _, expected in REFUSED])
    def test_with_a_fault_is_refused_with_its_place(self, demo: FlaskClient, body: Any, expected: Json) -> None:
        """... with a fault is refused, and the fault is named by its place, with nothing else beside it."""
        assert expected == faults(demo, body)

    def test_names_every_fault_at_once(self, demo: FlaskClient) -> None:
        """... with several faults names them all, wherever they are."""
        body = question(
            rider={"mass_kg": "80"},
            complaints=["heel_lifts", 3, "heel_lift", "heel_lift"],
            wishes={"wheel_diameter_mm": 125, "wheelbase_mm": 200},
            budget={"currency": "EUR", "instalments": [APRIL, MARCH], "until": "2020-01-01", "sum": 1},
        )

        assert {
            "/rider/mass_kg",
            "/complaints/0",
            "/complaints/1",
            "/complaints/3",
            "/wishes/wheelbase_mm",
            "/budget/instalments/1/on",
            "/budget/until",
            "/budget/sum",
        } == set(faults(demo, body))

    def test_says_what_was_meant_and_what_there_is(self, demo: FlaskClient) -> None:
        """... with an unknown complaint or job is told the nearest, and all that there are."""
        with pytest.raises(Problem) as refusal:
            read(demo, question(complaints=["heel_lifts"], at_home=["service_bearing"]))
        told = {each["pointer"]: each["params"] for each in refusal.value.errors or ()}

        assert ("'heel_lift'", ", ".join(complaints())) == (
            told["/complaints/0"]["near"],
            told["/complaints/0"]["known"],
        )
        assert "'service_bearings'" == told["/at_home/0"]["near"]
        assert "replace_rivet" not in told["/at_home/0"]["known"]

    def test_says_which_wishes_clash(self, demo: FlaskClient) -> None:
        """... whose wheels do not go on the wished wheelbase says both, and how long it has to be: 2 (125 + 1) mm."""
        with pytest.raises(Problem) as refusal:
            read(demo, question(wishes={"wheel_diameter_mm": 125, "wheelbase_mm": 240}))
        (found,) = refusal.value.errors or ()

        assert {"found": "240", "diameter": 125, "wheels": 3, "shortest": 252.0} == found["params"]
        assert asked(demo, wishes={"wheel_diameter_mm": 125, "wheelbase_mm": 252}).customer.wishes.wheelbase_mm == 252

    @pytest.mark.parametrize("text", ["\0", "heel\0lift"])
    def test_with_a_nul_is_refused_or_read_and_never_worse(self, demo: FlaskClient, text: str) -> None:
        """... with a NUL character in it is refused where a word is expected, and a colour of it is nobody's."""
        assert {"/complaints/0"} == set(faults(demo, question(complaints=[text])))
        assert {"/skate/sku"} == set(faults(demo, question(skate={"sku": text})))
        assert text == asked(demo, wishes={"colour": text}).customer.wishes.colour

    @settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
    @given(st.data())
    def test_that_is_somehow_wrong_is_read_or_refused(self, demo: FlaskClient, data: st.DataObject) -> None:
        """... with anything anywhere in it is read or refused, never worse."""
        body = question(
            skate={"sku": LOCK, "eu_size": 42, "fitted": [{"kind": "wheel", "specs": {"diameter_mm": 80}}]},
            rider={"mass_kg": 80},
            complaints=["heel_lift", "rolls_slowly"],
            wishes={"wheel_diameter_mm": 84, "wheelbase_mm": 260, "colour": "teal"},
            budget={"currency": "EUR", "instalments": [dict(MARCH), dict(APRIL)], "until": "2027-04-01"},
            stays=["liner"],
            at_home=["rotate_wheels"],
            worn={"wheel_mm": 76},
        )
        spoil(body, data)
        told: set[Any] = set()
        try:
            read(demo, body)
        except Problem as problem:
            told = {(problem.code, bool(problem.errors))}

        assert told <= {(422, True)}


ANYTHING = st.none() | st.booleans() | st.integers(-300, 2**40) | st.floats(-1e3, 1e3) | st.text(max_size=4)
ANYTHING |= st.sampled_from(["EUR", "2026-03-15", "20260315", "heel_lift", "frame", LOCK])
ANYTHING |= st.lists(ANYTHING, max_size=4) | st.dictionaries(st.text(max_size=4) | st.just("sku"), ANYTHING, max_size=2)


def spoil(body: Any, data: st.DataObject) -> None:
    """Put anything somewhere into a body."""
    place = body
    while True:
        keys = list(place) if isinstance(place, dict) else list(range(len(place)))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(place[key], dict | list) or not place[key] or data.draw(st.booleans()):
            place[key] = data.draw(ANYTHING)
            return
        place = place[key]


class TestNamed:
    """What a body names of the catalogue ..."""

    def test_is_all_that_it_needs(self) -> None:
        """... is its skate and what stands on it, each once."""
        fitted = [{"sku": "a"}, {"sku": "b"}, {"sku": "a"}, {"kind": "lace"}]

        assert NamedBasket(("s",), (), ("a", "b")) == asking.named_in_path({"skate": {"sku": "s", "fitted": fitted}})

    @pytest.mark.parametrize("body", [None, [], {}, {"skate": []}, {"skate": {"sku": 3, "fitted": {}}}], ids=str)
    def test_is_nothing_of_what_is_ill_formed(self, body: Any) -> None:
        """... leaves out what is ill-formed: the schema says so."""
        assert NamedBasket() == asking.named_in_path(body)

    def test_may_be_a_model(self, demo: FlaskClient) -> None:
        """... may be a model with several versions, all of which are asked for."""
        found = read(demo, question(skate={"model": {"name": "Marrowby Weir"}}))
        versions = found.asked.customer.owned.versions

        assert {"marrowby-weir-2016", "marrowby-weir-2021"} <= {version.skate.sku for version in versions}
        assert not {version.skate.sku for version in versions} & {
            each.article.sku for each in found.asked.for_sale.skates
        }
