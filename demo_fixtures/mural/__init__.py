"""The invented picture, part by part; every part draws on a `Canvas` in wall inches."""
