"""What a vessel's shell can carry at a nozzle or an attachment: estimates, never a vendor's value."""
