"""What the tasks of a build do, a file each: from bytes to bytes, by the hubs of the core."""
