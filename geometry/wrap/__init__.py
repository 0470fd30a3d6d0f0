"""Skins bent round sections: rulings, developments, edges, and what is drawn on them."""
