"""One file a command: it reads what was typed, calls one measurement or reckoning, and prints."""
