"""Wings, tails and fins: their stations in space, ribs, spars, skins, plates and joiners."""
