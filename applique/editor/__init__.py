"""The vector editor as host: dialogs, effects, output formats, and putting them where it looks."""
