"""What a recipe of several components makes: a group of them under one name."""

from ringwright.lang.kinds.kind import Kind

KIND = Kind("recipe", "a group of components made from a recipe", (), inside=("",))
