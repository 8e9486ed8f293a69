"""Are the demo's logbooks what a survey could have put down, and the same each time?"""

import hashlib
import json
from collections import Counter
from datetime import UTC, datetime
from uuid import NAMESPACE_URL, UUID, uuid5

import pytest
from shapely.geometry import shape as shape_from

from demo_fixtures.clock import DEMO_NOW
from demo_fixtures.surveys import CODES, survey_entries
from demo_fixtures.treatments import treatments
from demo_fixtures.truth import all_damage
from demo_fixtures.wall import HEIGHT_IN, WIDTH_IN
from gridmap.outline import take_outline

IDS = {code: uuid5(NAMESPACE_URL, f"survey:{code}") for code in CODES}
KINDS = {"Polygon": "area", "LineString": "line", "Point": "point"}
SQ_IN_PER_SQ_FT = 144


@pytest.fixture(scope="module")
def books():
    return survey_entries(IDS)


def of_kind(drafts, kind):
    return [draft for draft in drafts if draft["kind"] == kind]


def everything(books):
    return [draft for drafts in books.values() for draft in drafts]


def digest(books):
    return hashlib.sha256(json.dumps(books, sort_keys=True).encode()).hexdigest()


def item(books, code, label):
    drafts = of_kind(books[code], "observation")
    return next(draft["body"] for draft in drafts if draft["body"]["item"] == label)


def area_of(body):
    return shape_from(body["geometry"]).area


def test_the_same_seed_gives_the_same_logbooks(books):
    assert digest(survey_entries(IDS)) == digest(books)


def test_another_seed_gives_other_logbooks(books):
    assert digest(survey_entries(IDS, seed=7)) != digest(books)


def test_the_record_from_the_floor_is_closed_and_holds_nothing_else(books):
    assert [draft["kind"] for draft in books["F0"]] == ["survey-closed"]


def test_every_outline_is_taken_as_it_was_drawn(books):
    drafts = of_kind(everything(books), "observation") + treatments(all_damage())

    for draft in drafts:
        geometry = draft["body"]["geometry"]
        taken = take_outline(
            geometry, kind=KINDS[geometry["type"]], width_in=WIDTH_IN, height_in=HEIGHT_IN
        )
        assert json.loads(json.dumps(taken.geometry)) == geometry, draft["body"].get("item")
        assert taken.changes == (), draft["body"].get("item")


def test_entry_ids_are_version_7_and_given_once(books):
    ids = [UUID(draft["id"]) for draft in everything(books) + treatments(all_damage())]

    assert len(set(ids)) == len(ids)
    assert {entry.version for entry in ids} == {7}


def test_nothing_is_dated_after_the_demos_clock(books):
    made = [datetime.fromisoformat(draft["made_at"]) for draft in everything(books)]

    assert max(made) < DEMO_NOW
    assert min(made) >= datetime(2026, 2, 9, tzinfo=UTC)


def test_people_work_by_day_and_not_at_the_weekend(books):
    for draft in everything(books):
        made = datetime.fromisoformat(draft["made_at"])
        assert made.weekday() < 5
        assert 8 <= made.hour < 17


def test_a_continuation_has_the_id_that_any_tablet_would_give_it(books):
    for code in ("P1", "P2", "W1"):
        continued = [
            draft
            for draft in of_kind(books[code], "observation")
            if len(draft["body"].get("continues", [])) == 1
        ]
        assert continued
        for draft in continued:
            prior = draft["body"]["continues"][0]
            # source: the design's rule for the only continuation of a prior item
            assert draft["object_id"] == str(uuid5(IDS[code], f"continuation:{prior}"))


def test_an_item_keeps_its_label_from_survey_to_survey(books):
    labels = {}
    for draft in of_kind(everything(books), "observation"):
        labels.setdefault(draft["object_id"], draft["body"]["item"])

    for draft in of_kind(everything(books), "observation"):
        continues = draft["body"].get("continues", [])
        if len(continues) == 1:
            assert labels[continues[0]] == draft["body"]["item"]


@pytest.mark.parametrize("code", ["B1", "P1", "P2"])
@pytest.mark.parametrize("mode", ["normal", "raking"])
def test_a_full_survey_answers_for_every_cell_in_both_lights(books, code, mode):
    cells = [
        draft["body"]["cell"]
        for draft in of_kind(books[code], "examination")
        if draft["body"]["mode"] == mode
    ]

    assert len(cells) == 294
    assert len(set(cells)) == 294


