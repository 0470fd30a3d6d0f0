"""Nodes to components: the files of a project, recipes made, everything named and in its place."""
