"""At what moment does the demo stand? One fixed, displayed instant; no real clock is read."""

from datetime import UTC, datetime

DEMO_NOW = datetime(2026, 11, 18, 9, 0, tzinfo=UTC)
