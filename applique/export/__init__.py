"""Results as bytes: machine files and cut files. Nothing here opens a file."""
