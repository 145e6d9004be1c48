"""Findings in words and as data."""
