"""The deck of a fuselage: a sheet across its top."""

from ringwright.lang.kinds.across import across

KIND = across("deck", "across the top", "fuselage.top")
