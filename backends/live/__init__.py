"""The page that follows a spec while it is written: its files, and what it shows as plain values."""
