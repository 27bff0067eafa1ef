"""What people see: pages over the newest published snapshot."""
