"""Keys, certificates and signed PDFs."""
