"""The strip: the long section of the line in hand, linked with the map by one chainage cursor."""
