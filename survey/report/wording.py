"""Which sentences stand in every report: limits, cautions, and what an empty section says?

Common practice in our own words, no source, unless a line names one. Findings are words of the
trade and carry no blame.
"""

from collections.abc import Mapping

from survey.report.content import Finding, ReportKind

KIND_TITLES: Mapping[ReportKind, str] = {
    ReportKind.CONDITION: "Condition report",
    ReportKind.PHASE: "Phase hand-over record",
    ReportKind.INCIDENT: "Incident report",
}

LIMITS = (
    "The survey was made by eye from the decks named here, in the light named here.",
    "Hatched parts of the coverage maps were not seen. Nothing is said about them, neither "
    "that they are sound nor that they are not.",
    "“No change shown” means: no change larger than the threshold printed beside it, in the "
    "cells that both surveys saw. A smaller change may have happened.",
    "“Seen, no change visible” is a judgement by eye and not a measurement.",
    "Sizes are taken from outlines drawn by hand over photographs; the error printed is the "
    "standard error of the drawing, and the true edge may lie elsewhere where paint fades "
    "out.",
    "A cause, where one is named, is the opinion of the person named with it.",
    "This report is no opinion on the structure of the building, on its fabric, or on value; "
    "an engineer, a surveyor or a valuer is to be asked for those.",
    "Forecasts of vibration are estimates; where a measured value exists, the measured value "
    "holds.",
)

CAUTION_HEAD = (
    "Local law, the site plan and licensed trades govern. This list is not a safety plan."
)
CAUTIONS = (
    "Go onto a scaffold only when its tag shows that a competent person inspected it for this "
    "shift. Change nothing on it and do not reach beyond the guard-rail. After an event it is "
    "inspected again before anyone climbs.",
    "Dust may hold lead, arsenic, chromium or asbestos: have it tested first, never sweep it "
    "dry, and wash before eating or drinking.",
    "A dust mask is a respirator and must fit the wearer; a cartridge must suit the vapour. "
    "The safety data sheet of each product governs its use, its swabs and its waste.",
    "A sealed enclosure may turn into a confined space: ventilate it, bring in small "
    "quantities only, keep flames and sparks out, and have a second person watch.",
    "Ultraviolet lamps: goggles and covered skin for everyone in reach, and a warning to others.",
    "Nobody works alone on the deck with solvents, with ultraviolet light or out of hours; "
    "agree call-in times.",
    "Lamps: low voltage or protected against earth faults, cool, guarded, and off when unattended.",
    "Leave bird and bat droppings where they are until somebody qualified has looked at them.",
    "Photograph debris where it lies, with its cell, before anybody sweeps or moves it.",
)

CONDITION_WORDS = ("0 no sign", "1 slight", "2 marked", "3 severe")
URGENCY_WORDS = ("0 no action", "1 before the phase ends", "2 within 7 days", "3 now")
RECOMMENDATION_WORDS = ("0 none", "1 keep watching", "2 treat when planned", "3 treat first")

FINDING_MEANINGS: Mapping[Finding, str] = {
    Finding.NEW: "not there before, at a place that was seen sound before",
    Finding.SPLIT: "one item before, several now",
    Finding.MERGED: "several items before, one now",
    Finding.GROWN: "larger by more than drawing error explains",
    Finding.PROGRESSED: "turned into a further stage of the same trouble",
    Finding.REVEALED: "brought to view by cleaning, uncovering, light or a new mode; not new",
    Finding.FIRST_SEEN: "at a place that was not seen before; its age is open",
    Finding.DRAWN_SMALLER: "smaller than before, which this term does not allow; a query",
    Finding.NOT_FOUND: "recorded before, looked for, and not found",
    Finding.TREATED: "changed by a treatment on record",
    Finding.NO_CHANGE_SHOWN: "no change beyond the threshold",
    Finding.SEEN_NO_CHANGE: "looked at again, judged unchanged by eye",
    Finding.NOT_LOOKED_AT: "this place was not looked at again",
    Finding.NOT_COMPARABLE: "the two records do not allow a comparison",
}

NOT_RECORDED = "not recorded"
NO_PARTIES = "No parties are recorded."
NO_AUTHORS = "No authors are recorded."
NO_MODES = "No mode of looking is recorded."
SEARCH_NOTE = "Only the terms in the last column were looked for. Nothing is said about any other."
NO_COVERAGE = "No examination is recorded: no statement is made about any part of the wall."
NO_PLATES = "No cell has anything to show."
NO_SCHEDULE = "No items are recorded in this survey."
NO_COMPARISON = "This report stands alone: it was not held against an earlier survey."
NO_CHANGES = "No new or changed items were found in what both surveys saw."
NO_WINDOWS = "No loss windows are recorded, since no item is new, grown or progressed."
NO_GAPS = (
    "No cell is listed as not seen or not comparable; the coverage maps show the parts of cells "
    "that were not seen."
)
NOTHING_EXAMINED = "No examination is recorded, so no cell counts as seen."
ALL_COMPARABLE = "No cell that both surveys saw is listed as not comparable."
NONE_UNSEEN = (
    "No cell is listed as not seen; the coverage maps show the parts of cells that were not seen."
)
NO_QUERIES = "No queries are open or decided."
NO_DECISIONS = "No decisions are recorded."
NO_TREATMENTS = "No treatments are recorded between the two surveys."
NO_TREATMENTS_ALONE = "No treatments are recorded."
NO_PAIRS = "No pictures of two surveys were laid beside each other."
NO_PAIR_ACCEPTED = (
    "No detail is printed: between the pictures that were compared nobody accepted a hint of "
    "change."
)
PAIRS_PRINTED = (
    "Each pair shows one detail at equal scale, the same crop and in the same light, square to "
    "the wall; ticks count from the detail’s lower left corner. Nothing is drawn on the pictures "
    "and nothing in them is enhanced. Wedges beside them point at the middle of each item named "
    "below."
)
HINTS_MISS = (
    "Hints of change are looked for by the program and answered by a person; none enters the "
    "record by itself. About a third of faint losses are missed, so a pair without hints does not "
    "show that nothing changed."
)
NO_IMAGES = "No photographs are recorded."
NO_VERSIONS = "This is the first version."
NO_CUSTODY = "No hand-over of data is recorded."
NO_SIGNATURES = "No signature fields were asked for."
NO_TERMS = "No terms were used."
