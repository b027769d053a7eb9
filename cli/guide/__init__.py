"""Guides for spinners, shown by ``whirlwise guide``."""
