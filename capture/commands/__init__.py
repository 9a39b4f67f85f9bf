"""The verbs of the command line, one module each; loaded only when asked for."""