def test_the_baseline_saw_1092_square_feet_and_reached_966(books):
    seen = touched = 0.0
    for draft in of_kind(books["B1"], "examination"):
        body = draft["body"]
        if body["mode"] != "normal":
            continue
        cell_sq_in = 24 * 24
        seen += area_of({"geometry": body["seen"]}) if "seen" in body else cell_sq_in
        touched += area_of({"geometry": body["touch"]}) if "touch" in body else cell_sq_in

    # source: the story's figures before openings: 1,176 - 84 = 1,092 and 1,092 - 126 = 966
    assert seen / SQ_IN_PER_SQ_FT == 1092
    assert touched / SQ_IN_PER_SQ_FT == 966


def test_every_hidden_part_and_every_cell_left_out_names_its_cause(books):
    for draft in of_kind(everything(books), "examination"):
        body = draft["body"]
        if body["state"] == "not-examined":
            assert body["cause"]
        assert all(part["cause"] for part in body.get("hidden", []))


def test_the_baseline_draws_nothing_behind_the_boards(books):
    hidden = [
        shape_from(part["geometry"])
        for draft in of_kind(books["B1"], "examination")
        if draft["body"]["mode"] == "normal"
        for part in draft["body"].get("hidden", [])
    ]

    # A line that runs past the boards is drawn above and below them, so areas only.
    for draft in of_kind(books["B1"], "observation"):
        drawn = shape_from(draft["body"]["geometry"])
        assert sum(drawn.intersection(part).area for part in hidden) == 0, draft["body"]["item"]


def test_the_search_list_holds_eight_to_twelve_terms_in_each_light(books):
    by_mode = {
        draft["body"]["mode"]: draft["body"]["searched"]
        for draft in of_kind(books["B1"], "examination")
    }

    assert 8 <= len(by_mode["normal"]) <= 12
    assert 8 <= len(by_mode["raking"]) <= 12


def test_unchanged_damage_is_mostly_answered_by_one_tap(books):
    bases = Counter(draft["body"]["basis"] for draft in of_kind(books["P1"], "observation"))

    assert bases["seen-no-change"] > bases["drawn"] > bases["edited-copy"] > 0


def test_the_baseline_has_a_few_hundred_outlines(books):
    assert 180 <= len(of_kind(books["B1"], "observation")) <= 350


def test_the_loss_in_c17_grows_from_12_to_12_9_under_one_hand(books):
    before, after = item(books, "B1", "L1"), item(books, "P1", "L1")

    # The lattice of 1/256 in moves an area of this edge by some thousandths of a square inch.
    assert area_of(before) == pytest.approx(12.0, abs=0.03)
    assert area_of(after) == pytest.approx(12.9, abs=0.03)
    assert before["boundary_error_in"] == after["boundary_error_in"] == 0.06


def test_the_loss_in_e05_shrinks_on_paper_under_another_hand_with_no_treatment(books):
    before, after = item(books, "B1", "L2"), item(books, "P1", "L2")
    treated = [shape_from(draft["body"]["geometry"]) for draft in treatments(all_damage())]

    assert area_of(before) == pytest.approx(4.2, abs=0.02)
    assert area_of(after) == pytest.approx(3.1, abs=0.02)
    assert before["session"].split(", ")[-1] != after["session"].split(", ")[-1]
    assert not any(act.intersects(shape_from(before["geometry"])) for act in treated)


def test_what_was_treated_is_not_put_down_again(books):
    laid = {
        damage.item
        for damage in all_damage()
        if damage.term == "flaking" and damage.stages[-1].shape is None
    }

    before = {draft["body"]["item"] for draft in of_kind(books["P1"], "observation")}
    after = {draft["body"]["item"] for draft in of_kind(books["P2"], "observation")}

    assert laid
    assert laid <= before
    assert not laid & after


def test_a_treatment_record_says_who_why_with_what_and_how_it_came_out():
    for draft in treatments(all_damage()):
        for key in (
            "reason", "decided_by", "consent", "condition_before", "method", "tool", "product_chemical",
            "amount", "operators", "started_at", "ended_at", "result", "residues", "retreatment_note", "waste_and_safety",
        ):  # fmt: skip
            assert draft["body"][key], key


def test_only_cleaning_brings_to_view():
    revealing = {
        draft["body"]["term"] for draft in treatments(all_damage()) if draft["body"]["reveals"]
    }

    assert revealing == {"cleaned-area"}


def test_decisions_not_to_treat_are_the_commonest_and_name_what_was_refused(books):
    decisions = of_kind(everything(books), "decision")
    choices = Counter(draft["body"]["choice"] for draft in decisions)

    assert choices["leave"] + choices["watch"] > choices["treat"]
    assert sum(bool(draft["body"].get("refused")) for draft in decisions) > len(decisions) / 2


def test_some_causes_are_agreed_and_some_are_disputed(books):
    standings = {
        draft["body"]["standing"] for draft in of_kind(everything(books), "loss-window-opinion")
    }

    assert standings == {"agreed", "disputed", "reserved"}
