"""Published figures of scales, stock, drills and fits, and what is nearest to a size in them."""
