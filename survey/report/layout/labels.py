"""Where does a label stand so that it covers no other, and when does it need a leader line?"""

from collections.abc import Iterator

STEP_PT = 3.0  # coarseness of the board on which taken places are kept
REACH_PT = (9.0, 16.0, 26.0, 40.0, 58.0)
DIRECTIONS = ((1, 0), (-1, 0), (0, 1), (0, -1), (0.8, 0.7), (-0.8, 0.7), (0.8, -0.7), (-0.8, -0.7))


class LabelBoard:
    """Keeps which places of a rectangle [pt] are taken."""

    def __init__(self, left: float, bottom: float, right: float, top: float) -> None:
        self.left, self.bottom, self.right, self.top = left, bottom, right, top
        self._taken: set[tuple[int, int]] = set()

    def place_at(self, x: float, y: float, *, width: float, height: float) -> bool:
        """Take the box centred at x, y if it is free and within; say whether it was."""
        if not self._within(x, y, width, height):
            return False
        squares = self._squares(x, y, width, height)
        if not self._taken.isdisjoint(squares):
            return False
        self._taken.update(squares)
        return True

    def place_near(
        self, x: float, y: float, *, width: float, height: float
    ) -> tuple[float, float] | None:
        """Take the nearest free box beside x, y and return its centre, or None."""
        for at_x, at_y in self._candidates(x, y, width, height):
            if self.place_at(at_x, at_y, width=width, height=height):
                return at_x, at_y
        return None

    def _candidates(
        self, x: float, y: float, width: float, height: float
    ) -> Iterator[tuple[float, float]]:
        for reach in REACH_PT:
            for across, up in DIRECTIONS:
                yield x + across * (reach + width / 2), y + up * (reach + height / 2)

    def _within(self, x: float, y: float, width: float, height: float) -> bool:
        return (
            self.left <= x - width / 2
            and x + width / 2 <= self.right
            and self.bottom <= y - height / 2
            and y + height / 2 <= self.top
        )

    def _squares(self, x: float, y: float, width: float, height: float) -> set[tuple[int, int]]:
        columns = range(int((x - width / 2) // STEP_PT), int((x + width / 2) // STEP_PT) + 1)
        rows = range(int((y - height / 2) // STEP_PT), int((y + height / 2) // STEP_PT) + 1)
        return {(column, row) for column in columns for row in rows}
