"""Which vibration is to be expected at the wall from the contractor's plant, and how far off must
it stay?

FTA's and Caltrans' equations for waves through the ground, set against a supervised trial. They
are estimates: measured values govern. They are not valid for a tool on the same masonry. One trial
may lengthen a distance and never shortens it. Distances in ft, velocities in in/s, as both manuals
have them. No Django, no I/O.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import ArrayLike

from gridmap.errors import InvalidInput
from survey.watch.spans import Floats, positive, within

REFERENCE_FT: Final = 25.0
FTA_EXPONENT: Final = 1.5  # FTA Report 0123 (2018), eq. 7-2
CALTRANS_EXPONENT: Final = 1.1  # Caltrans manual (2013, 2020), default; from memory
# Caltrans manual, by ground, from memory.
CALTRANS_GROUNDS: Final = {"soft soil": 1.4, "competent soil": 1.3, "hard soil": 1.1, "rock": 1.0}
PILE_REFERENCE_IN_S: Final = 0.65  # Caltrans, impact pile driver, from memory
PILE_REFERENCE_FT_LB: Final = 36_000.0
NEAREST_FT, FARTHEST_FT = 1.0, 5000.0
FEWEST_BLOWS: Final = 10  # many blows at several distances (common practice, no source)
FEWEST_DISTANCES: Final = 3
FTA: Final = "FTA Report 0123 (2018), table 7-4"
CAUTION: Final = (
    "An estimate for waves through the ground; measured values govern. Not valid for tools on the "
    "same masonry."
)
Label = Literal["confirmed", "from memory"]
Path = Literal["ground", "same masonry"]


@dataclass(frozen=True)
class Plant:
    """A machine with its peak particle velocity at 25 ft [in/s] and where that comes from."""

    key: str
    name: str
    ppv_at_25_ft_in_s: float
    source: str
    label: Label

    def __post_init__(self) -> None:
        positive(self.ppv_at_25_ft_in_s, name=f"{self.name} at 25 ft", unit="in/s")


# Offered, never preset. "confirmed": read in a public report that cites the table. The level beside
# the hydromill in rock (75 VdB) does not belong to its velocity (72.6): check that row first.
OFFERED: Final = (
    Plant("pile-impact-upper", "pile driver, impact, upper range", 1.518, FTA, "from memory"),
    Plant("pile-impact", "pile driver, impact, typical", 0.644, FTA, "from memory"),
    Plant("pile-sonic-upper", "pile driver, sonic, upper range", 0.734, FTA, "from memory"),
    Plant("pile-sonic", "pile driver, sonic, typical", 0.170, FTA, "from memory"),
    Plant("clam-shovel", "clam shovel drop", 0.202, FTA, "from memory"),
    Plant("hydromill-soil", "hydromill in soil", 0.008, FTA, "from memory"),
    Plant("hydromill-rock", "hydromill in rock", 0.017, FTA, "from memory"),
    Plant("vibratory-roller", "vibratory roller", 0.210, FTA, "from memory"),
    Plant("hoe-ram", "hoe ram", 0.089, FTA, "from memory"),
    Plant("caisson-drilling", "caisson drilling", 0.089, FTA, "from memory"),
    Plant("large-bulldozer", "large bulldozer", 0.089, FTA, "confirmed"),
    Plant("loaded-trucks", "loaded trucks", 0.076, FTA, "confirmed"),
    Plant("jackhammer", "jackhammer", 0.035, FTA, "confirmed"),
    Plant("small-bulldozer", "small bulldozer", 0.003, FTA, "confirmed"),
)


def offered_plant(key: str) -> Plant:
    """Return an offered machine by its key."""
    for plant in OFFERED:
        if plant.key == key:
            return plant
    raise InvalidInput(f"{key!r} is not in the list of plant.", field="plant")


def expected_ppv_in_s(
    ppv_at_25_ft_in_s: float,
    distance_ft: ArrayLike,
    *,
    exponent: float = FTA_EXPONENT,
    path: Path = "ground",
) -> Floats:
    """Return the velocity at a distance [in/s]: PPV at 25 ft · (25/D)^n (1 to 5,000 ft).

    n = 1.5: FTA Report 0123, eq. 7-2. Caltrans' n: 1.0 to 1.4 by ground (from memory).

    >>> round(float(expected_ppv_in_s(0.210, 50.0)), 5)
    0.07425
    """
    _require_ground(path)
    reference = positive(ppv_at_25_ft_in_s, name="PPV at 25 ft", unit="in/s")
    distance = within(
        distance_ft, name="distance", unit="ft", least=NEAREST_FT, most=FARTHEST_FT,
        advice="The equation does not hold nearer or farther.",
    )  # fmt: skip
    return reference * (REFERENCE_FT / distance) ** _exponent(exponent)


def distance_for_limit_ft(
    ppv_at_25_ft_in_s: float,
    limit_in_s: float,
    *,
    exponent: float = FTA_EXPONENT,
    path: Path = "ground",
) -> float:
    """Return the distance at which the limit is just expected [ft], no nearer than 1 ft.

    D = 25 · (PPV at 25 ft / limit)^(1/n).
    """
    _require_ground(path)
    reference = positive(ppv_at_25_ft_in_s, name="PPV at 25 ft", unit="in/s")
    limit = positive(limit_in_s, name="limit", unit="in/s")
    found = REFERENCE_FT * (reference / limit) ** (1.0 / _exponent(exponent))
    return max(float(found), NEAREST_FT)


def pile_ppv_at_25_ft_in_s(energy_ft_lb: float) -> float:
    """Return the velocity at 25 ft of an impact pile driver [in/s] (Caltrans, from memory).

    0.65 · (E / 36,000 ft-lb)^0.5, E the rated energy of the hammer, 100 to 500,000 ft-lb.
    """
    energy = within(energy_ft_lb, name="energy", unit="ft-lb", least=100.0, most=500_000.0)
    return float(PILE_REFERENCE_IN_S * (energy / PILE_REFERENCE_FT_LB) ** 0.5)


def velocity_level_vdb(ppv_in_s: float, *, crest_factor: float = 4.0) -> float:
    """Return the velocity level [VdB re 1 µin/s]: 20 log10(PPV / crest factor / 1 µin/s).

    FTA Report 0123; crest factor 4 from memory.
    """
    rms = positive(ppv_in_s, name="PPV", unit="in/s") / crest_factor
    return float(20.0 * np.log10(rms / 1e-6))


@dataclass(frozen=True)
class Blow:
    """One blow or pass of the supervised trial, as measured at the wall."""

    distance_ft: float
    ppv_in_s: float

    def __post_init__(self) -> None:
        within(self.distance_ft, name="distance", unit="ft", least=NEAREST_FT, most=FARTHEST_FT)
        positive(self.ppv_in_s, name="measured PPV", unit="in/s")


@dataclass(frozen=True)
class Trial:
    """What a supervised trial showed against the equation.

    `site_factor` is the largest measured over expected; `allowed_ft` the distance that holds:
    the equation's, or a longer one that the worst blows ask for. `sufficient` says whether there
    were enough blows at enough distances; if not, the trial still lengthens.
    """

    blows: int
    distances: int
    site_factor: float
    worst: Blow
    equation_ft: float
    trial_ft: float
    allowed_ft: float
    sufficient: bool
    statement: str


def judge_trial(
    blows: Sequence[Blow],
    *,
    ppv_at_25_ft_in_s: float,
    limit_in_s: float,
    exponent: float = FTA_EXPONENT,
) -> Trial:
    """Return the distance for a limit after a supervised trial of one machine.

    Two lines are laid over the worst of the blows and the longer distance counts: the equation's
    own slope through the worst ratio, and, with two distances or more, the slope fitted through
    the worst blow of each distance, lifted over all of them and no steeper than the equation's.
    """
    if not blows:
        raise InvalidInput("A trial without a blow shows nothing.", field="blows")
    equation_ft = distance_for_limit_ft(ppv_at_25_ft_in_s, limit_in_s, exponent=exponent)
    distances = np.array([blow.distance_ft for blow in blows])
    measured = np.array([blow.ppv_in_s for blow in blows])
    ratios = measured / expected_ppv_in_s(ppv_at_25_ft_in_s, distances, exponent=exponent)
    factor = float(ratios.max())
    by_factor = distance_for_limit_ft(ppv_at_25_ft_in_s * factor, limit_in_s, exponent=exponent)
    by_slope = _distance_by_slope(distances, measured, limit_in_s=limit_in_s, steepest=exponent)
    trial_ft = max(by_factor, by_slope)
    places = int(np.unique(distances).size)
    sufficient = len(blows) >= FEWEST_BLOWS and places >= FEWEST_DISTANCES
    allowed = max(equation_ft, trial_ft)
    return Trial(
        blows=len(blows),
        distances=places,
        site_factor=factor,
        worst=blows[int(np.argmax(ratios))],
        equation_ft=equation_ft,
        trial_ft=trial_ft,
        allowed_ft=allowed,
        sufficient=sufficient,
        statement=_trial_in_words(
            factor, allowed, equation_ft, blows=len(blows), places=places, sufficient=sufficient
        ),
    )


def _distance_by_slope(
    distances: Floats, measured: Floats, *, limit_in_s: float, steepest: float
) -> float:
    """Return the distance by the slope that the worst blows show, or 1 ft with one distance."""
    places = np.unique(distances)
    if places.size < 2:
        return NEAREST_FT
    worst = np.array([measured[distances == place].max() for place in places])
    fall = -float(np.polyfit(np.log(places), np.log(worst), 1)[0])
    # Flatter than 0.5 the trial shows no fall with distance to rely on.
    slope = min(max(fall, 0.5), steepest)
    lifted = float((measured * (distances / REFERENCE_FT) ** slope).max())
    return min(distance_for_limit_ft(lifted, limit_in_s, exponent=slope), FARTHEST_FT)


def _trial_in_words(
    factor: float,
    allowed_ft: float,
    equation_ft: float,
    *,
    blows: int,
    places: int,
    sufficient: bool,
) -> str:
    lengthened = allowed_ft > equation_ft * (1 + 1e-9)
    said = (
        f"Site factor {factor:.2f} from the worst of {blows} blow{'' if blows == 1 else 's'} at "
        f"{places} distance{'' if places == 1 else 's'}; the allowed distance "
        + (f"grows to {allowed_ft:.1f} ft from {equation_ft:.1f}. " if lengthened
           else f"stays {allowed_ft:.1f} ft: a trial never shortens it. ")
    )  # fmt: skip
    if not sufficient:
        said += (
            f"Fewer than {FEWEST_BLOWS} blows or {FEWEST_DISTANCES} distances: not enough to know "
            "the site. "
        )
    return said + CAUTION


@dataclass(frozen=True)
class Expectation:
    """One line of the plant list: what is expected at the wall, and the distance for a limit."""

    activity: str
    plant: Plant
    distance_ft: float
    fta_in_s: float
    caltrans_in_s: float
    reaches: Literal["red", "amber", "neither"]
    fta_stand_off_ft: float
    caltrans_stand_off_ft: float
    caution: str = CAUTION

    @property
    def stand_off_ft(self) -> float:
        """The longer of both distances."""
        return max(self.fta_stand_off_ft, self.caltrans_stand_off_ft)


def expect(
    activity: str,
    plant: Plant,
    *,
    distance_ft: float,
    amber_in_s: float,
    red_in_s: float,
    caltrans_exponent: float = CALTRANS_EXPONENT,
    path: Path = "ground",
) -> Expectation:
    """Return what a machine is expected to do at the wall, by both equations; the larger counts.

    The stand-off is that for red.
    """
    reference = plant.ppv_at_25_ft_in_s
    fta = float(expected_ppv_in_s(reference, distance_ft, path=path))
    caltrans = float(
        expected_ppv_in_s(reference, distance_ft, exponent=caltrans_exponent, path=path)
    )
    larger = max(fta, caltrans)
    return Expectation(
        activity=activity,
        plant=plant,
        distance_ft=distance_ft,
        fta_in_s=fta,
        caltrans_in_s=caltrans,
        reaches="red" if larger >= red_in_s else "amber" if larger >= amber_in_s else "neither",
        fta_stand_off_ft=distance_for_limit_ft(reference, red_in_s),
        caltrans_stand_off_ft=distance_for_limit_ft(
            reference, red_in_s, exponent=caltrans_exponent
        ),
    )


def _require_ground(path: Path) -> None:
    if path != "ground":
        raise InvalidInput(
            "The equation is for waves through the ground. For a tool on the same masonry measure "
            "beside the painting, off original paint, from 1 to 315 Hz.",
            field="path",
        )


def _exponent(exponent: float) -> float:
    return float(within(exponent, name="exponent", unit="", least=0.5, most=2.0))
