"""Which cell does each camera frame show, judging by the slates photographed before each set?

Pure. A frame belongs to the last slate that the same camera body photographed before it. What
cannot be told is left unsorted, with the reason. The camera's clock is put right by its slates:
each shows the tablet's time, so their difference is known at every slate.
"""

import re
import statistics
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise

SLATE_STEP_S = 5.0  # [s] the slate's clock moves on in such steps
SAME_CLOCK_S = 30.0  # [s] slates agree within steps, exposure and two tablets' clocks
LONGEST_SET_S = 3600.0  # [s] from a slate to the last frame of its set; common practice, no source


@dataclass(frozen=True)
class Slate:
    """What a slate in a photograph says; `at` is the tablet's time in UTC."""

    number: int
    cell: str
    mode: str
    side: str
    at: datetime
    wall: str = ""
    survey: str = ""

    @property
    def words(self) -> str:
        """The slate in a few words."""
        return f"slate {self.number} ({', '.join(filter(None, (self.cell, self.mode, self.side)))})"


@dataclass(frozen=True)
class Frame:
    """A photograph to be sorted. `clock` is what the camera's clock showed.

    `one_body` is false where the file names a model and no body: two of them could be mixed.
    """

    key: str
    name: str
    camera: str
    clock: datetime | None
    slates: tuple[Slate, ...] = ()
    one_body: bool = True


@dataclass(frozen=True)
class Placed:
    """A frame and the slate it belongs to; `taken_at` is the camera's time put right."""

    key: str
    slate: Slate
    from_name: str
    taken_at: datetime
    is_slate: bool = False


@dataclass(frozen=True)
class Unsorted:
    """A frame that cannot be told, and why."""

    key: str
    name: str
    why: str


@dataclass(frozen=True)
class Clock:
    """How far the tablets' clock is ahead of a camera's, and by how many slates that is known."""

    camera: str
    ahead_s: float
    slates: int
    first_at: datetime


@dataclass(frozen=True)
class Sorting:
    """What became of every frame."""

    placed: tuple[Placed, ...]
    unsorted: tuple[Unsorted, ...]
    without_frames: tuple[Slate, ...]
    clocks: tuple[Clock, ...]


@dataclass(frozen=True)
class _Shown:
    """A slate as one camera photographed it."""

    clock: datetime
    name: str
    slate: Slate

    @property
    def ahead_s(self) -> float:
        return (self.slate.at - self.clock).total_seconds()


@dataclass(frozen=True)
class _Run:
    """Slates in a row between which the camera's clock kept its distance."""

    shown: tuple[_Shown, ...]

    @property
    def ahead_s(self) -> float:
        # A slate shows the last full step: on average half a step ago.
        return statistics.median(one.ahead_s for one in self.shown) + SLATE_STEP_S / 2

    def moment(self, clock: datetime) -> datetime:
        return clock + timedelta(seconds=self.ahead_s)


def sort_frames(
    frames: Iterable[Frame], *, wall: str, survey: str, cells: Collection[str]
) -> Sorting:
    """Return which slate each frame belongs to, and every frame that cannot be told.

    Slates of another wall, survey or layout end a set: the frames behind them are left unsorted.
    """
    by_camera: dict[str, list[Frame]] = defaultdict(list)
    placed: list[Placed] = []
    unsorted: list[Unsorted] = []
    clocks: list[Clock] = []
    for frame in frames:
        if frame.clock is None:
            unsorted.append(Unsorted(frame.key, frame.name, _without_time(frame)))
        elif len({_same(slate) for slate in frame.slates}) > 1:
            unsorted.append(Unsorted(frame.key, frame.name, "It shows two different slates."))
        else:
            by_camera[frame.camera].append(frame)
    foreign = _Foreign(wall, survey, frozenset(cells))
    for camera in sorted(by_camera):
        if _mixed(by_camera[camera]):
            why = f"Frames of two cameras {camera} seem to be mixed: their names count in two rows."
            unsorted += [Unsorted(one.key, one.name, why) for one in by_camera[camera]]
            continue
        runs = _runs(by_camera[camera])
        set_back = _after_clock_went_back(by_camera[camera])
        clocks += [
            Clock(camera, round(run.ahead_s, 1), len(run.shown), run.shown[0].slate.at)
            for run in runs
        ]
        for frame in sorted(by_camera[camera], key=_in_order):
            found = _place(frame, runs, foreign, set_back=frame.key in set_back)
            (placed if isinstance(found, Placed) else unsorted).append(found)  # type: ignore[arg-type]
    return Sorting(tuple(placed), tuple(unsorted), _without_frames(placed), tuple(clocks))


