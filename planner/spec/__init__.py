"""What is to be built: wires, meshes, posts, end assemblies, gates, and the catalogue that holds them."""
