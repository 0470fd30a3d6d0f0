"""Pictures of the assembled model: what is seen of its solids from afar, hidden lines left out."""
