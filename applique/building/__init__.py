"""The build of a whole quilt: only what changed is made again, in several processes, and put into
one folder."""
