"""Who signs a report: keys, the certificate, the signature in the PDF, and its check."""
