"""What an editor asks about specs, answered without any protocol."""
