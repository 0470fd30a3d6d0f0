"""What is said when something is wrong."""
