"""Neutral drawings and the files written from them."""
