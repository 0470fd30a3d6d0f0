"""Shapes taken off a plan or a drawing: fits to measured points, aerofoils, traced outlines."""
