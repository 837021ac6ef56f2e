"""What is answered at each address, one module a place: it asks the place for values and fills a
template with them."""
