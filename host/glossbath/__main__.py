"""python -m glossbath: the same as the command `glossbath`."""

from glossbath.cli.app import main

main()
