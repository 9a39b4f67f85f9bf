"""Report and pack from the window: made aside, looked at page by page, and handed over."""
