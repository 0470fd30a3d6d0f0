"""What the build book says of a design: its steps, its sums. Read only when a book is asked for."""
