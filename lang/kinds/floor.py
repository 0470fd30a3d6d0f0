"""The floor of a fuselage: a sheet across below."""

from ringwright.lang.kinds.across import across

KIND = across("floor", "across below", "fuselage.bottom")
