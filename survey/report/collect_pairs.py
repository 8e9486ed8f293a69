"""Which details does a report print before and after, and what became of every pair asked for?

A detail is printed where a person accepted a hint whose outline still stands; the pictures are the
pair's own, laid on each other already. A refused pair is not printed and named with its reason.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from survey.ledger.blobs import blob_path
from survey.photos.hint_kind import ACCEPTED
from survey.photos.models import PairState, Photograph, PicturePair
from survey.photos.pair_pictures import MOSAIC
from survey.photos.pair_selectors import hints_of, pairs_of, pairs_to_print
from survey.record.models import Mode, Observation, Survey
from survey.record.selectors import standing_observations
from survey.report import content as says
from survey.report.collect_plates import size_of
from survey.vocabulary.selectors import vocabulary_of

Bounds = tuple[float, float, float, float]
AROUND_IN = 2.0  # of wall that is printed around what was accepted
LEAST_DETAIL_IN = 8.0  # across and up: a smaller detail shows nothing of its place


def detail_pairs(survey: Survey, against: Survey | None) -> tuple[says.DetailPair, ...]:
    """Return the details to print, by cell: one for each group of accepted hints that lie near."""
    if against is None:
        return ()
    names = {term.code: term.name for term in vocabulary_of(survey.vocabulary).terms}
    standing = {row.pk: row for row in standing_observations(survey)}
    found = []
    for pair in pairs_to_print(against, survey):
        rows = [standing[key] for key in _accepted(pair) if key in standing]
        for bounds_in in details_of([_bounds(row.shape.bounds) for row in rows], _whole(pair)):
            within = [row for row in rows if _holds(bounds_in, _middle(row))]
            found.append(_detail(pair, bounds_in, within, names))
    return tuple(found)


def pairs_asked(survey: Survey, against: Survey | None) -> tuple[says.PairRow, ...]:
    """Return every pair of the two surveys' pictures with what became of it."""
    return tuple(
        says.PairRow(
            cell=pair.cell,
            mode=Mode(pair.mode).label,
            before=_said(pair.before),
            after=_said(pair.after),
            outcome=_outcome(pair),
            answers=_answers(pair),
        )
        for pair in (_pairs(survey, against) if against else ())
    )


def pair_images(
    survey: Survey, against: Survey | None, listed: Iterable[says.ImageRow]
) -> tuple[says.ImageRow, ...]:
    """Return the pictures of the two surveys' pairs that the list of images does not hold yet."""
    digests = {row.digest for row in listed}
    rows = []
    for pair in _pairs(survey, against) if against else ():
        for picture in (pair.before, pair.after):
            if picture["digest"] not in digests:
                digests.add(picture["digest"])
                rows.append(_image(pair, picture))
    return tuple(rows)


def details_of(places: Sequence[Bounds], whole: Bounds) -> list[Bounds]:
    """Return square windows within a picture that show places whole, those that meet as one.

    >>> details_of([(3, 3, 4, 4), (5, 5, 6, 6), (20, 20, 21, 21)], (0, 0, 24, 24))
    [(16.0, 16.0, 24.0, 24.0), (0.5, 0.5, 8.5, 8.5)]
    """
    groups: list[Bounds] = []
    for place in places:
        group = place
        while met := next(
            (g for g in groups if _meet(_window(g, whole), _window(group, whole))), None
        ):
            groups.remove(met)
            group = _around((met, group))
        groups.append(group)
    return sorted((_window(group, whole) for group in groups), key=lambda w: (-w[3], w[0]))


def _window(place: Bounds, whole: Bounds) -> Bounds:
    """Return a square around a place, moved into the picture and no larger than it."""
    across, up = place[2] - place[0], place[3] - place[1]
    side = max(LEAST_DETAIL_IN, max(across, up) + 2 * AROUND_IN)
    x0, x1 = _span((place[0] + place[2]) / 2, side, (whole[0], whole[2]))
    y0, y1 = _span((place[1] + place[3]) / 2, side, (whole[1], whole[3]))
    return x0, y0, x1, y1


def _span(middle: float, side: float, limits: tuple[float, float]) -> tuple[float, float]:
    low, high = limits
    if side >= high - low:
        return low, high
    start = round((middle - side / 2) * 2) / 2  # on half inches, to be read off easily
    start = min(max(start, low), high - side)
    return start, start + side


def _meet(one: Bounds, other: Bounds) -> bool:
    across = one[0] < other[2] and other[0] < one[2]
    return across and one[1] < other[3] and other[1] < one[3]


