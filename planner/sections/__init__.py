"""Step 4, sections: strainer to strainer. Strains, posts, lean, friction, mid-run joins."""
