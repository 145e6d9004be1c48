"""Radial gears, and Baker's: reversed by a slide, a block or a yoke that is set."""
