"""How the pictures of the documents are made; `docs/make_pictures.py` makes them."""
