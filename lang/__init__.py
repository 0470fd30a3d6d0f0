"""The text of a spec: read, understood, solved."""
