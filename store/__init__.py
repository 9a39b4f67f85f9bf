"""The evidence of one job: kept, judged, proved. No Qt."""
