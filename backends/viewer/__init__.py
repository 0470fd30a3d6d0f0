"""The model in 3-D for a page that needs no network: what is shown, and the viewer that shows it."""
