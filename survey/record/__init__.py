"""Surveys, observations, examinations and decisions."""
