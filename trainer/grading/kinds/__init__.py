"""Every kind of crux, a family a file, found by the registry."""
