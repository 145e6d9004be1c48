"""One page that turns the motion in any browser, with everything it needs inside it."""
