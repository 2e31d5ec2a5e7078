"""What stands on a page, in millimetres: records that know nothing of how they are drawn, and their layout."""
