"""What is cut: the line of each piece by its method, and the sheets of each fabric."""
