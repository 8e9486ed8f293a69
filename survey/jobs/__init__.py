"""Background work that shows its progress and can be cancelled."""
