"""Equations to values: matching, blocks, roots, provenance."""
