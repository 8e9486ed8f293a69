"""Which kinds of entry there are: each room registers how its kinds are checked and projected."""

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from gridmap.errors import InvalidInput

if TYPE_CHECKING:
    from survey.ledger.models import Entry, Logbook

# Checks a body; raises InvalidInput with the field's name.
Check = Callable[[Mapping[str, Any], "Logbook"], None]


@dataclass(frozen=True)
class History:
    """One object's entries in order, and its heads: the entries that no other one replaces."""

    object_id: uuid.UUID
    entries: Sequence["Entry"]
    heads: Sequence["Entry"]

    @property
    def conflict(self) -> bool:
        """More than one head, and they do not say the same."""
        contents = [head.content for head in self.heads]
        return any(content != contents[0] for content in contents[1:])


# Writes the projection rows of the given objects anew; called with whole histories.
Project = Callable[["Logbook", Sequence[History]], None]
# Removes every projection row of a logbook, before a rebuild.
Clear = Callable[["Logbook"], None]


@dataclass(frozen=True)
class Projection:
    """A family of kinds that share their objects, such as observation and withdrawal."""

    name: str
    checks: Mapping[str, Check]
    project: Project
    clear: Clear
    replacing: frozenset[str] = frozenset()  # kinds that only ever answer an earlier entry


_projections: dict[str, Projection] = {}
_by_kind: dict[str, Projection] = {}
CURRENT_KIND_VERSION = 1


def register(projection: Projection) -> None:
    """Make a family of kinds known; called once from a room's AppConfig.ready."""
    _projections[projection.name] = projection
    for kind in projection.checks:
        _by_kind[kind] = projection


def projections() -> list[Projection]:
    """Return every registered family."""
    return list(_projections.values())


def projection_of(kind: str) -> Projection:
    """Return the family of a kind; raises InvalidInput naming the kinds that there are."""
    if kind not in _by_kind:
        known = ", ".join(sorted(_by_kind))
        raise InvalidInput(f"There is no entry kind {kind!r}. Known kinds: {known}.", field="kind")
    return _by_kind[kind]


def check(kind: str, kind_version: int, body: Mapping[str, Any], logbook: "Logbook") -> None:
    """Refuse a body that does not say what its kind must say."""
    projection = projection_of(kind)
    if kind_version != CURRENT_KIND_VERSION:
        raise InvalidInput(
            f"Version {kind_version} of kind {kind!r} is not known here; this program writes "
            f"version {CURRENT_KIND_VERSION}.",
            field="kind_version",
        )
    projection.checks[kind](body, logbook)
