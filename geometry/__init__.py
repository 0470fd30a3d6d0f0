"""Shapes, developments, parts and nesting, in mm, radians and grams."""
