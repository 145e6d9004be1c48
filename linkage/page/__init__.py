"""One page that turns the motion in any browser, with everything it needs inside it."""

from linkage.page.data import viewer_data
from linkage.page.html import page_html

__all__ = ["page_html", "viewer_data"]
