"""What goes back with the engine to its owner: one content, written as a page or as paper."""

from linkage.handover.content import compose
from linkage.handover.html import html_bytes
from linkage.handover.pdf import pdf_bytes
from linkage.handover.photographs import Photo, load_photographs
from linkage.report.blocks import Report

__all__ = ["Photo", "Report", "compose", "html_bytes", "load_photographs", "pdf_bytes"]
