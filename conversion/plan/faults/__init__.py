"""What each fault would make the control unit believe: gathered, judged, told."""
