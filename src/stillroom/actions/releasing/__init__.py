"""What leaves the laboratory: release, certificate, trace, recall, and a change after release."""
