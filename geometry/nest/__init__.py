"""Parts to sheets."""
