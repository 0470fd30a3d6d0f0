"""Values to a design: equations, parts, checks, and how each number came about."""
