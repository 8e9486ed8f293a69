"""What changed between two surveys, how sure, and what could not be compared."""
