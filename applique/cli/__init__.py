"""The command line: arguments, files, progress and exit codes. The only place that opens files,
with the editor's room."""
