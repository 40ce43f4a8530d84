"""Pictures of a block to look at before any thread is used, as bytes."""
