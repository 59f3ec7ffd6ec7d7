"""Every kind of difficulty, one file each, found by the registry."""
