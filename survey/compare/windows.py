"""Between which two looks did an item come or grow, and what happened in between?

A window is a fact of the record: last seen sound, first found, acts and events between. A cause
is somebody's opinion and is kept elsewhere.
"""

from collections.abc import Iterable, Sequence
from datetime import date

import shapely

from survey.compare import model
from survey.compare.model import (
    Act,
    LossWindow,
    Outline,
    PhotographPlace,
    SurveyRecord,
    TermRule,
    WallEvent,
)
from survey.compare.regions import modes_to_find

WITH_WINDOW = frozenset({model.NEW, model.GROWN, model.PROGRESSED})


def loss_window(
    *,
    before: SurveyRecord,
    after: SurveyRecord,
    earlier: Sequence[Outline],
    later: Sequence[Outline],
    term: TermRule,
    acts: Iterable[Act],
    events: Iterable[WallEvent],
) -> LossWindow:
    """Return the window of a new, grown or progressed item.

    Where the day of the last sound look is not on record, it is the whole earlier survey.
    """
    place = shapely.union_all([outline.shape for outline in (*later, *earlier)])
    first = later[0] if later else earlier[0]
    mode = earlier[0].mode if earlier else modes_to_find(first, term)[0]
    looked_on = [outline.observed_on for outline in earlier if outline.observed_on]
    found_on = [outline.observed_on for outline in later if outline.observed_on]
    return LossWindow(
        last_sound_survey=before.code,
        last_sound_from=min(looked_on, default=before.starts_on),
        last_sound_to=max(looked_on, default=before.ends_on),
        last_sound_mode=mode,
        last_sound_photographs=_photographs(before.photographs, earlier, place, mode),
        first_found_survey=after.code,
        first_found_from=min(found_on, default=after.starts_on),
        first_found_to=max(found_on, default=after.ends_on),
        between=_between(acts, events, place),
        edge=next((outline.edge for outline in later if outline.edge), ""),
        debris=next((outline.debris for outline in later if outline.debris), ""),
    )


def acts_between(acts: Iterable[Act], before: SurveyRecord, after: SurveyRecord) -> tuple[Act, ...]:
    """Return the acts from the earlier survey's start to the later one's end; undated ones too."""
    return tuple(act for act in acts if _is_between(act.on, before, after))


def events_between(
    events: Iterable[WallEvent], before: SurveyRecord, after: SurveyRecord
) -> tuple[WallEvent, ...]:
    """Return the events from the earlier survey's start to the later one's end."""
    return tuple(event for event in events if _is_between(event.on, before, after))


def _is_between(on: date | None, before: SurveyRecord, after: SurveyRecord) -> bool:
    if on is None:
        return True
    if before.starts_on is not None and on < before.starts_on:
        return False
    return after.ends_on is None or on <= after.ends_on


def _photographs(
    photographs: Iterable[PhotographPlace],
    earlier: Iterable[Outline],
    place: shapely.Geometry,
    mode: str,
) -> tuple[str, ...]:
    own = [digest for outline in earlier for digest in outline.photographs]
    showing = [
        photograph.digest
        for photograph in photographs
        if photograph.mode == mode and shapely.intersects(photograph.shape, place)
    ]
    return tuple(dict.fromkeys([*own, *showing]))


def _between(
    acts: Iterable[Act], events: Iterable[WallEvent], place: shapely.Geometry
) -> tuple[str, ...]:
    """Return what was done at the place and what happened to the wall, by date."""
    found = [(act.on, act.name or act.term) for act in acts if shapely.intersects(act.shape, place)]
    found += [
        (event.on, event.what)
        for event in events
        if event.shape is None or shapely.intersects(event.shape, place)
    ]
    found.sort(key=lambda pair: (pair[0] is not None, pair[0] or date.min, pair[1]))
    return tuple(f"{on.isoformat()} {what}" if on else what for on, what in found)
