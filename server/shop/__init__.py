"""What the shop owns and aims for."""
