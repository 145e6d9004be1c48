"""One turn as a film: what moves is painted over what stands still, the tight spot slowly."""
