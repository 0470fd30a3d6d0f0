"""Noses, bows and domes from their profiles: cones, layers and gores that come near them."""
