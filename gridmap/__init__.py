"""The wall as a measured plane: lengths, grid, outlines and their measures, in wall inches."""
