"""From frames with exact times to angle histories: the wheel, then the flyer in wheel angle."""
