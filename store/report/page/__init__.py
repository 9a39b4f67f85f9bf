"""The report as one self-contained web page: no network, no script, for a phone too."""
