"""Does the invented site register come in once, and do its machines give the story's figures?"""

import pytest

from demo_fixtures.load import load_wall
from demo_fixtures.load_watch import load_register
from demo_fixtures.site_register import register_lines
from survey.watch.models import LogLine
from survey.watch.stand_off import expected_ppv_in_s

pytestmark = [pytest.mark.django_db, pytest.mark.database]


def test_every_line_of_the_register_is_kept_once():
    wall = load_wall(say=str)
    load_register(wall)
    load_register(wall)

    kinds = [line.kind for line in register_lines()]
    kept = list(LogLine.objects.filter(wall=wall).values_list("kind", flat=True))

    assert sorted(kept) == sorted(kinds)


def test_the_breaker_on_the_floor_is_expected_as_the_story_says():
    # source: story 7 of the trade: 0.089 in/s at 25 ft gives 0.146 in/s at 18 ft
    breaker = next(line for line in register_lines() if line.key == "floor-breaker")
    blows = [line.body["ppv_in_s"] for line in register_lines() if line.about == "floor-breaker"]

    expected = expected_ppv_in_s(
        breaker.body["reference_ppv_in_s"], breaker.body["distance_in"] / 12
    )

    assert round(float(expected), 3) == 0.146
    assert max(blows) == 0.052
