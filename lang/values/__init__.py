"""Expressions to values: names looked up, units applied, plan measurements scaled."""
