"""Parts as solids where they sit in the aircraft: meshes, what they measure, and where two overlap."""
