"""What people saw, measured, did and decided on the wall."""