def _around(places: Iterable[Bounds]) -> Bounds:
    lows_x, lows_y, highs_x, highs_y = zip(*places, strict=True)
    return min(lows_x), min(lows_y), max(highs_x), max(highs_y)


def _holds(bounds_in: Bounds, at_in: tuple[float, float]) -> bool:
    x, y = at_in
    return bounds_in[0] <= x <= bounds_in[2] and bounds_in[1] <= y <= bounds_in[3]


def _middle(row: Observation) -> tuple[float, float]:
    x0, y0, x1, y1 = row.shape.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


def _pairs(survey: Survey, against: Survey) -> list[PicturePair]:
    return list(pairs_of(survey).filter(before_survey=against))


def _accepted(pair: PicturePair) -> list[Any]:
    return [
        found.answer.observation_id
        for found in hints_of(pair)
        if found.answer is not None
        and found.answer.answer == ACCEPTED
        and not found.answer.conflict
    ]


def _whole(pair: PicturePair) -> Bounds:
    return _bounds(pair.bounds_in)


def _bounds(value: Sequence[float]) -> Bounds:
    x0, y0, x1, y1 = value
    return float(x0), float(y0), float(x1), float(y1)


def _detail(
    pair: PicturePair, bounds_in: Bounds, rows: Sequence[Observation], names: dict[str, str]
) -> says.DetailPair:
    return says.DetailPair(
        cell=pair.cell,
        bounds_in=bounds_in,
        whole_in=_whole(pair),
        px_per_in=pair.px_per_in,
        before=_side(pair.before, str(pair.before_blob_id)),
        after=_side(pair.after, str(pair.after_blob_id)),
        laid_error_in=pair.quality["error_in"],
        place_error_in=pair.quality["place_error_in"],
        items=tuple(
            says.PlacedItem(row.item, _middle(row), _item_words(row, names)) for row in rows
        ),
    )


def _item_words(row: Observation, names: dict[str, str]) -> str:
    size = size_of(row)
    error = f" ± {size.error:.2f}" if size.error is not None else ""
    return f"{names.get(row.term, row.term)}, {size.value:.2f}{error} {size.unit}"


def _side(picture: dict[str, Any], drawn: str) -> says.PairSide:
    taken_on = date.fromisoformat(picture["taken_on"])
    return says.PairSide(
        survey=picture["survey"],
        name=picture["name"],
        source=Path(blob_path(drawn)),
        taken_on=taken_on,
        digest=picture["digest"],
        light=_light(picture),
        operator=picture["operator"],
        taken_on_certain=picture["taken_on_certain"],
    )


def _light(picture: dict[str, Any]) -> str:
    """Return mode, lamp and its side in words."""
    parts = [Mode(picture["mode"]).label]
    if picture["lamp_side"]:
        parts.append(f"lamp at the {picture['lamp_side']}")
    photograph = _photograph(picture)
    if photograph is not None and photograph.light.get("lamp"):
        parts.append(str(photograph.light["lamp"]))
    return ", ".join(parts)


def _photograph(picture: dict[str, Any]) -> Photograph | None:
    if picture["kind"] == MOSAIC:
        return None
    return Photograph.objects.filter(pk=picture["id"]).first()


def _said(picture: dict[str, Any]) -> str:
    return f"{picture['survey']}: {picture['name']}, {picture['taken_on']}"


def _outcome(pair: PicturePair) -> str:
    if pair.state == PairState.COMPARED:
        return f"compared; laid on each other to ± {pair.quality['error_in']:.4f} in"
    if pair.state == PairState.REFUSED:
        return f"not comparable, not printed: {pair.reason}"
    return "not compared yet"


def _answers(pair: PicturePair) -> str:
    """Return how many hints were answered how; those below the error count where answered."""
    if pair.state != PairState.COMPARED:
        return ""
    found = [row for row in hints_of(pair) if row.answer is not None or not row.below_error]
    if not found:
        return "none"
    answers = [row.answer.answer if row.answer else "not answered" for row in found]
    kinds = ("accepted", "dismissed", "not answered")
    return ", ".join(f"{answers.count(kind)} {kind}" for kind in kinds if kind in answers)


def _image(pair: PicturePair, picture: dict[str, Any]) -> says.ImageRow:
    photograph = _photograph(picture)
    day = "" if photograph else f", {picture['taken_on']}"
    return says.ImageRow(
        name=f"{picture['name']}{day}",
        digest=picture["digest"],
        taken_at=photograph.taken_at if photograph else None,
        operator=picture["operator"],
        mode=_light(picture),
        place=pair.cell if photograph else "",
        survey=picture["survey"],
    )
