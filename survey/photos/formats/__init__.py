"""How JPEG, PNG, TIFF and HEIC files are built, read from their bytes alone. No Django, no I/O."""
