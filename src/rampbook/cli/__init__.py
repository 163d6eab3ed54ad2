"""The command line: one file a group of commands, one error boundary in app."""