@dataclass(frozen=True)
class _Foreign:
    """Knows slates that are not of this survey."""

    wall: str
    survey: str
    cells: frozenset[str]

    def why(self, slate: Slate) -> str:
        """Return why nothing is sorted by this slate, '' where something may be."""
        if slate.wall != self.wall:
            return f"{slate.words} is of another wall, {slate.wall}"
        if slate.survey != self.survey:
            return f"{slate.words} is of survey {slate.survey}"
        if slate.cell not in self.cells:
            return f"{slate.words} names a cell that this wall's grid does not have"
        return ""


def _place(
    frame: Frame, runs: Sequence[_Run], foreign: _Foreign, *, set_back: bool
) -> Placed | Unsorted:
    """Return the slate of one frame of a camera, or why there is none."""
    assert frame.clock is not None
    if frame.slates:
        slate = frame.slates[0]
        why = foreign.why(slate)
        if why:
            return Unsorted(frame.key, frame.name, f"Its {why}.")
        return Placed(frame.key, slate, frame.name, slate.at, is_slate=True)
    if not runs:
        which = f"the camera {frame.camera}" if frame.camera else "a camera without a name"
        return Unsorted(frame.key, frame.name, f"No slate by {which} was found.")
    by_time = _fitting(frame, runs, set_back=set_back)
    fitting = _by_counter(frame, by_time, runs)
    if not fitting:
        why = "Its time fits between no two slates."
        if by_time:
            why = "Its time and the number in its name fit different slates."
        return Unsorted(frame.key, frame.name, f"{why} The camera's clock may have been changed.")
    if len({shown for shown, _ in fitting}) > 1:
        return Unsorted(frame.key, frame.name, _jumped(runs))
    shown, taken_at = fitting[0]
    if shown is None:
        return Unsorted(frame.key, frame.name, "It was taken before the camera's first slate.")
    why = foreign.why(shown.slate)
    if why:
        return Unsorted(frame.key, frame.name, f"The last {why}.")
    late_s = (taken_at - shown.slate.at).total_seconds()
    if late_s > LONGEST_SET_S:
        return Unsorted(
            frame.key,
            frame.name,
            f"It was taken {_duration(late_s)} after {shown.slate.words}; a set is taken to end "
            f"after {_duration(LONGEST_SET_S)}.",
        )
    return Placed(frame.key, shown.slate, shown.name, taken_at)


def _mixed(frames: Sequence[Frame]) -> bool:
    """Say whether frames of a model without body numbers count in two rows over their time.

    A camera that begins again after its highest number steps back once, to below its first.
    """
    if all(frame.one_body for frame in frames):
        return False
    counts = [_counted(frame.name) for frame in sorted(frames, key=_in_order)]
    if len({before for before, _ in counts}) != 1:
        return False
    numbers = [number for _, number in counts if number is not None]
    back = [place for place, (one, two) in enumerate(pairwise(numbers), 1) if two <= one]
    if not back:
        return False
    before, after = numbers[: back[0]], numbers[back[0] :]
    return len(back) > 1 or max(after) >= before[0]


def _runs(frames: Sequence[Frame]) -> list[_Run]:
    """Return a camera's slates in the order of the tablet's time, cut where its clock jumped."""
    shown = [
        _Shown(frame.clock, frame.name, frame.slates[0])
        for frame in frames
        if frame.slates and frame.clock is not None
    ]
    runs: list[list[_Shown]] = []
    for one in sorted(shown, key=lambda one: (one.slate.at, one.clock, one.name)):
        if runs and abs(one.ahead_s - runs[-1][-1].ahead_s) <= SAME_CLOCK_S:
            runs[-1].append(one)
        else:
            runs.append([one])
    return [_Run(tuple(sorted(run, key=lambda one: (one.clock, one.name)))) for run in runs]


