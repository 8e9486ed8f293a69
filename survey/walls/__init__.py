"""Setting up a wall: its description, layout and phases of works."""
