"""The build pack: documents and the folder that holds them."""
