"""Photographs: originals by digest, and where on the wall they lie."""
