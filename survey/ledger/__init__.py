"""The append-only logbooks and the one door into them."""
