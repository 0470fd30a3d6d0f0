"""The version, as a literal: asking the installed package for it would cost more than all of `--version`."""

VERSION = "0.1.0"
