"""Template filters that print measures."""
