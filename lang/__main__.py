"""`python -m ringwright.lang`: the command line without the script."""

from ringwright.lang.commands.main import run

run()
