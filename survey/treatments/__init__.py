"""Treatments, their records, and decisions not to treat."""