def _after_clock_went_back(frames: Sequence[Frame]) -> set[str]:
    """Return the frames whose clock, by the camera's count, was set back since their last slate."""
    counted = [(*_counted(frame.name), frame) for frame in frames]
    if len({before for before, _, _ in counted}) != 1:
        return set()
    rising = [(number, frame) for _, number, frame in counted if number is not None]
    found: set[str] = set()
    back, latest = False, None
    for _, frame in sorted(rising, key=lambda one: one[0]):
        back = not frame.slates and (back or bool(latest and frame.clock and frame.clock < latest))
        latest = frame.clock
        if back:
            found.add(frame.key)
    return found


def _fitting(
    frame: Frame, runs: Sequence[_Run], *, set_back: bool
) -> list[tuple[_Shown | None, datetime]]:
    """Return each slate that the frame may follow, with the moment that this would make.

    Under a run's distance of clocks the frame must lie between the slates of its neighbours. One
    whose clock was set back since its slate does not keep that slate's distance.
    """
    assert frame.clock is not None
    slack = timedelta(seconds=SLATE_STEP_S)
    found: list[tuple[_Shown | None, datetime]] = []
    for place, run in enumerate(runs):
        moment = run.moment(frame.clock)
        before = runs[place - 1].shown[-1] if place else None
        after = runs[place + 1].shown[0] if place + 1 < len(runs) else None
        if (before and moment < before.slate.at - slack) or (
            after and moment > after.slate.at + slack
        ):
            continue
        order = [(one.clock, one.name) for one in run.shown]
        at = bisect_right(order, (frame.clock, frame.name))
        if not (at and set_back):
            found.append((run.shown[at - 1] if at else before, moment))
    return found


def _by_counter(
    frame: Frame, fitting: list[tuple[_Shown | None, datetime]], runs: Sequence[_Run]
) -> list[tuple[_Shown | None, datetime]]:
    """Return those between whose slates the frame's number lies, if the camera counts frames."""
    shown = [one for run in runs for one in run.shown]
    prefix, own = _counted(frame.name)
    counts = [_counted(one.name) for one in shown]
    numbers = [number for _, number in counts if number is not None]
    counting = len(numbers) == len(shown) and numbers == sorted(set(numbers))
    if own is None or not counting or {before for before, _ in counts} != {prefix}:
        return fitting
    at = bisect_right(numbers, own)
    last = shown[at - 1] if at else None
    return [one for one in fitting if one[0] == last]


def _counted(name: str) -> tuple[str, int | None]:
    """Return what stands before the camera's own number in a file's name, and that number."""
    parts = re.fullmatch(r"(.*?)(\d{1,9})(\D*)", name.rsplit(".", 1)[0])
    return (parts[1], int(parts[2])) if parts else (name, None)


def _without_frames(placed: Sequence[Placed]) -> tuple[Slate, ...]:
    """Return the slates that were photographed and that no frame follows."""
    followed = {_same(one.slate) for one in placed if not one.is_slate}
    alone: dict[tuple[object, ...], Slate] = {}
    for one in placed:
        if one.is_slate and _same(one.slate) not in followed:
            alone.setdefault(_same(one.slate), one.slate)
    return tuple(alone.values())


def _same(slate: Slate) -> tuple[object, ...]:
    """Return what two photographs of one slate share: its clock has moved on between them."""
    return (slate.wall, slate.survey, slate.number, slate.cell, slate.mode, slate.side)


def _in_order(frame: Frame) -> tuple[datetime, str]:
    return (frame.clock or datetime.min.replace(tzinfo=UTC), frame.name)


def _without_time(frame: Frame) -> str:
    if frame.slates:
        return f"It shows {frame.slates[0].words}, but the file does not say when it was taken."
    return "The file does not say when it was taken."


def _jumped(runs: Sequence[_Run]) -> str:
    jumps = [_duration(abs(later.ahead_s - run.ahead_s)) for run, later in pairwise(runs)]
    return (
        f"The camera's clock was changed by {' and by '.join(jumps)} between its slates, and the "
        "frame's time fits more than one of them."
    )


def _duration(seconds: float) -> str:
    minutes = round(seconds / 60)
    if minutes < 1:
        return f"{round(seconds)} s"
    hours, rest = divmod(minutes, 60)
    return " ".join(filter(None, (f"{hours} h" if hours else "", f"{rest} min" if rest else "")))
