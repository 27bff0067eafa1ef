"""Files in, rows out: whatever a volunteer sends is read or refused with a reason."""
