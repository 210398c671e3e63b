"""A large floor from job to files: flatness, volumes, grinding, zones, the order of the work.

Nothing is loaded here: the command line takes its words from `arguments`, and `--help` does not
wait for what the commands need.
"""
