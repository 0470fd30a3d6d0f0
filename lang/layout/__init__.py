"""What a model's layout file says: where each part lies on its sheets, and what hangs on the wall."""
