"""What changed between two states of a model, and what that means for the parts that are cut already."""
