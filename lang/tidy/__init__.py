"""A text to the same text, laid out as a careful builder sets it."""
